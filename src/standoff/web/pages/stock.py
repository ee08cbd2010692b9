"""Stock: what a bar yields and what it costs, for each part, and below it the prices it is made from."""

from __future__ import annotations

from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import HTMLResponse
from starlette.routing import Route

from standoff.desk.stock_page import CAUTION, NO_OFFER, Stocks, stock_view
from standoff.desk.survey import survey_view
from standoff.desk.workbench import Sheet
from standoff.web.forms import whole
from standoff.web.pages.fields import form_context
from standoff.web.pages.shell import bench, job_id, page


async def shown(request: Request) -> HTMLResponse:
    """The stock of a job, or what is still wanted for it."""
    sheet = await run_in_threadpool(bench(request).sheet, job_id(request))
    context = {**await run_in_threadpool(form_context, sheet, "stock"), "fresh": False}
    return page(request, "stock.html", sheet, "stock", {**context, **await _answer(request, sheet)})


async def answered(request: Request) -> HTMLResponse:
    """The answer alone, after something was typed."""
    sheet = await run_in_threadpool(bench(request).sheet, job_id(request))
    context = {"sheet": sheet, **await _answer(request, sheet)}
    result: HTMLResponse = request.app.state.renderer.page("stock_answer.html", context)
    return result


async def _answer(request: Request, sheet: Sheet) -> dict[str, Any]:
    stocks: Stocks = request.app.state.stocks
    query = request.query_params
    number = whole(query.get("shown", "")) or 0
    view = await run_in_threadpool(stock_view, sheet, stocks, part=query.get("part", ""), number=number)
    missing = (await run_in_threadpool(survey_view, sheet)).wanting if view is None else ()
    return {"view": view, "missing": missing, "stock_caution": CAUTION, "no_offer": NO_OFFER}


ROUTES = (
    Route("/jobs/{job_id}/stock", shown),
    Route("/jobs/{job_id}/stock/answer", answered),
)
