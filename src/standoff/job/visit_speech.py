"""The diagnosis of a return visit in words, and as other programs read it."""

from __future__ import annotations

from typing import Any

from standoff.job.job import Job
from standoff.job.names import quantity_name, way
from standoff.job.speech import fine_length, length, listed, small_length
from standoff.job.visit import Visit
from standoff.solve.diagnosis import Hypothesis
from standoff.units import step_mm

FORMAT = "standoff-diagnosis/1"
SHOWN = 5
NEAREST = 3


CUT_OFF = "A cut-off tool set farther forward makes the remnant longer too: read collet to cut-off as well."


def visit_lines(visit: Visit) -> list[str]:
    """What was found, which dimension has changed, and what to read next."""
    units = visit.job.units
    lines = [f"Recorded standoff: {length(visit.recorded_mm, units)}.", "", "Found, against the record:"]
    for finding in visit.findings:
        sign = "+" if finding.difference_mm > 0.0 else ""
        lines.append(f"  {finding.name}: {sign}{fine_length(finding.difference_mm, units)}")
    lines += [f"  {bound.name}" for bound in visit.bounds]
    lines += ["", *_conclusion(visit)]
    return [*lines, CUT_OFF] if _cut_off_open(visit) else lines


def _cut_off_open(visit: Visit) -> bool:
    """Whether a longer remnant may also come from the cut-off plane, which was not read again."""
    tables = visit.job.tables
    longer = any(symptom.kind == "remnant-longer" for symptom in tables.symptom)
    return longer and all(again.quantity != "lathe.collet_to_cutoff" for again in tables.return_reading)


def _conclusion(visit: Visit) -> list[str]:
    diagnosis = visit.diagnosis
    if not diagnosis.changed:
        return ["Nothing has changed by more than the readings can be wrong. Look elsewhere: tool, bar, program, pusher collet."]
    able = [h for h in diagnosis.hypotheses if h.explains and not h.against]
    if not able:
        nearest = [f"  {hypothesis_text(h, visit)}" for h in diagnosis.hypotheses[:NEAREST]]
        none = "No single changed dimension explains all of it: two have changed, or a reading is wrong."
        return [none, *(["Nearest:", *nearest] if nearest else [])]
    lines = [f"Changed: {hypothesis_text(able[0], visit)}."]
    if visit.next_reading is not None:
        lines.append(f"These cannot be told apart by what was read. Read next: {visit.next_reading}.")
    if len(able) > 1:
        lines += ["", "Less likely:", *(f"  {hypothesis_text(h, visit)}" for h in able[1:SHOWN])]
    return lines


def hypothesis_text(hypothesis: Hypothesis, visit: Visit) -> str:
    """One hypothesis in words, its members joined by "or"."""
    amounts = zip(hypothesis.quantities, hypothesis.by_mm, strict=True)
    least = "" if hypothesis.measured else "at least "
    text = listed([f"{quantity_name(q, visit.job)} ({least}{_changed(q, by_mm, visit.job)})" for q, by_mm in amounts], last="or")
    return f"{text}; against it: {listed(hypothesis.against)}" if hypothesis.against else text


def _changed(quantity: str, by_mm: float, job: Job) -> str:
    """By how much, in steps of the tape unless it is less than one, and which way."""
    told = length if abs(by_mm) >= step_mm(job.units) else small_length
    return f"{told(abs(by_mm), job.units)} {way(quantity, by_mm, job)[0]}"


def visit_contents(visit: Visit, *, program: str) -> dict[str, Any]:
    """The diagnosis for other programs; lengths in mm to 3 decimals."""
    diagnosis = visit.diagnosis
    return {
        "format": FORMAT,
        "program": program,
        "recorded_standoff_mm": round(visit.recorded_mm, 3),
        "changed": diagnosis.changed,
        "chi_square": round(diagnosis.chi_square, 3),
        "findings": [{"name": f.name, "difference_mm": round(f.difference_mm, 3) + 0.0} for f in visit.findings],
        "noticed": [bound.name for bound in visit.bounds],
        "hypotheses": [
            {
                "quantities": list(h.quantities),
                "by_mm": [round(by_mm, 3) + 0.0 for by_mm in h.by_mm],
                "statistic": round(h.chi_square_share, 3),
                "measured": h.measured,
                "explains": h.explains,
                "against": list(h.against),
            }
            for h in diagnosis.hypotheses
        ],
        "next_reading": visit.next_reading,
    }
