"""The application: pages behind the gate, errors translated in one place."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.middleware import Middleware
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response
from starlette.routing import Mount, Route
from starlette.staticfiles import StaticFiles

from standoff.desk.cycle_page import Runs
from standoff.desk.level_page import Levels
from standoff.desk.placement_page import STYLESHEET
from standoff.desk.speed_page import Speeds
from standoff.desk.stock_page import Stocks
from standoff.desk.workbench import Workbench
from standoff.errors import JobFileError, StandoffError, http_status
from standoff.web.gate import Gate
from standoff.web.pages import cycle, fields, floor, history, jobs, level, move, placement, runoff, speed, stock, survey
from standoff.web.render import Renderer

HERE = Path(__file__).parent
HEADINGS = {404: "There is nothing here", 409: "Somebody else was faster"}
PAGES = (jobs, fields, survey, placement, move, speed, cycle, stock, level, floor, runoff, history)


def application(bench: Workbench, *, start_token: str, hosts: frozenset[str]) -> Starlette:
    """The application over a workbench; `hosts` are the host names it answers to, with their port."""
    app = Starlette(
        routes=[
            *(route for page in PAGES for route in page.ROUTES),
            Route("/static/drawing.css", _drawing_styles),
            Mount("/static", StaticFiles(directory=HERE / "static")),
        ],
        middleware=[Middleware(Gate, start_token=start_token, hosts=hosts)],
        exception_handlers={StandoffError: _refused, HTTPException: _odd, 500: _fault},
    )
    app.state.bench = bench
    app.state.speeds = Speeds()
    app.state.runs = Runs()
    app.state.stocks = Stocks()
    app.state.levels = Levels()
    app.state.renderer = Renderer(HERE / "templates", start_token=start_token)
    return app


async def _drawing_styles(_: Request) -> Response:
    """How drawings look: the writer's own sheet."""
    return Response(STYLESHEET, media_type="text/css")


async def _refused(request: Request, error: Exception) -> Response:
    """An input that cannot be used: said on a page, or as text to a script."""
    lines = str(error).splitlines()
    if isinstance(error, JobFileError):
        lines = [problem.sentence() for problem in error.problems]
    status = http_status(error)
    heading = HEADINGS.get(status, "This cannot be used as it is" if status < 500 else "The jobs cannot be reached")
    return _told(request, heading, lines, status)


async def _odd(request: Request, error: Exception) -> Response:
    """What the web framework refuses: an address that is not there, a method or a form that does not go with it."""
    status = error.status_code if isinstance(error, HTTPException) else 400
    if status == 404:
        return _told(request, HEADINGS[404], [f"{request.url.path} does not exist. Go back to the jobs."], 404)
    return _told(request, "This cannot be asked so", ["Go back to the page before, reload it and try again."], status)


async def _fault(request: Request, _: Exception) -> Response:
    return _told(
        request, "A fault of the program", ["What was saved is safe. Reload the page; report it if it comes again."], 500
    )


def _told(request: Request, heading: str, lines: list[str], status: int) -> Response:
    if "hx-request" in request.headers:
        return PlainTextResponse(" ".join(lines), status_code=status)
    renderer: Renderer = request.app.state.renderer
    context: Mapping[str, object] = {"heading": heading, "lines": lines}
    return renderer.page("refused.html", context, status=status)
