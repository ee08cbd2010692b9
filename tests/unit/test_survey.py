"""A job's survey held against itself: the spacer cell with its one wrong reading, ties, and how readings are spoken of."""

from __future__ import annotations

from dataclasses import replace

import pytest

from standoff.job.advice import advise
from standoff.job.demonstration import text_of
from standoff.job.file import parse_job
from standoff.job.job import Job
from standoff.job.placement import Verdict, place, place_without_suspect
from standoff.job.survey import SurveyCheck, check_survey, observation_name, observations, without_reading
from standoff.solve.reconcile import Observation, reconcile
from tests.texts import FIXED, SLIDING, altered

SPACER = text_of("spacer-cell")
WRONG = "lathe.adapter_to_collet"
CHECK = '[[check]]\nfrom = "cover"\nto = "main-collet"\nstate = "rear limit"\nvalue = "{}"\n'


def checked(job: Job) -> SurveyCheck:
    """The check of a survey that can be checked."""
    found = check_survey(job)
    assert found is not None
    return found


def test_planted_wrong_reading_is_found_alone() -> None:
    """Adapter to collet reads 480 mm where the overall lengths make it 472: it alone is suspect."""
    found = checked(parse_job(SPACER))
    assert not found.result.consistent
    assert found.suspects == ((WRONG,),)
    assert found.split is None
    assert found.lone_suspect is not None
    assert found.lone_suspect.error_mm == pytest.approx(8.0, abs=0.5)
    assert max(found.result.judgements, key=lambda j: j.normalised_residual).name == WRONG


def test_verdict_with_and_without_the_wrong_reading() -> None:
    """With it the pair fits only if measured better; without it, it fits, and more room is left before the pusher's end."""
    placement = place(parse_job(SPACER))
    assert placement.verdict is Verdict.BETTER
    without = place_without_suspect(placement)
    assert without is not None
    assert without.verdict is Verdict.FITS
    assert without.job.readings[WRONG].value_mm == pytest.approx(472.0, abs=0.5)
    assert without.survey is None
    assert advise(placement).without == without


def test_corrected_reading_accuses_nobody() -> None:
    """At 472 mm the survey agrees with itself and the pair fits."""
    placement = place(parse_job(altered(SPACER, {WRONG: '{ value = "472 mm", source = "tape" }'})))
    assert placement.survey is not None
    assert placement.survey.result.consistent
    assert placement.survey.suspects == ()
    assert placement.survey.lone_suspect is None
    assert placement.verdict is Verdict.FITS
    assert place_without_suspect(placement) is None


def test_every_reading_of_the_spacer_cell_has_its_own_pattern() -> None:
    """Six checks over six readings: no two of the twelve show in the same way, the limits of the headstock not excepted."""
    groups = checked(parse_job(SPACER)).result.groups
    assert [len(group) for group in groups] == [1] * 12


def test_each_planted_blunder_is_found_in_the_spacer_cell() -> None:
    """Any other reading 12 mm off instead is accused alone too."""
    sound = parse_job(altered(SPACER, {WRONG: '{ value = "472 mm", source = "tape" }'}))
    bases, further = observations(sound)

    def shifted(o: Observation, wrong: str) -> Observation:
        return replace(o, value_mm=o.value_mm + (12.0 if o.name == wrong else 0.0))

    for (name,) in checked(sound).result.groups:
        result = reconcile({q: shifted(base, name) for q, base in bases.items()}, [shifted(o, name) for o in further])
        assert result is not None
        assert result.suspects == ((name,),)


def test_rejected_survey_caps_the_verdict() -> None:
    """A pair that fits by a wide margin fits "only if measured better" while two readings of the reach contradict each other."""
    sound, torn = (altered(SLIDING, {"loader.pusher_reach": f'["1120 mm", "{again} mm"]'}) for again in (1121, 1160))
    assert place(parse_job(sound)).verdict is Verdict.FITS
    assert place(parse_job(torn)).verdict is Verdict.BETTER
    assert place(parse_job(torn), asked_mm=305.0).verdict is Verdict.BETTER
    misfit = torn.replace('"600 mm"', '"700 mm"')
    assert place(parse_job(misfit)).verdict is Verdict.NOT


def test_nothing_read_twice() -> None:
    """Without a check or a second reading there is nothing to hold against anything."""
    assert check_survey(parse_job(SLIDING)) is None


def test_one_check_over_two_readings_is_one_group() -> None:
    """Cover to collet, 20 mm too much: the two parts and the check are one group, and a reading is named that splits it."""
    text = SLIDING + CHECK.format("580 mm")
    found = checked(parse_job(text))
    assert found.suspects == ((WRONG, "lathe.cover_to_adapter", "check[0].value"),)
    assert found.split == "adapter to collet, once more"
    again = checked(parse_job(altered(text, {WRONG: '["600 mm", "600.4 mm"]'})))
    assert again.suspects == (("lathe.cover_to_adapter", "check[0].value"),)


def test_distance_between_stations_may_split_a_group() -> None:
    """Where several quantities tie, the best next reading can be an overall length; typed as a check, it splits the group."""
    text = SLIDING + CHECK.format("1150 mm").replace("cover", "clamp").replace("rear", "front") + 'mode = "chucker"\n'
    text += 'standoff = "300 mm"\n'
    found = checked(parse_job(text))
    assert len(found.suspects[0]) == 6
    assert found.split == "cover to back of the main collet (chucker, front limit)"
    split = CHECK.format("910.2 mm").replace("rear", "front") + 'mode = "chucker"\n'
    groups = checked(parse_job(text + split)).result.groups
    assert max(len(set(found.suspects[0]) & set(group)) for group in groups) == 3


def test_fixed_headstock_names_no_state() -> None:
    """Where nothing travels, distances are named without mode and limit."""
    job = parse_job(FIXED + CHECK.format("820 mm").replace("cover", "adapter"))
    found = checked(job)
    assert found.suspects == ((WRONG, "check[0].value"),)
    assert observation_name("check[0].value", job) == "the check adapter to back of the main collet"


def test_check_to_the_tip_of_a_fixed_nose() -> None:
    """A fixed nose is surveyed uncut: its tip is where its whole length ends."""
    text = FIXED + '[[check]]\nfrom = "clamp"\nto = "nose-tip"\nstate = "standing"\nvalue = "{}"\n'
    assert checked(parse_job(text.format("400.5 mm"))).result.consistent
    assert checked(parse_job(text.format("420 mm"))).suspects == (("nose.length", "check[0].value"),)


def test_several_suspects_are_not_left_out_one_by_one() -> None:
    """600 against 608, and a rough 609 between them: either may be wrong, so there is no answer without "the" wrong one."""
    text = SLIDING + CHECK.format("569 mm ± 6 mm") + CHECK.format("608 mm").replace('"cover"', '"adapter"')
    found = checked(parse_job(text))
    assert found.suspects == ((WRONG,), ("check[1].value",))
    assert found.lone_suspect is None
    assert place_without_suspect(place(parse_job(text))) is None


def test_wrong_check_is_left_out() -> None:
    """A reading confirmed by two others of its own: the check is wrong, and without it everything stands as it was read."""
    job = parse_job(altered(SLIDING, {WRONG: '["600 mm", "600.5 mm"]', "lathe.cover_to_adapter": '["-40 mm", "-39.5 mm"]'}))
    torn = replace(job, tables=parse_job(SLIDING + CHECK.format("585 mm")).tables)
    wrong = checked(torn).lone_suspect
    assert wrong is not None
    assert wrong.name == "check[0].value"
    settled = without_reading(torn, wrong)
    assert settled.readings == job.readings
    assert check_survey(settled) is None


def test_observations_of_a_job() -> None:
    """Each first reading once, each repeat by its number, each check, and the standoff at which a check was read."""
    text = altered(SLIDING, {"loader.pusher_reach": '["1120 mm", "1121 mm", "1119 mm"]'})
    text += CHECK.format("560 mm") + CHECK.format('["1020 mm", "1021 mm"]').replace('""', '"').replace("cover", "clamp")
    job = parse_job(text.replace('"[', "[").replace(']"', "]") + 'standoff = "410 mm"\n')
    bases, further = observations(job)
    assert [o.name for o in further] == [
        "loader.pusher_reach[1]",
        "loader.pusher_reach[2]",
        "check[0].value",
        "check[1].value",
        "check[1].value[1]",
    ]
    assert bases["check[1].standoff"].value_mm == 410.0
    values_mm = {name: base.value_mm for name, base in bases.items()}
    assert further[2].form.value(values_mm) == 560.0  # -40 + 600
    assert further[3].form.value(values_mm) == 1010.0  # 410 + 600
    assert further[4].form == further[3].form


@pytest.mark.parametrize(
    ("name", "expected"),
    [
        (WRONG, "adapter to collet"),
        ("lathe.modes[1].z_front", "front limit of chucker mode"),
        ("loader.centre_height[0]", "the loader's lowest axis"),
        ("loader.pusher_reach[1]", "a further reading of pusher reach"),
        ("check[0].value", "the check nose-clamp face to back of the main collet (chucker, rear limit)"),
        ("check[0].value[1]", "the check nose-clamp face to back of the main collet (chucker, rear limit)"),
        (
            "check[0].standoff",
            "the standoff at which nose-clamp face to back of the main collet (chucker, rear limit) was read",
        ),
    ],
)
def test_readings_are_spoken_of(name: str, expected: str) -> None:
    """What each observation is called."""
    text = altered(SLIDING, {"loader.pusher_reach": '["1120 mm", "1121 mm"]'}) + CHECK.format("880 mm").replace("cover", "clamp")
    assert observation_name(name, parse_job(text + 'mode = "chucker"\nstandoff = "300 mm"\n')) == expected
