"""Level: how the loader's axis lies against the spindle's, what each foot is to do, and below it the readings round by round."""

from __future__ import annotations

from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response
from starlette.routing import Route

from standoff.desk.level_page import Levels, level_view, next_round
from standoff.desk.survey import survey_view
from standoff.desk.workbench import Sheet, Workbench
from standoff.web.forms import number_of, told, whole
from standoff.web.pages.fields import form_context
from standoff.web.pages.shell import bench, job_id, page


async def shown(request: Request) -> HTMLResponse:
    """The levelling of a job, or what is still wanted for it."""
    sheet = await run_in_threadpool(bench(request).sheet, job_id(request))
    context = {**await run_in_threadpool(form_context, sheet, "level"), "fresh": False}
    return page(request, "level.html", sheet, "level", {**context, **await _answer(request, sheet)})


async def answered(request: Request) -> HTMLResponse:
    """The answer alone, after something was typed."""
    sheet = await run_in_threadpool(bench(request).sheet, job_id(request))
    context = {"sheet": sheet, **await _answer(request, sheet)}
    result: HTMLResponse = request.app.state.renderer.page("level_answer.html", context)
    return result


async def _answer(request: Request, sheet: Sheet) -> dict[str, Any]:
    levels: Levels = request.app.state.levels
    query = request.query_params
    number = whole(query.get("round", "")) or whole(query.get("shown", "")) or 0
    view = await run_in_threadpool(lambda: level_view(sheet, levels, number=number))
    missing = (await run_in_threadpool(survey_view, sheet)).wanting if view is None else ()
    return {"view": view, "missing": missing}


async def next_begun(request: Request) -> Response:
    """The next round begun, with the places of the last one; sent twice from the same page it is begun once."""
    form = await request.form()
    await run_in_threadpool(_begin, bench(request), job_id(request), number_of(form, "base"), told(form, "stage"))
    return RedirectResponse(f"/jobs/{job_id(request)}/level#stop-readings", status_code=303)


def _begin(desk: Workbench, job: str, base: int, stage: str) -> None:
    sheet = desk.sheet(job)
    entries = next_round(sheet, stage)
    if base == sheet.number or next_round(desk.sheet(job, base), stage).keys() == entries.keys():
        desk.save_all(job, entries, "next round of readings")


ROUTES = (
    Route("/jobs/{job_id}/level", shown),
    Route("/jobs/{job_id}/level/answer", answered),
    Route("/jobs/{job_id}/level/round", next_begun, methods=["POST"]),
)
