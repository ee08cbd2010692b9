"""Cautions beside the placement: gaps that close on a person, in the units of the job, with the standard's limit."""

from __future__ import annotations

import pytest

from standoff.job.caution import CRUSH_SOURCE, LOCKOUT, Caution, crush_gaps, set_down
from standoff.job.file import parse_job
from standoff.job.placement import place
from tests.texts import FIXED, SLIDING, altered

PART = "rules.crush_part"


def cautions(text: str, *, standoff_mm: float = 300.0) -> dict[str, Caution]:
    """The crush-gap cautions at a standoff, by id."""
    return {c.id: c for c in crush_gaps(parse_job(text), standoff_mm=standoff_mm, cut_mm=0.0)}


def test_the_gap_at_the_end_of_the_shift_stroke() -> None:
    """Body to cover: 300 - 12 + 40 - 170 = 158 mm with the loader shifted."""
    text = cautions(SLIDING)["crush-gap-shift"].text
    assert text == (
        "The gap between the loader's body and the lathe's cover closes to 158 mm at the end of the shift stroke; below 500 mm"
        " it can crush the body: keep people out of it by a guard."
    )


def test_the_gap_in_every_cycle() -> None:
    """Clamp to adapter at the rear limit: 300 mm in the first mode, 300 - 170 + 150 = 280 mm in the second."""
    text = cautions(SLIDING)["crush-gap-nose"].text
    assert "closes to 280 mm in every cycle, while the adapter turns" in text


def test_gaps_are_told_in_the_units_of_the_job() -> None:
    """In inches, with the standard's millimetres besides."""
    text = cautions(altered(SLIDING, {"job.units": '"in"'}))["crush-gap-shift"].text
    assert "closes to 6 1/4 in (158 mm)" in text
    assert "below 19 11/16 in (500 mm)" in text


@pytest.mark.parametrize(
    ("part", "limit", "ids"),
    [
        ("body", 500, {"crush-gap-shift", "crush-gap-nose"}),
        ("head", 300, {"crush-gap-shift", "crush-gap-nose"}),
        ("leg", 180, {"crush-gap-shift"}),
        ("arm", 120, set()),
        ("finger", 25, set()),
    ],
)
def test_the_limit_of_the_part_of_the_body_counts(part: str, limit: int, ids: set[str]) -> None:
    """A gap is told where it is below the limit for the job's part of the body, with that part in the sentence."""
    found = cautions(altered(SLIDING, {PART: f'"{part}"'}))
    assert set(found) == ids
    for caution in found.values():
        assert f"below {limit} mm it can crush the {part}" in caution.text
        assert caution.source == CRUSH_SOURCE


def test_a_gap_at_the_limit_is_none_below_it() -> None:
    """158 mm at 300 mm: the limit of 180 mm for a leg is met from 322 mm on."""
    leg = altered(SLIDING, {PART: '"leg"'})
    assert set(cautions(leg, standoff_mm=321.9)) == {"crush-gap-shift"}
    assert set(cautions(leg, standoff_mm=322.0)) == set()


def test_a_gap_that_would_be_negative_closes_to_nothing() -> None:
    """Where the machines would overlap, the gap is told as closed."""
    assert "closes to 0 mm" in cautions(SLIDING, standoff_mm=100.0)["crush-gap-shift"].text


def test_without_a_shift_or_a_cover_nothing_is_said_of_it() -> None:
    """Only what moves closes a gap, and only what was measured can be told."""
    unshifted = altered(SLIDING, {"lathe.modes[1].loader_shift": None})
    unmeasured = altered(SLIDING, {"lathe.cover_to_adapter": None})
    assert set(cautions(unshifted)) == set(cautions(unmeasured)) == {"crush-gap-nose"}
    assert cautions(FIXED) == {}


def test_they_stand_in_every_placement() -> None:
    """The placement's warnings hold them for its own standoff."""
    warnings = place(parse_job(SLIDING)).warnings
    assert {warning.id for warning in warnings} == {"crush-gap-shift", "crush-gap-nose"}


def test_the_lockout_text_defers_to_those_who_decide() -> None:
    """It names the rules and says that the makers' manuals, the code and the risk assessment decide."""
    for words in ("29 CFR 1910.147", "29 CFR 1910.212", "ISO 13854", "the makers' manuals", "risk assessment", "no release"):
        assert words in LOCKOUT


BACK = {"lathe.modes[0].loader_shift": '"-40 mm"', "lathe.modes[1].loader_shift": '"-30 mm"'}


@pytest.mark.parametrize(("ahead", "told"), [("320 mm", "only 20 mm from"), ("345 mm", "5 mm inside"), ("300 mm", "")])
def test_where_the_loader_is_set_down_not_shifted(ahead: str, told: str) -> None:
    """300 mm less what is ahead of the clamp, and the cover 40 mm ahead of the adapter: 25.4 mm are kept."""
    text = altered(SLIDING, {**BACK, "loader.body_ahead_of_clamp": f'"{ahead}"'})
    found = set_down(parse_job(text), standoff_mm=300.0, cut_mm=0.0)
    assert len(found) == bool(told)
    assert all(told in caution.text for caution in found)
    warned = {warning.id for warning in place(parse_job(text), asked_mm=300.0).warnings}
    assert ("cover-not-shifted" in warned) is bool(told)


def test_a_mode_that_does_not_shift_asks_it_already() -> None:
    """Then the window keeps the cover clear there."""
    text = altered(SLIDING, {"lathe.modes[1].loader_shift": '"-30 mm"', "loader.body_ahead_of_clamp": '"345 mm"'})
    assert set_down(parse_job(text), standoff_mm=300.0, cut_mm=0.0) == ()
