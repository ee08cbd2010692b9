"""Move it: one large instruction from any reading, the log, and the direct readings afterwards."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from uuid import uuid4

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response
from starlette.routing import Route

from standoff.desk.move_page import ASKS, HEADSTOCKS, PHASES, SOURCES, direct_reading, move_view, stand_of
from standoff.desk.survey import survey_view
from standoff.desk.workbench import Sheet, Workbench
from standoff.errors import StandoffError
from standoff.web.forms import told
from standoff.web.pages.shell import bench, job_id, page

FIRST = {
    "gap": "",
    "source": "tape",
    "mode": "",
    "headstock": "rear",
    "at": "",
    "shifted": "",
    "phase": "",
    "value": "",
    "field": "",
}


async def shown(request: Request) -> HTMLResponse:
    """The page as it is."""
    return await _page(request, FIRST, "", 200)


async def _page(request: Request, typed: Mapping[str, str], refused: str, status: int) -> HTMLResponse:
    sheet = await run_in_threadpool(bench(request).sheet, job_id(request))
    if sheet.job is None:
        survey = await run_in_threadpool(survey_view, sheet)
        return page(request, "move.html", sheet, "move", {"view": None, "missing": survey.wanting})
    view = await run_in_threadpool(move_view, sheet.job, await run_in_threadpool(bench(request).logged, job_id(request)))
    context = {
        "view": view,
        "typed": {**FIRST, **typed},
        "refused": refused,
        "phases": PHASES,
        "headstocks": HEADSTOCKS,
        "asks": ASKS,
        "sources": SOURCES,
        "key": uuid4().hex,
    }
    answer = page(request, "move.html", sheet, "move", context)
    answer.status_code = status
    return answer


async def read(request: Request) -> Response:
    """A reading of where the loader stands, taken into the log."""
    return await _logged(request, _log_reading)


async def checked(request: Request) -> Response:
    """A direct reading, taken into the log."""
    return await _logged(request, _log_direct)


async def _logged(request: Request, log: Callable[[Workbench, Sheet, Mapping[str, str]], None]) -> Response:
    form = await request.form()
    typed = {key: told(form, key) for key in (*FIRST, "key")}
    sheet = await run_in_threadpool(bench(request).sheet, job_id(request))
    if sheet.job is None:
        return RedirectResponse(f"/jobs/{job_id(request)}/move", status_code=303)
    try:
        await run_in_threadpool(log, bench(request), sheet, typed)
    except StandoffError as error:
        return await _page(request, typed, str(error), 422)
    return RedirectResponse(f"/jobs/{job_id(request)}/move", status_code=303)


def _log_reading(desk: Workbench, sheet: Sheet, typed: Mapping[str, str]) -> None:
    if sheet.job is None:
        return
    contents = {key: typed[key] for key in ("gap", "source", "mode", "headstock", "at", "phase")}
    full = {**contents, "shifted": typed["shifted"] == "yes", "phase": contents["phase"] or "moving"}
    stand_of(sheet.job, full)
    desk.log(sheet.job_id, "reading", full, typed["key"])


def _log_direct(desk: Workbench, sheet: Sheet, typed: Mapping[str, str]) -> None:
    direct_reading(typed["value"])
    contents = {"field": typed["field"], "value": typed["value"], "phase": typed["phase"] or "moving"}
    desk.log(sheet.job_id, "direct", contents, typed["key"])


ROUTES = (
    Route("/jobs/{job_id}/move", shown),
    Route("/jobs/{job_id}/move/reading", read, methods=["POST"]),
    Route("/jobs/{job_id}/move/direct", checked, methods=["POST"]),
)
