"""The tables beside the survey: every mistake in checks, remedies, return readings and symptoms has its code and its place."""

from __future__ import annotations

import pytest

from standoff.errors import CODES
from tests.texts import FIXED, SLIDING, altered, named, problems

CHECK = '[[check]]\nfrom = "cover"\nto = "main-collet"\nstate = "rear limit"\nvalue = "560 mm"\n'
ACROSS = '[[check]]\nfrom = "clamp"\nto = "main-collet"\nstate = "front limit"\nvalue = "1090 mm"\n'
AGAIN = '[[return_reading]]\nfrom = "clamp"\nto = "adapter"\nstate = "rear limit"\nvalue = "300 mm"\n'
QUANTITY = '[[return_reading]]\nquantity = "loader.pusher_reach"\nvalue = "1118 mm"\n'
REMNANT = '[[symptom]]\nkind = "remnant-longer"\nby = "20 mm"\n'
PRICES = '[prices]\ncurrency = "EUR"\n'

ACCEPTED = {
    "a check": CHECK,
    "a check in a mode": CHECK + 'mode = "chucker"\n',
    "a check read twice": CHECK.replace('"560 mm"', '["560 mm", "561 mm"]'),
    "a check across both machines": ACROSS + 'standoff = "300 mm"\n',
    "a check on the loader alone": ACROSS.replace("main-collet", "pusher-tip"),
    "a check from a telescopic nose's tip, which rests on the headstock": CHECK.replace('"cover"', '"nose-tip"'),
    "a distance read again": AGAIN,
    "a length read again": QUANTITY,
    "a fitting read again": QUANTITY.replace("loader.pusher_reach", "fittings[0].length"),
    "a longer remnant": REMNANT,
    "a symptom without a figure": '[[symptom]]\nkind = "nose-bottomed"\nmode = "chucker"\nonly = true\n',
    "a priced remedy": PRICES + '[[remedy]]\nkind = "cut-nose"\ncost = 90\n',
    "a remedy without a price": '[[remedy]]\nkind = "cut-nose"\n',
    "an extension": '[[remedy]]\nkind = "pusher-extension"\nlengths = ["50 mm"]\n',
    "an extension there is none of": '[[remedy]]\nkind = "pusher-extension"\navailable = false\n',
    "a fitting removed": '[[remedy]]\nkind = "fitting"\nfitting = "guide plate"\nlength = "0 mm"\n',
    "a fitting that stays": '[[remedy]]\nkind = "fitting"\navailable = false\n',
}


@pytest.mark.parametrize("case", ACCEPTED)
def test_what_is_meant_is_accepted(case: str) -> None:
    """Each table as it may be written."""
    assert named(SLIDING + ACCEPTED[case]) == []


REFUSED = {
    "check of an unknown mode": (CHECK + 'mode = "chuck"\n', "mode-unknown", "check[0].mode"),
    "remedy in an unknown mode": ('[[remedy]]\nkind = "front-limit"\nmode = "x"\n', "mode-unknown", "remedy[0].mode"),
    "return reading in an unknown mode": (AGAIN + 'mode = "x"\n', "mode-unknown", "return_reading[0].mode"),
    "symptom in an unknown mode": (REMNANT + 'mode = "x"\n', "mode-unknown", "symptom[0].mode"),
    "check from nowhere": (CHECK.replace('"cover"', '"clmap"'), "station-unknown", "check[0].from"),
    "check to nowhere": (CHECK.replace('"main-collet"', '"chuck"'), "station-unknown", "check[0].to"),
    "return reading from nowhere": (AGAIN.replace('"clamp"', '"x"'), "station-unknown", "return_reading[0].from"),
    "check to itself": (CHECK.replace('"main-collet"', '"cover"'), "station-twice", "check[0].to"),
    "return reading to itself": (AGAIN.replace('"adapter"', '"clamp"'), "station-twice", "return_reading[0].to"),
    "check across both without the standoff": (ACROSS, "standoff-missing", "check[0].standoff"),
    "exact check": (CHECK.replace("560 mm", "560 mm ± 0 mm"), "reading-exact", "check[0].value"),
    "one exact reading of two": (
        CHECK.replace('"560 mm"', '["560 mm", "560 mm ± 0 mm"]'),
        "reading-exact",
        "check[0].value",
    ),
    "exact return reading": (AGAIN.replace("300 mm", "300 mm ± 0 mm"), "reading-exact", "return_reading[0].value"),
    "exact symptom": (REMNANT.replace("20 mm", "20 mm ± 0 mm"), "reading-exact", "symptom[0].by"),
    "return reading of nothing": ('[[return_reading]]\nvalue = "300 mm"\n', "reading-of-what", "return_reading[0]"),
    "return reading of a length and a distance": (
        AGAIN + 'quantity = "loader.pusher_reach"\n',
        "reading-of-what",
        "return_reading[0]",
    ),
    "return reading of half a distance": (
        AGAIN.replace('to = "adapter"\n', ""),
        "reading-of-what",
        "return_reading[0]",
    ),
    "return reading without the state": (
        AGAIN.replace('state = "rear limit"\n', ""),
        "reading-of-what",
        "return_reading[0]",
    ),
    "unknown length read again": (QUANTITY.replace("reach", "rich"), "field-unknown", "return_reading[0].quantity"),
    "length of another table read again": (
        '[as_installed]\nstandoff = "300 mm"\n' + QUANTITY.replace("loader.pusher_reach", "as_installed.standoff"),
        "field-unknown",
        "return_reading[0].quantity",
    ),
    "rule read again": (
        QUANTITY.replace("loader.pusher_reach", "rules.bar_margin"),
        "field-unknown",
        "return_reading[0].quantity",
    ),
    "length the file does not give read again": (
        QUANTITY.replace("loader.pusher_reach", "nose.entry_depth"),
        "field-unknown",
        "return_reading[0].quantity",
    ),
    "extension without lengths": ('[[remedy]]\nkind = "pusher-extension"\n', "key-missing", "remedy[0].lengths"),
    "fitting without its new length": (
        '[[remedy]]\nkind = "fitting"\nfitting = "guide plate"\n',
        "key-missing",
        "remedy[0].length",
    ),
    "fitting that is not there": (
        '[[remedy]]\nkind = "fitting"\nfitting = "guide plat"\nlength = "0 mm"\n',
        "fitting-unknown",
        "remedy[0].fitting",
    ),
    "fitting without a name": ('[[remedy]]\nkind = "fitting"\nlength = "0 mm"\n', "fitting-unknown", "remedy[0].fitting"),
    "price without a currency": ('[[remedy]]\nkind = "cut-nose"\ncost = 90\n', "currency-missing", "remedy[0].cost"),
    "yearly price without a currency": (
        '[[remedy]]\nkind = "cut-nose"\ncost_per_year = 0\n',
        "currency-missing",
        "remedy[0].cost_per_year",
    ),
    "price by the millimetre without a currency": (
        '[[remedy]]\nkind = "cut-nose"\ncost_per_year_per_mm = 3\n',
        "currency-missing",
        "remedy[0].cost_per_year_per_mm",
    ),
    "remnant without how much": (REMNANT.replace('by = "20 mm"\n', ""), "key-missing", "symptom[0].by"),
}


@pytest.mark.parametrize("case", REFUSED)
def test_what_is_wrong_is_named_once(case: str) -> None:
    """Each mistake gives its code at its place, and no second message."""
    text, code, field = REFUSED[case]
    assert named(SLIDING + text) == [(code, field)]


def test_every_code_of_these_tables_is_provoked() -> None:
    """The codes of this module are all known and all met here."""
    own = {"mode-unknown", "station-unknown", "station-twice", "standoff-missing", "reading-exact", "reading-of-what"}
    own |= {"field-unknown", "fitting-unknown", "currency-missing"}
    assert own <= set(CODES)
    assert own <= {code for _, code, _ in REFUSED.values()}


@pytest.mark.parametrize(
    ("changes", "text", "field"),
    [
        ({"lathe.cover_to_adapter": None, "lathe.cover_to_wall": None}, CHECK, "lathe.cover_to_adapter"),
        ({"lathe.cover_to_wall": None}, CHECK.replace('"main-collet"', '"wall"'), "lathe.cover_to_wall"),
        ({"lathe.collet_to_cutoff": None}, CHECK.replace('"main-collet"', '"cut-off"'), "lathe.collet_to_cutoff"),
        ({"loader.length_behind_clamp": None}, ACROSS.replace("main-collet", "loader-rear"), "loader.length_behind_clamp"),
        (
            {"lathe.cover_to_adapter": None, "lathe.cover_to_wall": None},
            '[[symptom]]\nkind = "cover-touched"\n',
            "lathe.cover_to_adapter",
        ),
    ],
)
def test_station_needs_its_lengths(changes: dict[str, str | None], text: str, field: str) -> None:
    """A station that cannot be placed for want of a length asks for that length."""
    assert named(altered(SLIDING, changes) + text) == [("key-missing", field)]


def test_fitting_without_any_in_the_job() -> None:
    """Where the job lists no fitting at all, the next action is to list it."""
    (problem,) = problems(FIXED + '[[remedy]]\nkind = "fitting"\nfitting = "plate"\nlength = "0 mm"\n')
    assert (problem.code, problem.action) == ("fitting-unknown", "list it in [[fittings]]")


def test_near_names_are_offered() -> None:
    """A misspelt name is answered with the one it is near to."""
    (problem,) = problems(SLIDING + CHECK.replace('"cover"', '"clmap"'))
    assert 'write "clamp"' in problem.action
    (problem,) = problems(SLIDING + QUANTITY.replace("reach", "rich"))
    assert 'write "loader.pusher_reach"' in problem.action
    assert "rules." not in problem.action
    (problem,) = problems(SLIDING + CHECK + 'mode = "chuck"\n')
    assert "chucker" in problem.action


def test_fixed_headstock_has_one_mode() -> None:
    """Its name is fixed; any other is unknown."""
    text = ACROSS + 'standoff = "400 mm"\n'
    assert named(FIXED + text + 'mode = "fixed"\n') == []
    assert named(FIXED + text + 'mode = "chucker"\n') == [("mode-unknown", "check[0].mode")]


def test_tip_of_a_fixed_nose_stays_with_the_loader() -> None:
    """From the adapter to a fixed nose's tip crosses both machines; from the clamp it does not."""
    across = '[[check]]\nfrom = "nose-tip"\nto = "adapter"\nstate = "standing"\nvalue = "5 mm"\n'
    assert named(FIXED + across) == [("standoff-missing", "check[0].standoff")]
    assert named(FIXED + across.replace('"adapter"', '"clamp"').replace("5 mm", "-400 mm")) == []


def test_draft_without_its_tables_is_not_judged_twice() -> None:
    """Where the lathe, its modes or the nose are missing, that is said, and the checks add nothing of their own."""
    text = 'format = "standoff-job/1"\n' + CHECK + REMNANT + QUANTITY.replace("pusher_reach", "x")
    codes = [code for code, _ in named(text)]
    assert set(codes) == {"key-missing", "field-unknown"}
    unnamed = altered(SLIDING, {"lathe.modes[0].name": None, "lathe.modes[1].name": None})
    assert ("mode-unknown", "check[0].mode") in named(unnamed + CHECK + 'mode = "chucker"\n')


def test_refused_values_are_silent() -> None:
    """A kind that cannot be read, or an end that is missing, is told once."""
    assert named(SLIDING + '[[remedy]]\nkind = "glue"\n') == [("value-choice", "remedy[0].kind")]
    assert named(SLIDING + CHECK.replace('to = "main-collet"\n', "")) == [("key-missing", "check[0].to")]
    assert named(SLIDING + '[[symptom]]\nmode = "chucker"\n') == [("key-missing", "symptom[0].kind")]
