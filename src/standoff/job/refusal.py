"""What an unusable input is answered with, and how every answer becomes text: `standoff-errors/1`."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any

from standoff.errors import Problem

FORMAT = "standoff-errors/1"


def refusal(problems: Sequence[Problem]) -> dict[str, Any]:
    """The problems as contents for other programs."""
    keys = ("code", "file", "line", "field", "found", "expected", "action")
    return {"format": FORMAT, "errors": [{key: getattr(problem, key) for key in keys} for problem in problems]}


def as_json(contents: dict[str, Any]) -> str:
    """Contents as JSON text, the same bytes for the same contents."""
    return json.dumps(contents, ensure_ascii=False, indent=2, allow_nan=False)
