"""What every page of a job shares: the sheet, the steps beside it, and how a page is answered."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass

from starlette.requests import Request
from starlette.responses import HTMLResponse

from standoff.desk.cautions import LOCKOUT
from standoff.desk.cycle_page import cycle_to_go
from standoff.desk.floor_page import floor_to_go
from standoff.desk.level_page import level_to_go
from standoff.desk.runoff_page import runoff_to_go
from standoff.desk.speed_page import speed_to_go
from standoff.desk.stock_page import stock_to_go
from standoff.desk.survey import survey_to_go
from standoff.desk.walk import waiting_in
from standoff.desk.workbench import Sheet, Workbench

FARTHEST_MM = 20_000.0
STEPS = (
    ("survey", "Survey"),
    ("placement", "Placement"),
    ("move", "Move it"),
    ("speed", "Bar speed"),
    ("cycle", "Bar cycle"),
    ("stock", "Stock"),
    ("level", "Level"),
    ("floor", "Floor"),
    ("runoff", "Run-off"),
    ("history", "History"),
)


@dataclass(frozen=True, slots=True)
class StepLink:
    """One step of the job in the navigation."""

    path: str
    title: str
    state: str


def bench(request: Request) -> Workbench:
    """The workbench."""
    found: Workbench = request.app.state.bench
    return found


def job_id(request: Request) -> str:
    """The job a request is about."""
    return str(request.path_params["job_id"])


def asked_mm(request: Request) -> float | None:
    """The standoff a page asks for, as its script sends it; None for none, and for what is no place of a loader. [mm]"""
    try:
        at_mm = float(request.query_params.get("at", ""))
    except ValueError:
        return None
    return at_mm if math.isfinite(at_mm) and abs(at_mm) < FARTHEST_MM else None


def page(request: Request, template: str, sheet: Sheet, here: str, context: Mapping[str, object]) -> HTMLResponse:
    """A page of a job."""
    shared = {
        "sheet": sheet,
        "title": title_of(sheet),
        "site": sheet.entry("job.site").text,
        "units": sheet.entry("job.units").text or "in",
        "here": here,
        "here_title": dict(STEPS)[here],
        "steps": steps(sheet),
        "unclear": len(waiting_in(sheet, "survey")),
        "caution": LOCKOUT,
    }
    answer: HTMLResponse = request.app.state.renderer.page(template, {**shared, **context})
    return answer


def title_of(sheet: Sheet) -> str:
    """What the job is called."""
    return sheet.entry("job.title").text or "Job without a title"


def file_stem(sheet: Sheet) -> str:
    """The job's title as the name of a file: plain letters and digits."""
    return re.sub(r"[^A-Za-z0-9]+", "-", title_of(sheet)).strip("-").lower() or "job"


def steps(sheet: Sheet) -> tuple[StepLink, ...]:
    """The steps with the state of each as far as it is known without solving."""
    to_go = {
        "survey": survey_to_go(sheet),
        "speed": speed_to_go(sheet),
        "cycle": cycle_to_go(sheet),
        "stock": stock_to_go(sheet),
        "runoff": runoff_to_go(sheet),
        "level": level_to_go(sheet),
        "floor": floor_to_go(sheet),
    }
    unclear = {here: len(waiting_in(sheet, here)) for here in to_go}
    states = {here: f"{n} to go" if n else f"{unclear[here]} unclear" if unclear[here] else "" for here, n in to_go.items()}
    return tuple(StepLink(path, title, states.get(path, "")) for path, title in STEPS)
