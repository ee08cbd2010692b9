"""The survey: the drawing beside the form; each field saves as it is left."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response
from starlette.routing import Route

from standoff.desk.blank_sheet import blank_sheet
from standoff.desk.history_page import is_field
from standoff.desk.survey import (
    SOURCE_WORDS,
    begin_zero_check,
    main_field,
    one_field,
    survey_picture,
    survey_view,
    title_of_field,
)
from standoff.desk.turning import stood_choices, turned_entry
from standoff.desk.workbench import Clash, Entry, Sheet, Workbench
from standoff.errors import StandoffError
from standoff.web.forms import entry_of, everything, number_of, told, whole
from standoff.web.pages.shell import bench, job_id, page, steps, title_of

TABLES = ("fittings", "passage", "lathe.modes", "check")
ZERO_CHECK = "zero-check"
SHAPING = re.compile(r"lathe\.headstock|nose\.(kind|entry_depth)|lathe\.modes\[[0-9]+\]\.name|fittings\[[0-9]+\]\.name")
"""Fields on which it depends what else is asked: after these the whole form is shown anew."""


def _context(sheet: Sheet) -> dict[str, Any]:
    return {
        "view": survey_view(sheet),
        "sources": SOURCE_WORDS,
        "stood_choices": stood_choices,
        "sliding": sheet.entry("lathe.headstock").text == "sliding",
        "clash": None,
        "saved": "",
        "turned": "",
        "stood": "",
        "at": "",
    }


async def shown(request: Request) -> HTMLResponse:
    """The survey of a job."""
    sheet = await run_in_threadpool(bench(request).sheet, job_id(request))
    _, narrow, note = await run_in_threadpool(survey_picture, sheet)
    context = {**_context(sheet), "narrow": narrow, "picture_note": note}
    return page(request, "survey.html", sheet, "survey", context)


async def blank(request: Request) -> HTMLResponse:
    """A blank sheet to print and fill in by hand."""
    sheet = await run_in_threadpool(bench(request).sheet, job_id(request))
    picture, narrow, _ = await run_in_threadpool(survey_picture, sheet)
    return page(request, "blank.html", sheet, "survey", {"stops": blank_sheet(sheet), "picture": picture, "narrow": narrow})


async def saved(request: Request) -> Response:
    """One field, as it was left."""
    form = await request.form()
    given = (bench(request), job_id(request), everything(form), entry_of(form), number_of(form, "base"))
    answer = await run_in_threadpool(_save, *given)
    sheet: Sheet = answer["sheet"]
    context = {**_context(sheet), "whole": False, **answer, "steps": steps(sheet), "here": "survey", "title": title_of(sheet)}
    result: HTMLResponse = request.app.state.renderer.page("field_answer.html", context)
    if context["whole"]:
        result.headers["HX-Retarget"] = "#survey-form"
    return result


def _save(desk: Workbench, job: str, form: Mapping[str, str], entry: Entry, base: int) -> dict[str, Any]:
    """Save a field and say what became of it. A further reading is shown under the field it belongs to."""
    field = form.get("field", "")
    shown_under = main_field(field)
    sheet = desk.sheet(job)
    if form.get("keep") == "theirs":
        return {"sheet": sheet, "field": one_field(sheet, shown_under), "saved": shown_under}
    if form.get("keep") == "yours":
        base = sheet.number
    how, where = "", {"stood": form.get("stood", ""), "at": form.get("at", "")}
    try:
        entry, how = turned_entry(sheet, field, entry, **where)
    except StandoffError as error:
        return {"sheet": sheet, "field": one_field(sheet, field, typed=entry, refused=error), **where}
    outcome = desk.save(job, field, entry, base)
    if isinstance(outcome, Clash):
        typed = outcome.yours if field == shown_under else None
        return {"sheet": outcome.sheet, "field": one_field(outcome.sheet, shown_under, typed=typed), "clash": outcome}
    done = {"sheet": outcome.sheet, "field": one_field(outcome.sheet, shown_under), "saved": shown_under}
    return {**done, "turned": how, "whole": SHAPING.fullmatch(field) is not None}


async def since(request: Request) -> Response:
    """What was changed elsewhere since a page was made."""
    seen = whole(request.query_params.get("base", "")) or 0
    sheet = await run_in_threadpool(bench(request).sheet, job_id(request))
    if sheet.number <= seen:
        return Response(status_code=204)
    lines = await run_in_threadpool(bench(request).history, job_id(request))
    fields = sorted({line.what for line in lines if line.number > seen and is_field(line.what)})
    changed = [(title_of_field(field, sheet), sheet.entry(field).text) for field in fields]
    context = {"sheet": sheet, "changed": changed}
    result: HTMLResponse = request.app.state.renderer.page("elsewhere.html", context)
    return result


async def added(request: Request) -> Response:
    """One more mode, fitting, bore or overall reading."""
    form = await request.form()
    table = told(form, "table")
    if table == ZERO_CHECK:
        await run_in_threadpool(begin_zero_check, bench(request), job_id(request))
    elif table in TABLES:
        sheet = await run_in_threadpool(bench(request).sheet, job_id(request))
        await run_in_threadpool(bench(request).add, job_id(request), table, sheet.number)
    return _back(request)


async def removed(request: Request) -> Response:
    """One mode, fitting, bore or overall reading taken away."""
    form = await request.form()
    sheet = await run_in_threadpool(bench(request).sheet, job_id(request))
    await run_in_threadpool(bench(request).remove, job_id(request), told(form, "element"), sheet.number)
    return _back(request)


def _back(request: Request) -> Response:
    stop = request.query_params.get("stop", "")
    anchor = f"#stop-{stop}" if stop.isascii() and stop.isalpha() else ""
    return RedirectResponse(f"/jobs/{job_id(request)}/survey{anchor}", status_code=303)


ROUTES = (
    Route("/jobs/{job_id}/survey", shown),
    Route("/jobs/{job_id}/survey/blank", blank),
    Route("/jobs/{job_id}/survey/since", since),
    Route("/jobs/{job_id}/field", saved, methods=["POST"]),
    Route("/jobs/{job_id}/add", added, methods=["POST"]),
    Route("/jobs/{job_id}/remove", removed, methods=["POST"]),
)
