"""Fields by their paths: what each takes; and a value set in the tables is the value set in the text, however it was written."""

from __future__ import annotations

import pytest

from standoff.errors import UsageError
from standoff.job.field import Kind, kind_of, replaced, value_at
from standoff.job.file import read_tables
from standoff.job.revision import revised
from tests.texts import SLIDING

KINDS = {
    "job": Kind.TABLE,
    "prices": Kind.TABLE,
    "job.title": Kind.WORDS,
    "job.units": Kind.WORDS,
    "check[3].from": Kind.WORDS,
    "lathe.modes": Kind.ROWS,
    "lathe.modes[1]": Kind.ROW,
    "lathe.modes[0].z_rear": Kind.QUANTITY,
    "lathe.modes[0].z_rear[2]": Kind.QUANTITY,
    "rules.bar_margin": Kind.QUANTITY,
    "loader.centre_height[0]": Kind.RANGE_END,
    "loader.centre_height[1]": Kind.RANGE_END,
    "remedy[0].lengths": Kind.QUANTITIES,
    "remedy[0].cost": Kind.NUMBER,
    "symptom[0].only": Kind.FLAG,
}
NONE = (
    "",
    "nothing",
    "lathe.nothing",
    "job.title.more",
    "job.title[0]",
    "job[0]",
    "lathe.modes.name",
    "fittings[0][1]",
    "loader.centre_height",
    "loader.centre_height[2]",
    "remedy[0].lengths[0]",
    "remedy[0].cost[0]",
    "check[0].start",
    "a..b",
    "[0]",
    "job.title ",
)


@pytest.mark.parametrize("field", KINDS)
def test_fields_take_what_is_declared(field: str) -> None:
    """The kind of a field is read off the declaration of the tables."""
    assert kind_of(field) is KINDS[field]


@pytest.mark.parametrize("field", NONE)
def test_what_is_no_field_is_refused(field: str) -> None:
    """A path that leads nowhere, too far, or not far enough."""
    with pytest.raises(UsageError):
        kind_of(field)


_LATHE, _REST = SLIDING[: SLIDING.index("[[lathe.modes]]")], SLIDING[SLIDING.index("[loader]") :]
_MODES = SLIDING[len(_LATHE) : -len(_REST)]
_REACH = 'pusher_reach = "1120 mm"\n'
SHAPES = {
    "as usual": SLIDING,
    "the modes behind everything else": f"{_LATHE}{_REST}\n{_MODES}",
    "the modes on one line": (
        _LATHE + 'modes = [{ name = "a", z_rear = "0 mm", z_front = "190 mm" }, { name = "b", z_rear = "150 mm" }]\n\n' + _REST
    ),
    "a quantity with a header of its own": (
        SLIDING.replace(_REACH, "").replace("[nose]", '[loader.pusher_reach]\nvalue = "1120 mm"\nsource = "tape"\n\n[nose]')
    ),
    "a quantity in dotted keys": SLIDING.replace(_REACH, 'pusher_reach.value = "1120 mm"\npusher_reach.source = "tape"\n'),
    "lines of another system": SLIDING.replace("\n", "\r\n"),
}
CHANGES: list[tuple[str, object]] = [
    ("loader.pusher_reach", {"value": "1 m", "source": "tape"}),
    ("loader.pusher_reach", "1 m"),
    ("loader.pusher_reach", None),
    ("loader.centre_height", ["1 m", {"value": "2 m", "source": "manual"}]),
    ("lathe.name", "x"),
    ("lathe.z_forward", None),
    ("lathe.modes[0].z_bar_change", "3 mm"),
    ("lathe.modes[1].loader_shift", "3 mm"),
    ("lathe.modes[2]", {}),
    ("lathe.modes[0]", None),
    ("lathe.modes", None),
    ("fittings[1]", {}),
    ("passage[0]", None),
    ("check[0].from", "clamp"),
    ("prices", {}),
    ("as_installed.standoff", "1 m"),
    ("bar_path", None),
    ("rules.longest_bar", None),
]


@pytest.mark.parametrize("shape", SHAPES)
@pytest.mark.parametrize(("field", "value"), CHANGES)
def test_tables_and_text_change_alike(shape: str, field: str, value: object) -> None:
    """A field set, or taken out, in the tables gives the tables of the text so changed; the old ones stay as they were."""
    raw = read_tables(SHAPES[shape])
    assert isinstance(raw, dict)
    changed = replaced(raw, field, value)
    assert changed == read_tables(revised(SHAPES[shape], {field: value}))
    assert value_at(changed, field) == value or (value is None and "[" in field)
    assert raw == read_tables(SHAPES[shape])


def test_index_beyond_the_next_is_refused() -> None:
    """A list is filled in its order."""
    with pytest.raises(UsageError, match="in their order"):
        replaced({"fittings": [{}]}, "fittings[2].name", "x")
    with pytest.raises(UsageError):
        replaced({"job": "text"}, "job.title", "x")
