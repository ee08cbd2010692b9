"""Fields that save as they are left: the routes that the survey and every later page with fields share."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response
from starlette.routing import Route

from standoff.desk.asked import SHAPING
from standoff.desk.cycle_page import cycle_form
from standoff.desk.floor_page import floor_form
from standoff.desk.history_page import is_field
from standoff.desk.level_page import begun, level_form
from standoff.desk.names import page_of
from standoff.desk.runoff_page import runoff_form
from standoff.desk.speed_page import speed_form
from standoff.desk.stock_page import stock_form
from standoff.desk.survey import begin_zero_check, one_field, survey_view
from standoff.desk.survey_field import SOURCE_WORDS, main_field
from standoff.desk.turning import stood_choices, turned_entry
from standoff.desk.walk import LISTS, title_of_field
from standoff.desk.workbench import Clash, Entry, Sheet, Workbench
from standoff.errors import StandoffError
from standoff.web.forms import entry_of, everything, number_of, told, whole
from standoff.web.pages.shell import bench, job_id, steps, title_of

ZERO_CHECK = "zero-check"
FORMS: Mapping[str, Callable[[Sheet], Any]] = {
    "speed": speed_form,
    "cycle": cycle_form,
    "stock": stock_form,
    "runoff": runoff_form,
    "level": level_form,
    "floor": floor_form,
}
"""The fields of each page after the survey."""
STOPS: Mapping[str, str] = {"floor": "floor_stops.html"}
"""The pages whose entries are folded away, since there are many of them."""


def form_context(sheet: Sheet, here: str) -> dict[str, Any]:
    """What the fields of a page need: their stops, and what is said of them all."""
    view = FORMS.get(here, survey_view)(sheet)
    return {
        "form": view,
        "zero_check": getattr(view, "zero_check", ""),
        "state_template": f"{here}_state.html",
        "stops_template": STOPS.get(here, "stops.html"),
        "here": here,
        "sources": SOURCE_WORDS,
        "stood_choices": stood_choices,
        "sliding": sheet.entry("lathe.headstock").text == "sliding",
        "clash": None,
        "saved": "",
        "turned": "",
        "stood": "",
        "at": "",
    }


async def saved(request: Request) -> Response:
    """One field, as it was left."""
    form = await request.form()
    given = (bench(request), job_id(request), everything(form), entry_of(form), number_of(form, "base"))
    answer = await run_in_threadpool(_save, *given)
    result: HTMLResponse = request.app.state.renderer.page("field_answer.html", answer)
    if answer["whole"]:
        result.headers["HX-Retarget"] = "#survey-form"
    return result


def _save(desk: Workbench, job: str, form: Mapping[str, str], entry: Entry, base: int) -> dict[str, Any]:
    """Save a field and gather what follows from it."""
    outcome = _saved(desk, job, form, entry, base)
    sheet: Sheet = outcome["sheet"]
    shared = {"whole": False, "fresh": True, "steps": steps(sheet), "title": title_of(sheet)}
    return {**form_context(sheet, page_of(form.get("field", ""))), **shared, **outcome}


def _saved(desk: Workbench, job: str, form: Mapping[str, str], entry: Entry, base: int) -> dict[str, Any]:
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
    context = {"sheet": sheet, "changed": changed, "here": request.path_params["here"]}
    result: HTMLResponse = request.app.state.renderer.page("elsewhere.html", context)
    return result


async def added(request: Request) -> Response:
    """One more entry of a list."""
    form = await request.form()
    table = told(form, "table")
    if table == ZERO_CHECK:
        await run_in_threadpool(begin_zero_check, bench(request), job_id(request))
    elif table in LISTS:
        sheet = await run_in_threadpool(bench(request).sheet, job_id(request))
        sheet = await run_in_threadpool(bench(request).add, job_id(request), table, sheet.number)
        if first := begun(sheet, table):
            await run_in_threadpool(bench(request).save_all, job_id(request), first, "round")
    return _back(request, page_of(table))


async def removed(request: Request) -> Response:
    """One entry of a list taken away."""
    form = await request.form()
    element = told(form, "element")
    sheet = await run_in_threadpool(bench(request).sheet, job_id(request))
    await run_in_threadpool(bench(request).remove, job_id(request), element, sheet.number)
    return _back(request, page_of(element))


def _back(request: Request, here: str) -> Response:
    stop = request.query_params.get("stop", "")
    anchor = f"#stop-{stop}" if stop.isascii() and stop.isalpha() else ""
    return RedirectResponse(f"/jobs/{job_id(request)}/{here}{anchor}", status_code=303)


ROUTES = (
    Route("/jobs/{job_id}/field", saved, methods=["POST"]),
    Route("/jobs/{job_id}/add", added, methods=["POST"]),
    Route("/jobs/{job_id}/remove", removed, methods=["POST"]),
    Route("/jobs/{job_id}/{here:str}/since", since),
)
