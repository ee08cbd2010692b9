"""The jobs: find, begin, copy, take in, save as a file, archive."""

from __future__ import annotations

from typing import Literal
from urllib.parse import quote

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import UploadFile
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response
from starlette.routing import Route

from standoff.desk.cautions import LOCKOUT
from standoff.desk.jobs import text_of_bytes
from standoff.desk.workbench import Workbench
from standoff.errors import JobFileError, Problem
from standoff.web.forms import told, whole
from standoff.web.pages.shell import bench, file_stem, job_id, title_of

MOST = 40
FARTHEST = 1_000_000
LARGEST_BYTES = 1_000_000
STATES = {
    "fits": ("fits", "Fits", "✓"),
    "fits-if-measured-better": ("unsure", "Fits if measured better", "?"),
    "does-not-fit": ("clash", "Does not fit", "✗"),
    "incomplete": ("open", "Survey", "…"),
}


async def listed(request: Request) -> HTMLResponse:
    """The list of jobs."""
    search = request.query_params.get("search", "").strip()[:200]
    archived = request.query_params.get("archived") == "yes"
    start = min(whole(request.query_params.get("start", "")) or 0, FARTHEST)
    cards = await run_in_threadpool(bench(request).cards, search=search, archived=archived, start=start, most=MOST + 1)
    context = {
        "cards": cards[:MOST],
        "more": len(cards) > MOST,
        "start": start,
        "search": search,
        "archived": archived,
        "states": STATES,
        "caution": LOCKOUT,
    }
    answer: HTMLResponse = request.app.state.renderer.page("jobs.html", context)
    return answer


async def begin(request: Request) -> Response:
    """A blank job."""
    form = await request.form()
    units: Literal["in", "mm"] = "mm" if form.get("units") == "mm" else "in"
    headstock: Literal["sliding", "fixed"] = "fixed" if form.get("headstock") == "fixed" else "sliding"
    title = told(form, "title") or "Job without a title"
    made = await run_in_threadpool(bench(request).new_blank, title=title, units=units, headstock=headstock)
    return RedirectResponse(f"/jobs/{made}/survey", status_code=303)


async def copied(request: Request) -> Response:
    """A new job from another one's survey."""
    source = await run_in_threadpool(bench(request).sheet, job_id(request))
    made = await run_in_threadpool(bench(request).new_from, job_id(request), title=f"{title_of(source)} (copy)"[:200])
    return RedirectResponse(f"/jobs/{made}/survey", status_code=303)


async def taken_in(request: Request) -> Response:
    """A job from a file."""
    form = await request.form(max_files=1, max_part_size=LARGEST_BYTES)
    upload = form.get("file")
    if not isinstance(upload, UploadFile) or not upload.filename:
        raise JobFileError([Problem("file-missing", "", None, "", "no file", "a job file", "choose one, then take it in")])
    raw = await upload.read(LARGEST_BYTES + 1)
    made = await run_in_threadpool(_take_in, bench(request), raw, upload.filename)
    return RedirectResponse(f"/jobs/{made}/placement", status_code=303)


def _take_in(desk: Workbench, raw: bytes, name: str) -> str:
    return desk.new_from_text(text_of_bytes(raw, file=name), name)


async def exported(request: Request) -> Response:
    """The job file, to keep."""
    sheet = await run_in_threadpool(bench(request).sheet, job_id(request))
    name = file_stem(sheet)
    headers = {"Content-Disposition": f"attachment; filename=\"{name}.toml\"; filename*=UTF-8''{quote(name)}.toml"}
    return Response(sheet.text.encode(), media_type="application/toml", headers=headers)


async def archived(request: Request) -> Response:
    """Put a job away."""
    await run_in_threadpool(bench(request).archive, job_id(request))
    return RedirectResponse("/jobs", status_code=303)


async def brought_back(request: Request) -> Response:
    """Take an archived job up again."""
    await run_in_threadpool(bench(request).bring_back, job_id(request))
    return RedirectResponse("/jobs?archived=yes", status_code=303)


async def home(_: Request) -> Response:
    """The first page is the list of jobs."""
    return RedirectResponse("/jobs", status_code=303)


ROUTES = (
    Route("/", home),
    Route("/jobs", listed),
    Route("/jobs/new", begin, methods=["POST"]),
    Route("/jobs/import", taken_in, methods=["POST"]),
    Route("/jobs/{job_id}/copy", copied, methods=["POST"]),
    Route("/jobs/{job_id}/export", exported),
    Route("/jobs/{job_id}/archive", archived, methods=["POST"]),
    Route("/jobs/{job_id}/back", brought_back, methods=["POST"]),
)
