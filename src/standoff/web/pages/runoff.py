"""Run-off: one tap a bar, how it stands by what was agreed, what was measured, the signal test sheet, and below it the plan."""

from __future__ import annotations

from typing import Any
from uuid import uuid4

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import HTMLResponse, PlainTextResponse, RedirectResponse, Response
from starlette.routing import Route

from standoff.desk.runoff_file import file_with_tally
from standoff.desk.runoff_page import CAUSES, CAUTION, RESULTS, runoff_view
from standoff.desk.runoff_taps import NotCounted, count_tap, lines_of, tap_of
from standoff.desk.survey import survey_view
from standoff.desk.workbench import Sheet
from standoff.errors import StandoffError, http_status
from standoff.web.forms import everything
from standoff.web.pages.fields import form_context
from standoff.web.pages.shell import bench, job_id, page

FROM_SCRIPT = "x-standoff-tap"
"""A tap that a script sends is answered in a word, not with a page."""


async def shown(request: Request) -> HTMLResponse:
    """The run-off of a job, or what is still wanted for it."""
    return await _page(request, "", 200)


async def _page(request: Request, refused: str, status: int) -> HTMLResponse:
    sheet = await run_in_threadpool(bench(request).sheet, job_id(request))
    context = {**await run_in_threadpool(form_context, sheet, "runoff"), "fresh": False, "refused": refused}
    answer = page(request, "runoff.html", sheet, "runoff", {**context, **await _answer(request, sheet)})
    answer.status_code = status
    return answer


async def answered(request: Request) -> HTMLResponse:
    """The answer alone, after a tap or after something was typed."""
    sheet = await run_in_threadpool(bench(request).sheet, job_id(request))
    context = {"sheet": sheet, **await _answer(request, sheet)}
    result: HTMLResponse = request.app.state.renderer.page("runoff_answer.html", context)
    return result


async def _answer(request: Request, sheet: Sheet) -> dict[str, Any]:
    log = await run_in_threadpool(bench(request).logged, job_id(request))
    query = request.query_params
    view = await run_in_threadpool(runoff_view, sheet, log, bar=query.get("bar", ""), run=query.get("run", ""))
    missing = (await run_in_threadpool(survey_view, sheet)).wanting if sheet.job is None else ()
    return {
        "view": view,
        "missing": missing,
        "runoff_caution": CAUTION,
        "causes": CAUSES,
        "results": RESULTS,
        "key": uuid4().hex,
    }


async def tapped(request: Request) -> Response:
    """A tap, counted once however often it is sent."""
    try:
        form = everything(await request.form())
        outcome = await run_in_threadpool(count_tap, bench(request), job_id(request), tap_of(form))
    except StandoffError as error:
        if FROM_SCRIPT not in request.headers:
            raise
        return PlainTextResponse(str(error), status_code=http_status(error))
    status = 200 if not isinstance(outcome, NotCounted) else 409 if outcome.waits else 422
    said = outcome.why if isinstance(outcome, NotCounted) else "counted"
    if FROM_SCRIPT in request.headers:
        return PlainTextResponse(said, status_code=status)
    if status != 200:
        return await _page(request, said, status)
    return RedirectResponse(f"/jobs/{job_id(request)}/runoff{'#signals' if form.get('row') else ''}", status_code=303)


async def counted(request: Request) -> Response:
    """How many taps the log holds: a page that has seen fewer asks for the answer anew."""
    log = await run_in_threadpool(bench(request).logged, job_id(request))
    return PlainTextResponse(f"{len(lines_of(log))}")


async def exported(request: Request) -> Response:
    """The job file with the tally of the page in it."""
    desk, job = bench(request), job_id(request)
    text = await run_in_threadpool(lambda: file_with_tally(desk.sheet(job), desk.logged(job)))
    headers = {"Content-Disposition": 'attachment; filename="run-off.toml"'}
    return Response(text, media_type="application/toml; charset=utf-8", headers=headers)


ROUTES = (
    Route("/jobs/{job_id}/runoff", shown),
    Route("/jobs/{job_id}/runoff/answer", answered),
    Route("/jobs/{job_id}/runoff/tap", tapped, methods=["POST"]),
    Route("/jobs/{job_id}/runoff/count", counted),
    Route("/jobs/{job_id}/runoff/export", exported),
)
