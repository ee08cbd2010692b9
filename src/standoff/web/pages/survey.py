"""The survey: the drawing beside the form; each field saves as it is left."""

from __future__ import annotations

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import HTMLResponse
from starlette.routing import Route

from standoff.desk.blank_sheet import blank_sheet
from standoff.desk.survey import survey_picture
from standoff.web.pages.fields import form_context
from standoff.web.pages.shell import bench, job_id, page


async def shown(request: Request) -> HTMLResponse:
    """The survey of a job."""
    sheet = await run_in_threadpool(bench(request).sheet, job_id(request))
    _, narrow, note = await run_in_threadpool(survey_picture, sheet)
    context = await run_in_threadpool(form_context, sheet, "survey")
    return page(request, "survey.html", sheet, "survey", {**context, "narrow": narrow, "picture_note": note})


async def blank(request: Request) -> HTMLResponse:
    """A blank sheet to print and fill in by hand."""
    sheet = await run_in_threadpool(bench(request).sheet, job_id(request))
    picture, narrow, _ = await run_in_threadpool(survey_picture, sheet)
    return page(request, "blank.html", sheet, "survey", {"stops": blank_sheet(sheet), "picture": picture, "narrow": narrow})


ROUTES = (
    Route("/jobs/{job_id}/survey", shown),
    Route("/jobs/{job_id}/survey/blank", blank),
)
