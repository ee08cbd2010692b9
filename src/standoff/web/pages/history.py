"""The history: every revision of a job, and the way back to any of them."""

from __future__ import annotations

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response
from starlette.routing import Route

from standoff.desk.history_page import history_rows
from standoff.web.forms import number_of, whole
from standoff.web.pages.shell import bench, job_id, page

MOST = 25


async def shown(request: Request) -> HTMLResponse:
    """Every revision, the newest first."""
    sheet = await run_in_threadpool(bench(request).sheet, job_id(request))
    start = whole(request.query_params.get("start", "")) or 0
    lines, more = await run_in_threadpool(history_rows, bench(request), job_id(request), start=start, most=MOST)
    return page(request, "history.html", sheet, "history", {"lines": lines, "more": more, "start": start, "most": MOST})


async def returned(request: Request) -> Response:
    """Back to a revision: its contents become a new one."""
    form = await request.form()
    await run_in_threadpool(bench(request).return_to, job_id(request), number_of(form, "number"))
    return RedirectResponse(f"/jobs/{job_id(request)}/history", status_code=303)


ROUTES = (
    Route("/jobs/{job_id}/history", shown),
    Route("/jobs/{job_id}/history/return", returned, methods=["POST"]),
)
