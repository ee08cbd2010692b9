"""The placement: the sentence, the picture with the loader to drag, the conditions, remedies to try."""

from __future__ import annotations

import json

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import HTMLResponse, JSONResponse, PlainTextResponse, RedirectResponse, Response
from starlette.routing import Route

from standoff.desk.placement_page import adopt, chance_curve, drawings_of, job_with, placement_view
from standoff.desk.survey import survey_view
from standoff.web.forms import number_of, whole
from standoff.web.pages.shell import asked_mm, bench, job_id, page

CAUTIONS = ("Warnings", "Needs an interlock or a fixed procedure")
DOUBTS = ("The readings contradict one another", "Nothing offered makes it fit", "Not checked")


def _trial(request: Request) -> int | None:
    return whole(request.query_params.get("trial", ""))


async def shown(request: Request) -> HTMLResponse:
    """The placement of a job, or why there is none yet."""
    sheet = await run_in_threadpool(bench(request).sheet, job_id(request))
    if sheet.job is None:
        survey = await run_in_threadpool(survey_view, sheet)
        wanting = {"view": None, "missing": survey.wanting, "contradictions": survey.contradictions}
        return page(request, "placement.html", sheet, "placement", wanting)
    trial, query = _trial(request), request.query_params
    view = await run_in_threadpool(
        placement_view, sheet.job, mode=query.get("mode"), state=query.get("state"), asked_mm=asked_mm(request), trial=trial
    )
    context = {
        "view": view,
        "trial": "" if trial is None else str(trial),
        "trial_query": "" if trial is None else f"&trial={trial}",
        "drawn": view.drawn,
        "drag_json": json.dumps(view.drag, allow_nan=False),
        "cautions": CAUTIONS,
        "doubts": DOUBTS,
    }
    return page(request, "placement.html", sheet, "placement", context)


async def drawing(request: Request) -> Response:
    """The elevation at another standoff."""
    sheet = await run_in_threadpool(bench(request).sheet, job_id(request))
    if sheet.job is None:
        return PlainTextResponse("There is no answer yet.", status_code=409)
    query = request.query_params
    drawn = await run_in_threadpool(
        drawings_of,
        sheet.job,
        mode=query.get("mode"),
        state=query.get("state"),
        asked_mm=asked_mm(request),
        trial=_trial(request),
    )
    result: HTMLResponse = request.app.state.renderer.page("drawings.html", {"drawn": drawn})
    return result


async def chance(request: Request) -> Response:
    """The chance that everything holds over the standoff."""
    sheet = await run_in_threadpool(bench(request).sheet, job_id(request))
    if sheet.job is None:
        return JSONResponse([])
    return JSONResponse(await run_in_threadpool(chance_curve, job_with(sheet.job, _trial(request))))


async def adopted(request: Request) -> Response:
    """A remedy adopted: its figures become the job's."""
    form = await request.form()
    await run_in_threadpool(adopt, bench(request), job_id(request), number_of(form, "number"))
    return RedirectResponse(f"/jobs/{job_id(request)}/placement", status_code=303)


ROUTES = (
    Route("/jobs/{job_id}/placement", shown),
    Route("/jobs/{job_id}/placement/drawing", drawing),
    Route("/jobs/{job_id}/placement/chance", chance),
    Route("/jobs/{job_id}/placement/adopt", adopted, methods=["POST"]),
)
