"""Bar cycle: whether a whole bar runs through, the bar in motion, its sheets, and below them what it is made from."""

from __future__ import annotations

from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import HTMLResponse, Response
from starlette.routing import Route

from standoff.desk.cycle_page import CAUTION, Runs, cycle_film, cycle_view
from standoff.desk.survey import survey_view
from standoff.desk.workbench import Sheet
from standoff.web.forms import whole
from standoff.web.pages.fields import form_context
from standoff.web.pages.shell import bench, job_id, page


async def shown(request: Request) -> HTMLResponse:
    """The bar cycle of a job, or what is still wanted for it."""
    sheet = await run_in_threadpool(bench(request).sheet, job_id(request))
    context = {**await run_in_threadpool(form_context, sheet, "cycle"), "fresh": False}
    return page(request, "cycle.html", sheet, "cycle", {**context, **await _answer(request, sheet)})


async def answered(request: Request) -> HTMLResponse:
    """The answer alone, after something was typed."""
    sheet = await run_in_threadpool(bench(request).sheet, job_id(request))
    context = {"sheet": sheet, **await _answer(request, sheet)}
    result: HTMLResponse = request.app.state.renderer.page("cycle_answer.html", context)
    return result


async def moments(request: Request) -> Response:
    """The moments of one part, for the page to move its picture by."""
    sheet = await run_in_threadpool(bench(request).sheet, job_id(request))
    number = whole(request.query_params.get("shown", "")) or 0
    film = await run_in_threadpool(cycle_film, sheet, _runs(request), number=number)
    return Response(film, media_type="application/json")


def _runs(request: Request) -> Runs:
    found: Runs = request.app.state.runs
    return found


async def _answer(request: Request, sheet: Sheet) -> dict[str, Any]:
    query = request.query_params
    number = whole(query.get("shown", "")) or 0
    view = await run_in_threadpool(cycle_view, sheet, _runs(request), part=query.get("part", ""), number=number)
    missing = (await run_in_threadpool(survey_view, sheet)).wanting if view is None else ()
    return {"view": view, "missing": missing, "cycle_caution": CAUTION}


ROUTES = (
    Route("/jobs/{job_id}/cycle", shown),
    Route("/jobs/{job_id}/cycle/answer", answered),
    Route("/jobs/{job_id}/cycle/moments", moments),
)
