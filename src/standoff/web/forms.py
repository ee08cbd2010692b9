"""What a form sends, read into an entry of one field."""

from __future__ import annotations

from starlette.datastructures import FormData

from standoff.desk.workbench import Entry
from standoff.errors import UsageError

LONGEST = 400
MINUS = ("-", "\u2212", "+")


def told(form: FormData, key: str) -> str:
    """One value of a form as text, trimmed; a file or a missing key is empty. Raises UsageError for one that is too long."""
    value = form.get(key, "")
    text = value.strip() if isinstance(value, str) else ""
    if len(text) > LONGEST:
        given, allowed = f"{len(text)} characters", f"at most {LONGEST}"
        raise UsageError(what="text", given=given, allowed=allowed, action="shorten it; what you typed still stands there")
    return text


def everything(form: FormData) -> dict[str, str]:
    """All values of a form."""
    return {key: told(form, key) for key in form}


def entry_of(form: FormData) -> Entry:
    """The entry of a field; a direction told in words becomes the sign of what was typed."""
    text = told(form, "text")
    if told(form, "way") == "1" and text and not text.startswith(MINUS):
        text = f"-{text}"
    return Entry(
        text=text,
        source=told(form, "source") or None,
        uncertainty=told(form, "uncertainty") or None,
        note=told(form, "note") or None,
    )


def number_of(form: FormData, key: str) -> int:
    """A number as sent by a page; 0 where none came."""
    return whole(told(form, key)) or 0


def whole(text: str) -> int | None:
    """A short whole number as it stands in an address or a form; None for anything else."""
    return int(text) if text.isascii() and text.isdecimal() and len(text) < 10 else None
