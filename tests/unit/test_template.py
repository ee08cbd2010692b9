"""The job file to fill in: every key is in it, and it is a job as it stands and with everything optional used."""

from __future__ import annotations

import re
from itertools import product

import pytest
from pydantic import BaseModel

from standoff.job.checks import KEYS_OF_KIND
from standoff.job.cycle import bar_cycles
from standoff.job.file import parse_job
from standoff.job.floor_plan import floor_plan
from standoff.job.keys import keys, table_of
from standoff.job.levels import level_of
from standoff.job.placement import Verdict, place
from standoff.job.speed import bar_speed
from standoff.job.tables import JobFile
from standoff.job.template import Headstock, template
from standoff.units import Units

ALL: list[tuple[Headstock, Units]] = list(product(("sliding", "fixed"), ("in", "mm")))
OPTIONAL = re.compile(r"^# (?=\[|[a-z_]+ += )", re.MULTILINE)

LEFT_OUT = {"check", "remedy", "as_installed", "return_reading", "symptom"}
LEFT_OUT |= {"runoff", "runoff_runs", "runoff_alarms", "runoff_bars", "runoff_signals"}
"""Tables that come later than the first file: after a contradiction, an empty window, a return visit, or for the run-off."""


def in_full(text: str) -> str:
    """The template with every optional line in use."""
    return OPTIONAL.sub("", text)


def test_every_key_is_in_the_template() -> None:
    """Each key of each table stands in one of the two templates at least, as a key."""
    both = template("sliding", "in") + template("fixed", "in")
    written = set(re.findall(r"^(?:# )?([a-z_]+) += ", both, re.MULTILINE))
    headers = set(re.findall(r"^(?:# )?\[+([a-z_.]+)\]+$", both, re.MULTILINE))
    tops = {key for key, _, _ in keys(JobFile)}
    assert tops - LEFT_OUT == {header for header in headers if "." not in header} | {"format"}
    assert tops >= LEFT_OUT
    for header in headers:
        table: type[BaseModel] = JobFile
        for part in header.split("."):
            table = table_of(table, part)
        assert {key for key, _, _ in keys(table)} - {"modes"} <= written, header


@pytest.mark.parametrize(("headstock", "units"), ALL)
def test_as_written_it_is_a_job(headstock: Headstock, units: Units) -> None:
    """Nothing has to be filled in before the program can show what it does."""
    job = parse_job(template(headstock, units))
    assert (job.units, job.sliding, job.telescopic) == (units, headstock == "sliding", headstock == "sliding")
    assert place(job).verdict in Verdict
    assert job.fittings == ()


@pytest.mark.parametrize(("headstock", "units"), ALL)
def test_with_everything_optional_it_is_a_job_too(headstock: Headstock, units: Units) -> None:
    """Each optional line, its mark removed, is accepted together with all others, and every requirement is judged."""
    job = parse_job(in_full(template(headstock, units)))
    placement = place(job)
    assert all(not job.layout.wanting(requirement) for requirement in job.layout.requirements)
    assert {judged.row.id for judged in placement.rows} == {requirement.id for requirement in job.layout.requirements}
    assert job.fittings == ("moving anti-vibration device",)


@pytest.mark.parametrize(("headstock", "units"), ALL)
def test_no_line_for_the_other_kind(headstock: Headstock, units: Units) -> None:
    """A fixed headstock is asked for no modes and no sense of Z, a nose for no length of the other kind."""
    text = template(headstock, units)
    assert ("[[lathe.modes]]" in text) is ("z_forward = " in text) is (headstock == "sliding")
    other = KEYS_OF_KIND["fixed" if headstock == "sliding" else "telescopic"]
    assert not any(re.search(rf"^(# )?{key} = ", text.split("[nose]")[1].split("[[")[0], re.MULTILINE) for key in other)


def test_its_examples_are_in_the_units_asked_for() -> None:
    """What a millimetre shop would type is in millimetres; the trade's defaults stay as they are printed."""
    survey = template("sliding", "mm").split("[rules]")[0]
    assert not re.search(r'^(# )?[a-z_]+ = .*[0-9] (in|ft)"', survey, re.MULTILINE)
    # Diameters are metric in the trade either way, and straightness is said over a metre.
    everywhere = "name|bore|pusher_od|pusher_collet_od|running_clearance|straightness"
    inches = re.sub(rf"(?m)^(# )?({everywhere}) = .*$", "", template("sliding", "in"))
    assert not re.search(r'^(# )?[a-z_]+ = .*[0-9] c?m?m"', inches, re.MULTILINE)


def test_it_says_how_to_use_it() -> None:
    """The head explains notations, sources and the marks of optional lines."""
    head = template("fixed", "in").split("\n\n")[0]
    assert all(line.startswith("#") for line in head.splitlines())
    assert "remove the # to use it" in head
    assert '"8 in ± 1/16 in"' in head


@pytest.mark.parametrize(("headstock", "units"), ALL)
def test_with_everything_optional_the_speed_of_its_bar_is_told(headstock: Headstock, units: Units) -> None:
    """The bar's tables of the template are enough for an answer: it passes, in a liner, with every limit and reading used."""
    job = parse_job(in_full(template(headstock, units)))
    (said,) = bar_speed(place(job)).bars
    assert said.passes
    assert said.limits
    assert {reading.kind for reading in said.readings} == {"sag", "tap"}
    assert (said.bar.straightness_from == "as stated") is (headstock == "sliding")


@pytest.mark.parametrize(("headstock", "units"), ALL)
def test_with_everything_optional_the_lie_of_its_loader_is_told(headstock: Headstock, units: Units) -> None:
    """Feet, instruments and readings of the template are one round that tells everything, agrees, and has moves."""
    level = level_of(place(parse_job(in_full(template(headstock, units)))))
    (one,) = level.rounds
    assert one.alignment is not None
    assert one.alignment.fit.consistent
    assert one.sideways_read
    assert one.plan is not None
    assert len(one.plan.feet) == 4


@pytest.mark.parametrize(("headstock", "units"), ALL)
def test_numbers_and_truth_values_stand_without_quotes(headstock: Headstock, units: Units) -> None:
    """A share is a bare number, an oil bath a bare truth value; a speed is text with its unit."""
    text = template(headstock, units)
    assert re.search(r"^# whip_share = 0\.5 ", text, re.MULTILINE)
    assert re.search(r"^# stiffness_band = 3 ", text, re.MULTILINE)
    assert re.search(r"^# flooded = true ", text, re.MULTILINE)
    assert re.search(r'^# speed = "8000 rpm" ', text, re.MULTILINE)
    assert re.search(r'^# pusher_stiffness = "1 kN/mm" ', text, re.MULTILINE)
    metric = units == "mm"
    assert (f'pusher_mass = "{"0.9 kg" if metric else "2 lb"}"') in text


@pytest.mark.parametrize(("headstock", "units"), ALL)
def test_with_everything_optional_a_bar_of_it_runs_through(headstock: Headstock, units: Units) -> None:
    """The part, the cycle and the stock of the template are enough for a bar's whole life."""
    job = parse_job(in_full(template(headstock, units)))
    (cycle,) = bar_cycles(place(job, asked_mm=place(job).standoff_mm))
    assert cycle.part.count > 1
    assert {trouble.id for trouble in cycle.troubles} <= {judged.row.id for judged in place(job).failing}
    assert (cycle.part.seconds, cycle.bar_change_s) == (75.0, 35.0)


@pytest.mark.parametrize(("headstock", "units"), ALL)
def test_with_everything_optional_its_floor_is_planned(headstock: Headstock, units: Units) -> None:
    """The floor of the template is enough for rows, feet, marks and the axis; nothing of it is left out or refused."""
    plan = floor_plan(place(parse_job(in_full(template(headstock, units)))))
    assert plan.wanted == ()
    assert plan.not_stated == ()
    assert plan.rows
    assert plan.loads is not None
    assert plan.loads.feet
    assert plan.marking is not None
    assert plan.marking.mark_out is not None
    assert plan.marking.axis is not None
