"""What is offered for a pair: kinds, limits and shifts, each as a sum that can be worked by hand."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import pytest

from standoff.job.demonstration import text_of
from standoff.job.file import parse_job
from standoff.job.job import Job
from standoff.job.offers import floors_of, offers_of
from standoff.job.placement import Verdict, place
from standoff.job.remedies import remedies_of
from standoff.solve.remedy import Offer
from tests.texts import FIXED, SLIDING, altered, problems

PRICES = '[prices]\ncurrency = "EUR"\n'


def remedy(kind: str, **keys: str) -> str:
    """The table of a remedy; values as TOML writes them."""
    return "\n".join(["[[remedy]]", f'kind = "{kind}"', *(f"{key} = {value}" for key, value in keys.items()), ""])


def offered(text: str) -> dict[str, list[Offer]]:
    """The offers of a job by their kind."""
    found: dict[str, list[Offer]] = {}
    for offer in offers_of(parse_job(text)):
        found.setdefault(offer.kind, []).append(offer)
    return found


def changed(job: Job, offer: Offer, amount_mm: float) -> Mapping[str, float]:
    """Every quantity that an offer of so much moves, after it [mm]."""
    after = job.layout.changed(offer.change(amount_mm)).quantities
    return {name: after[name].value_mm for name, reading in job.readings.items() if after[name] != reading}


def test_usual_offers_of_a_sliding_headstock() -> None:
    """Without a word in the job: cut, shorter bar, both front limits, both rear stops, accepted remnant; none with a price."""
    found = offered(SLIDING)
    assert {kind: len(some) for kind, some in found.items()} == {
        "cut-nose": 1,
        "shorter-bar": 1,
        "front-limit": 2,
        "rear-stop": 2,
        "accept-remnant": 1,
    }
    assert not any(offer.priced for some in found.values() for offer in some)


def test_usual_offers_of_a_fixed_headstock_and_nose() -> None:
    """Nothing travels, and the cut of a fixed nose is in the window already."""
    assert set(offered(FIXED)) == {"shorter-bar", "accept-remnant"}


def test_usual_limits() -> None:
    """May be cut by 25; half the bar; front limit to the bar change or to half the travel; 150 of remnant."""
    found = offered(SLIDING)
    assert found["cut-nose"][0].greatest_mm == 25.0
    assert found["shorter-bar"][0].greatest_mm == 1830.0
    assert found["accept-remnant"][0].greatest_mm == 150.0
    # First mode: travel 190, bar change given at 110, 80 behind the front limit. Second: travel 200, 75 behind by default.
    assert [offer.greatest_mm for offer in found["front-limit"]] == pytest.approx([80.0, 100.0])
    assert [offer.greatest_mm for offer in found["rear-stop"]] == pytest.approx([95.0, 100.0])


def test_bar_change_position_stays_inside_the_travel() -> None:
    """Where the default lies 20 ahead of the rear limit, the front limit and the stop can move by 20, alone or together."""
    text = altered(SLIDING, {"rules.bar_change_setback": '"170 mm"', "lathe.modes[0].z_bar_change": None})
    found = offered(text)
    assert found["front-limit"][0].greatest_mm == pytest.approx(20.0)
    assert found["rear-stop"][0].greatest_mm == pytest.approx(20.0)
    job = parse_job(text)
    inside = floors_of(job)[1]
    assert inside.form.value(job.layout.values_mm()) == pytest.approx(20.0)
    both = job.layout.changed(found["front-limit"][0].change(12.0), found["rear-stop"][0].change(9.0))
    assert inside.form.value(both.values_mm()) == pytest.approx(-1.0)


def test_no_room_no_offer() -> None:
    """A bar change at the front limit leaves nothing to set back; a nose that may not be cut is not offered to be."""
    found = offered(altered(SLIDING, {"lathe.modes[0].z_bar_change": '"190 mm"', "nose.may_be_cut": None}))
    assert [offer.quantity for offer in found["front-limit"]] == ["lathe.modes[1].z_front"]
    assert "cut-nose" not in found


def test_own_limits_and_modes() -> None:
    """A limit of the job's own holds where it is smaller; a mode is picked by its name; a kind can be ruled out."""
    text = SLIDING + remedy("cut-nose", at_most='"10 mm"') + remedy("front-limit", mode='"chucker"', at_most='"500 mm"')
    found = offered(text + remedy("rear-stop", available="false"))
    assert found["cut-nose"][0].greatest_mm == 10.0
    assert [(offer.quantity, offer.greatest_mm) for offer in found["front-limit"]] == [("lathe.modes[1].z_front", 100.0)]
    assert "rear-stop" not in found
    assert "accept-remnant" in found


def test_prices_of_offers() -> None:
    """The three parts of a price go along."""
    text = SLIDING + PRICES + remedy("cut-nose", cost="90", cost_per_year="5", cost_per_year_per_mm="2")
    (cut,) = offered(text)["cut-nose"]
    assert (cut.first_cost, cut.yearly_cost, cut.yearly_cost_per_mm) == (90.0, 5.0, 2.0)
    assert cut.priced


def test_cut_of_a_telescopic_nose_takes_from_both_lengths() -> None:
    """10 less collapsed, 10 less extended."""
    job = parse_job(SLIDING)
    (cut,) = offered(SLIDING)["cut-nose"]
    assert changed(job, cut, 10.0) == {"nose.collapsed": 210.0, "nose.extended": 550.0}


def test_front_limit_leaves_the_cut_off_tool_where_it_is() -> None:
    """The first mode's front limit is the datum of the cut-off plane, which stays: as much farther from the collet."""
    job = parse_job(SLIDING)
    first, second = offered(SLIDING)["front-limit"]
    assert changed(job, first, 10.0) == {"lathe.modes[0].z_front": 180.0, "lathe.collet_to_cutoff": 330.0}
    assert changed(job, second, 10.0) == {"lathe.modes[1].z_front": 340.0}
    mode, after = job.layout.modes[0], job.layout.changed(first.change(10.0))
    plane = job.layout.place("cut-off", mode.at("front limit"))
    assert plane.value(after.values_mm()) == plane.value(job.layout.values_mm())


def test_rear_stop_of_the_first_mode_moves_the_datum() -> None:
    """10 ahead: the adapter at the new rear limit lies 10 farther from the cover; another mode's stop moves nothing else."""
    job = parse_job(SLIDING)
    first, second = offered(SLIDING)["rear-stop"]
    assert changed(job, first, 10.0) == {"lathe.modes[0].z_rear": 10.0, "lathe.cover_to_adapter": -30.0}
    assert changed(job, second, 10.0) == {"lathe.modes[1].z_rear": 160.0}
    bare = altered(SLIDING, {"lathe.cover_to_adapter": None, "lathe.cover_to_wall": None, "lathe.collet_to_cutoff": None})
    first, front = offered(bare)["rear-stop"][0], offered(bare)["front-limit"][0]
    assert changed(parse_job(bare), first, 10.0) == {"lathe.modes[0].z_rear": 10.0}
    assert changed(parse_job(bare), front, 10.0) == {"lathe.modes[0].z_front": 180.0}


def test_control_whose_z_falls_forward() -> None:
    """Farther back is a greater Z there, and farther forward a smaller one."""
    text = text_of("spacer-cell")
    job, found = parse_job(text), offered(text)
    assert changed(job, found["front-limit"][0], 10.0)["lathe.modes[0].z_front"] == pytest.approx(-193.0)
    assert changed(job, found["rear-stop"][0], 10.0)["lathe.modes[0].z_rear"] == pytest.approx(-8.0)


@pytest.mark.parametrize(
    ("longest", "taken_off", "expected"),
    [
        (None, None, {}),
        (None, '"30 mm"', {"loader.bar_capacity": 3630.0}),
        ('"3600 mm"', '"30 mm"', {"loader.bar_capacity": 3630.0}),
        ('"3650 mm"', '"30 mm"', {"loader.bar_capacity": 3630.0, "rules.longest_bar": 3630.0}),
        ('"3660 mm"', '"30 mm"', {"loader.bar_capacity": 3630.0, "rules.longest_bar": 3630.0}),
    ],
)
def test_extension_takes_off_the_bar(longest: str | None, taken_off: str | None, expected: dict[str, float]) -> None:
    """The capacity shrinks, and the longest bar only where it would not fit any more; the extension is taken whole."""
    text = altered(SLIDING, {"rules.longest_bar": longest}) if longest else SLIDING
    keys = {"takes_off_bar": taken_off} if taken_off else {}
    text += remedy("pusher-extension", lengths='["50 mm", "100 mm"]', **keys)
    short, long = offered(text)["pusher-extension"]
    assert (short.fixed, long.fixed) == (True, True)
    for offer, reach in ((short, 1170.0), (long, 1220.0)):
        after = changed(parse_job(text), offer, offer.greatest_mm)
        assert after == pytest.approx(expected | {"loader.pusher_reach": reach})


def test_extension_that_leaves_half_a_bar_is_not_offered() -> None:
    """What would take off more than half of the bar is no remedy."""
    text = SLIDING + remedy("pusher-extension", lengths='["50 mm"]', takes_off_bar='"1900 mm"')
    assert "pusher-extension" not in offered(text)


def test_shorter_bar_is_the_longest_of_the_job() -> None:
    """Where the job names its longest bar, that one; else the loader's capacity."""
    text = altered(SLIDING, {"rules.longest_bar": '"3000 mm"'})
    (shorter,) = offered(text)["shorter-bar"]
    assert (shorter.quantity, shorter.greatest_mm) == ("rules.longest_bar", 1500.0)
    (shorter,) = offered(SLIDING)["shorter-bar"]
    assert shorter.quantity == "loader.bar_capacity"


def test_shift_stroke_both_ways() -> None:
    """Longer by up to 50, shorter by no more than there is; only of modes that have one, only where the job says so."""
    assert "shift-stroke" not in offered(SLIDING)
    text = altered(SLIDING, {"lathe.modes[1].loader_shift": '"30 mm"'}) + remedy("shift-stroke")
    longer, shorter = offered(text)["shift-stroke"]
    assert (longer.greatest_mm, shorter.greatest_mm) == (50.0, 30.0)
    assert changed(parse_job(text), shorter, 10.0) == {"lathe.modes[1].loader_shift": 20.0}
    assert longer.quantity == shorter.quantity


@pytest.mark.parametrize(("length", "shift_mm"), [("0 mm", -45.0), ("20 mm", -25.0), ("60 mm", 15.0)])
def test_fitting_exchanged_or_removed(length: str, shift_mm: float) -> None:
    """A shorter, a longer one, or none, taken whole."""
    text = SLIDING + remedy("fitting", fitting='"guide plate"', length=f'"{length}"')
    (offer,) = offered(text)["fitting"]
    assert (offer.fixed, offer.greatest_mm) == (True, abs(shift_mm))
    assert changed(parse_job(text), offer, offer.greatest_mm) == {"fittings[0].length": 45.0 + shift_mm}


def test_fitting_of_the_same_length_is_no_change() -> None:
    """An exchange that changes nothing is not offered."""
    assert "fitting" not in offered(SLIDING + remedy("fitting", fitting='"guide plate"', length='"45 mm"'))


def test_two_prices_for_the_same_thing_are_not_added_up() -> None:
    """A front limit offered twice, to 6 and to 8: never both at once, 14 being beyond either."""
    text = SLIDING + PRICES
    text += remedy("front-limit", mode='"chucker"', at_most='"6 mm"', cost="1")
    text += remedy("front-limit", mode='"chucker"', at_most='"8 mm"', cost="50")
    for kind in ("cut-nose", "shorter-bar", "rear-stop", "accept-remnant"):
        text += remedy(kind, available="false")
    first, second = offered(text)["front-limit"]
    assert first.quantity == second.quantity
    # The chucker's reach ends at 1120 + 170 - 350 - 600 = 340, guide-bushing's at 330: only the latter binds, so nothing helps.
    assert remedies_of(parse_job(altered(text, {"loader.pusher_reach": '"1070 mm"'}))) == ()


def test_spoke_nipple_cell_has_at_least_three_remedies() -> None:
    """It does not fit as delivered; each set of changes makes it fit, verified on the changed layout and by a rewritten file."""
    text = text_of("spoke-nipple-cell")
    job = parse_job(text)
    assert place(job).verdict is Verdict.NOT
    found = remedies_of(job)
    kinds = [tuple(dose.offer.kind for dose in r.doses) for r in found]
    assert kinds == [("cut-nose",), ("front-limit",), ("accept-remnant",), ("pusher-extension",), ("rear-stop",)]
    costs = [(r.first_cost or 0.0) + (r.yearly_cost or 0.0) for r in found]
    assert costs == sorted(costs)
    for r in found:
        changes = [dose.offer.change(dose.amount_mm) for dose in r.doses]
        placement = place(replace(job, layout=job.layout.changed(*changes)))
        assert placement.verdict is Verdict.FITS
        assert placement.guarded.least_mm == pytest.approx(r.guarded.least_mm)
        assert placement.guarded.greatest_mm == pytest.approx(r.guarded.greatest_mm)


@pytest.mark.parametrize(
    ("kind", "changes"),
    [
        # 5/8 in of each: 0.625 in, seen from its own side
        ("cut-nose", {"nose.collapsed": "6 7/8 in", "nose.extended": "14 3/8 in"}),
        ("front-limit", {"lathe.modes[0].z_front": "2.025 in"}),
        ("accept-remnant", {"rules.accepted_shortfall": "5/8 in"}),
        ("pusher-extension", {"loader.pusher_reach": "30 in", "loader.bar_capacity": "71 in"}),
        ("rear-stop", {"lathe.modes[0].z_rear": "0.675 in", "lathe.cover_to_adapter": "1 3/8 in"}),
    ],
)
def test_spoke_nipple_cell_rewritten_by_hand(kind: str, changes: dict[str, str]) -> None:
    """The file changed as the remedy says, by hand: it fits, in the window the remedy promises."""
    text = text_of("spoke-nipple-cell")
    exact = ("rules.accepted_shortfall", "loader.bar_capacity")
    sources = {field: line.partition("source = ")[2] for field in changes for line in lines_of(text, field)}
    written = {
        field: f'"{value}"' if field in exact else f'{{ value = "{value}", source = {sources[field].partition("}")[0]}}}'
        for field, value in changes.items()
    }
    rules = "" if "[rules]" in text else '\n[rules]\nrear_service = "36 in"\n'
    rewritten = altered(text + rules, written)
    assert problems(rewritten) == ()
    placement = place(parse_job(rewritten))
    promised = next(r for r in remedies_of(parse_job(text)) if r.doses[0].offer.kind == kind)
    assert placement.verdict is Verdict.FITS
    assert placement.guarded.least_mm == pytest.approx(promised.guarded.least_mm, abs=1e-6)
    assert placement.guarded.greatest_mm == pytest.approx(promised.guarded.greatest_mm, abs=1e-6)


def lines_of(text: str, field: str) -> list[str]:
    """The line on which a field of the first table of its name stands."""
    table, _, key = field.rpartition(".")
    header = f"[[{table.partition('[')[0]}]]" if "[" in table else f"[{table}]"
    below = text.partition(f"{header}\n")[2]
    return [line for line in below.split("\n[")[0].splitlines() if line.startswith(f"{key} =")]
