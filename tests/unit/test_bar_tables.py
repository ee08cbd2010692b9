"""The declaration of bars, supports and limits: defaults of the trade, what each key takes, examples that say about the same."""

from __future__ import annotations

from fractions import Fraction

import pytest
from pydantic import BaseModel, ValidationError

from standoff.bar.life import BAND_FACTOR
from standoff.bar.materials import MATERIALS
from standoff.bar.section import Shape
from standoff.bar.stock import GRADES_UM, groups
from standoff.bar.whip import HIGHEST_RATIO
from standoff.job.bar_tables import (
    SUPPORT_KINDS,
    BarRulesTable,
    BarTable,
    FeedTable,
    LinerTable,
    SiteCheckTable,
    SpeedLimitTable,
    SupportTable,
    defaulted,
)
from standoff.job.field import Kind, kind_of
from standoff.job.keys import extra, keys
from standoff.magnitude import UNITS, read_magnitude
from standoff.magnitude import Kind as Magnitude

# Common practice, no published source: the shares of guidance, and how well a stiffness is known.
PRACTICE = {"whip_share": 0.5, "whip_share_tapped": 0.75, "stiffness_band": 3.0, "buckling_share": 0.5, "friction": 0.2}

TABLES: dict[str, type[BaseModel]] = {
    "bars[0]": BarTable,
    "supports[0]": SupportTable,
    "liners[0]": LinerTable,
    "speed_limits[0]": SpeedLimitTable,
    "feed": FeedTable,
    "site_checks[0]": SiteCheckTable,
    "bar_rules": BarRulesTable,
}


@pytest.mark.parametrize("key", PRACTICE)
def test_a_share_has_the_trades_default(key: str) -> None:
    """Common practice, no published source; a job without the table and one with an empty table have the same."""
    assert defaulted(None, key) == defaulted(BarRulesTable(), key) == PRACTICE[key]


@pytest.mark.parametrize("key", PRACTICE)
def test_a_share_as_stated_wins(key: str) -> None:
    """What the job states is taken, and leaves the other defaults alone."""
    stated = BarRulesTable.model_validate({key: 1.0})
    assert defaulted(stated, key) == 1.0
    assert all(defaulted(stated, other) == PRACTICE[other] for other in PRACTICE if other != key)


def test_the_stiffness_of_the_pusher_is_text_with_its_unit() -> None:
    """Its default is read as it would be typed, and so is what is stated."""
    assert defaulted(None, "pusher_stiffness") == 1000.0
    assert defaulted(BarRulesTable.model_validate({"pusher_stiffness": "250 N/mm"}), "pusher_stiffness") == 250.0


def test_friction_may_be_stated_as_nothing() -> None:
    """Zero is a statement and not a missing key."""
    assert defaulted(BarRulesTable(friction=0.0), "friction") == 0.0


def test_the_defaults_stay_within_what_is_ever_advised() -> None:
    """Tested or not, a share stays at or below the highest; the band is the room's own."""
    assert defaulted(None, "whip_share") < defaulted(None, "whip_share_tapped") <= HIGHEST_RATIO
    assert defaulted(None, "stiffness_band") == BAND_FACTOR


def test_kinds_of_support_are_ordered_by_how_stiffly_they_hold() -> None:
    """What grips is stiffer than what guides, what guides than a tube, a tube than a rest; each says what it does."""
    stiffness = {kind: read_magnitude(text, kind=Magnitude.STIFFNESS) for kind, (text, _) in SUPPORT_KINDS.items()}
    assert stiffness["collet"] > stiffness["guide-bushing"] > stiffness["guide-tube"] > stiffness["rest"] > 0.0
    assert stiffness["rest"] == stiffness["channel"]
    assert all(does for _, does in SUPPORT_KINDS.values())


REFUSED = [
    (BarRulesTable, "whip_share", 0.0),
    (BarRulesTable, "whip_share", 1.1),
    (BarRulesTable, "whip_share", "0.5"),
    (BarRulesTable, "whip_share", float("nan")),
    (BarRulesTable, "buckling_share", -0.5),
    (BarRulesTable, "stiffness_band", 0.99),
    (BarRulesTable, "stiffness_band", float("inf")),
    (BarRulesTable, "friction", -0.1),
    (BarRulesTable, "friction", 1.5),
    (BarRulesTable, "pusher_stiffness", 1000.0),
    (BarTable, "shape", "flat"),
    (BarTable, "shape", "D-shaped"),
    (BarTable, "grade", "h8"),
    (BarTable, "straightness_standard", "DIN 671"),
    (BarTable, "speed", "3000 N"),
    (SupportTable, "kind", "steady"),
    (SupportTable, "station", "wall"),
    (SupportTable, "flooded", "yes"),
    (SpeedLimitTable, "of", "gearbox"),
    (SiteCheckTable, "kind", "guess"),
    (SiteCheckTable, "sag", "1.3 mm"),
    (FeedTable, "hold", "30 mm"),
]


@pytest.mark.parametrize(("table", "key", "value"), REFUSED)
def test_what_a_key_does_not_take(table: type[BaseModel], key: str, value: object) -> None:
    """Nothing is converted, clamped or guessed."""
    with pytest.raises(ValidationError):
        table.model_validate({key: value})


def test_examples_in_both_units_say_about_the_same() -> None:
    """As for lengths: where speeds, forces and masses have two examples, they are of one size."""
    pairs = 0
    for path, table in TABLES.items():
        for key, _, field in keys(table):
            examples = extra(field)["examples"]
            kind = magnitude_of(examples[0])
            if kind is None or len(examples) != 2:
                continue
            first, second = (read_magnitude(example, kind=kind) for example in examples)
            assert first == pytest.approx(second, rel=0.15), f"{path}.{key}"
            pairs += 1
    assert pairs >= 1


def magnitude_of(example: str) -> Magnitude | None:
    """Which kind of magnitude an example is, by its unit."""
    unit = example.split(" ")[-1]
    return next((kind for kind, units in UNITS.items() if unit in units), None)


def test_a_form_knows_text_from_bare_numbers() -> None:
    """A speed is typed as text with its unit, also where it must be there; a share is a number, an oil bath a truth value."""
    text = ("bars[0].speed", "bars[0].density", "speed_limits[0].speed", "feed.hold", "bar_rules.pusher_stiffness")
    assert {kind_of(field) for field in text} == {Kind.WORDS}
    assert {kind_of(f"bar_rules.{key}") for key in PRACTICE} == {Kind.NUMBER}
    assert kind_of("supports[2].flooded") is Kind.FLAG
    assert kind_of("site_checks[0].sag") is Kind.QUANTITIES
    assert kind_of("bars[0].size") is Kind.QUANTITY


def test_the_choices_are_what_the_physics_knows() -> None:
    """Every shape, grade and standard that can be written has its figures, and none is left out."""

    def choices(table: type[BaseModel], key: str) -> set[str]:
        found = table.model_json_schema()["properties"][key]
        return {word for part in (found, *found.get("anyOf", ())) for word in part.get("enum", ())}

    assert choices(BarTable, "shape") == {shape.value for shape in Shape}
    assert choices(BarTable, "grade") == set(GRADES_UM)
    assert all(groups(standard) for standard in choices(BarTable, "straightness_standard"))
    assert choices(SupportTable, "kind") == set(SUPPORT_KINDS)
    assert extra(BarTable.model_fields["material"])["examples"][0] in MATERIALS


def test_a_magnitude_is_kept_in_the_houses_unit() -> None:
    """Pounds and feet are gone once the table is read."""
    feed = FeedTable.model_validate({"hold": "9 lbf", "set_force": "40 N"})
    assert feed.hold == pytest.approx(float(9 * Fraction(45359237, 10**8) * Fraction(980665, 10**5)))
    assert feed.set_force == 40.0
    assert (feed.insertion, BarTable().speed) == (None, None)
