"""Templates: one environment, everything escaped, what every page needs given once."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from pathlib import Path

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from starlette.responses import HTMLResponse

from standoff import __version__
from standoff.web.figures import whole
from standoff.web.gate import form_token


class Renderer:
    """Fills templates."""

    def __init__(self, folder: Path, *, start_token: str) -> None:
        self.environment = Environment(
            loader=FileSystemLoader(folder), autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True
        )
        self.environment.filters.update(clock=clock, whole=whole)
        self.environment.globals.update(version=__version__, form_token=form_token(start_token))

    def page(self, template: str, context: Mapping[str, object], *, status: int = 200) -> HTMLResponse:
        """A template filled, as an answer."""
        return HTMLResponse(self.text(template, context), status_code=status)

    def text(self, template: str, context: Mapping[str, object]) -> str:
        """A template filled, as text."""
        return self.environment.get_template(template).render(context)


def clock(when: datetime) -> str:
    """A time as it is shown: in the zone of this machine, to the minute."""
    return when.astimezone().strftime("%Y-%m-%d %H:%M")
