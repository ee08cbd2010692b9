"""Bar speed: the answer for each bar, its chart and its reasons, and below them what it is made from."""

from __future__ import annotations

from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import HTMLResponse
from starlette.routing import Route

from standoff.desk.speed_page import CAUTION, Speeds, speed_view
from standoff.desk.survey import survey_view
from standoff.desk.workbench import Sheet
from standoff.web.forms import whole
from standoff.web.pages.fields import form_context
from standoff.web.pages.shell import bench, job_id, page


async def shown(request: Request) -> HTMLResponse:
    """Bar speed of a job, or what is still wanted for it."""
    sheet = await run_in_threadpool(bench(request).sheet, job_id(request))
    context = {**await run_in_threadpool(form_context, sheet, "speed"), "fresh": False}
    return page(request, "speed.html", sheet, "speed", {**context, **await _answer(request, sheet)})


async def answered(request: Request) -> HTMLResponse:
    """The answer alone, after something was typed."""
    sheet = await run_in_threadpool(bench(request).sheet, job_id(request))
    context = {"sheet": sheet, **await _answer(request, sheet)}
    result: HTMLResponse = request.app.state.renderer.page("speed_answer.html", context)
    return result


async def _answer(request: Request, sheet: Sheet) -> dict[str, Any]:
    speeds: Speeds = request.app.state.speeds
    query = request.query_params
    number = whole(query.get("shown", "")) or 0
    view = await run_in_threadpool(speed_view, sheet, speeds, bar=query.get("bar", ""), number=number)
    missing = (await run_in_threadpool(survey_view, sheet)).wanting if view is None else ()
    return {"view": view, "missing": missing, "speed_caution": CAUTION}


ROUTES = (
    Route("/jobs/{job_id}/speed", shown),
    Route("/jobs/{job_id}/speed/answer", answered),
)
