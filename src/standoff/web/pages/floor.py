"""The floor: has everything its room, the plan with the loader to drag, feet, marks, the building's plan, the fields."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any
from uuid import uuid4

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import UploadFile
from starlette.requests import Request
from starlette.responses import HTMLResponse, PlainTextResponse, RedirectResponse, Response
from starlette.routing import Route

from standoff.desk.building import KIND, TAKEN, UNITS_MM, contents_of, read_plan
from standoff.desk.floor_page import CAUTIONS, building_of, floor_dxf, floor_sheet, floor_view
from standoff.desk.survey import survey_view
from standoff.desk.workbench import LogLine, Sheet, Workbench
from standoff.errors import StandoffError
from standoff.web.forms import told, whole
from standoff.web.pages.fields import form_context
from standoff.web.pages.shell import asked_mm, bench, file_stem, job_id, page

LARGEST_BYTES = 12_000_000
NO_FILE = "No file was chosen: choose the plan as a DXF text file, then read it in."


async def shown(request: Request) -> HTMLResponse:
    """The floor of a job, or what is still wanted for it."""
    return await _page(request, "", 200)


async def _page(request: Request, refused: str, status: int) -> HTMLResponse:
    sheet = await run_in_threadpool(bench(request).sheet, job_id(request))
    log = await run_in_threadpool(bench(request).logged, job_id(request))
    context = {**await run_in_threadpool(form_context, sheet, "floor"), "fresh": False}
    beside = {
        "building": await run_in_threadpool(building_of, sheet, log),
        "plan_units": tuple(UNITS_MM),
        "plan_refused": refused,
    }
    answer = page(request, "floor.html", sheet, "floor", {**context, **beside, **await _answer(request, sheet, log)})
    answer.status_code = status
    return answer


async def answered(request: Request) -> HTMLResponse:
    """The answer alone, after something was typed or the loader was dragged."""
    sheet = await run_in_threadpool(bench(request).sheet, job_id(request))
    log = await run_in_threadpool(bench(request).logged, job_id(request))
    context = {"sheet": sheet, **await _answer(request, sheet, log)}
    result: HTMLResponse = request.app.state.renderer.page("floor_answer.html", context)
    return result


async def _answer(request: Request, sheet: Sheet, log: Sequence[LogLine]) -> dict[str, Any]:
    at_mm = asked_mm(request)
    view = await run_in_threadpool(floor_view, sheet, log, asked_mm=at_mm)
    missing = (await run_in_threadpool(survey_view, sheet)).wanting if view is None else ()
    at = "" if at_mm is None else f"{at_mm:.4f}"
    drag_json = json.dumps(view.drag, allow_nan=False) if view is not None else ""
    return {"view": view, "missing": missing, "cautions": CAUTIONS, "at": at, "drag_json": drag_json}


async def drawn(request: Request) -> Response:
    """The plan for a CAD program."""
    sheet = await run_in_threadpool(bench(request).sheet, job_id(request))
    log = await run_in_threadpool(bench(request).logged, job_id(request))
    text = await run_in_threadpool(floor_dxf, sheet, log, asked_mm=asked_mm(request))
    return _file(sheet, text, "floor.dxf", "image/vnd.dxf")


async def printed(request: Request) -> Response:
    """The plan to print to scale."""
    sheet = await run_in_threadpool(bench(request).sheet, job_id(request))
    log = await run_in_threadpool(bench(request).logged, job_id(request))
    one_to = whole(request.query_params.get("scale", ""))
    text = await run_in_threadpool(floor_sheet, sheet, log, asked_mm=asked_mm(request), one_to=one_to)
    return _file(sheet, text, "floor.svg", "image/svg+xml")


def _file(sheet: Sheet, text: str, ending: str, kind: str) -> Response:
    if not text:
        return PlainTextResponse("There is no floor plan yet.", status_code=409)
    headers = {"Content-Disposition": f'attachment; filename="{file_stem(sheet)}-{ending}"'}
    return Response(text.encode(), media_type=kind, headers=headers)


async def taken_in(request: Request) -> Response:
    """A building's plan, read in and kept beside the job."""
    form = await request.form(max_files=1, max_part_size=LARGEST_BYTES)
    upload, unit = form.get("file"), told(form, "unit") or None
    layers = [name for part in told(form, "layers").split(",") if (name := part.strip())]
    if not isinstance(upload, UploadFile) or not upload.filename:
        return await _page(request, NO_FILE, 422)
    raw = await upload.read(LARGEST_BYTES + 1)
    try:
        await run_in_threadpool(_take_in, bench(request), job_id(request), raw, upload.filename, unit, layers or None)
    except StandoffError as error:
        return await _page(request, str(error), 422)
    return RedirectResponse(f"/jobs/{job_id(request)}/floor#building", status_code=303)


def _take_in(desk: Workbench, job: str, raw: bytes, name: str, unit: str | None, layers: list[str] | None) -> None:
    desk.log(job, KIND, contents_of(read_plan(raw, file=name[:120], unit=unit, layers=layers)), uuid4().hex)


async def layers_taken(request: Request) -> Response:
    """Which layers of the building's plan are drawn and judged."""
    form = await request.form()
    taken = [value for value in form.getlist("layer") if isinstance(value, str)]
    await run_in_threadpool(bench(request).log, job_id(request), TAKEN, {"taken": taken}, uuid4().hex)
    return RedirectResponse(f"/jobs/{job_id(request)}/floor#building", status_code=303)


async def put_away(request: Request) -> Response:
    """The building's plan taken away again."""
    await run_in_threadpool(bench(request).log, job_id(request), KIND, {"lines": []}, uuid4().hex)
    return RedirectResponse(f"/jobs/{job_id(request)}/floor#building", status_code=303)


ROUTES = (
    Route("/jobs/{job_id}/floor", shown),
    Route("/jobs/{job_id}/floor/answer", answered),
    Route("/jobs/{job_id}/floor/plan.dxf", drawn),
    Route("/jobs/{job_id}/floor/plan.svg", printed),
    Route("/jobs/{job_id}/floor/building", taken_in, methods=["POST"]),
    Route("/jobs/{job_id}/floor/building/layers", layers_taken, methods=["POST"]),
    Route("/jobs/{job_id}/floor/building/away", put_away, methods=["POST"]),
)
