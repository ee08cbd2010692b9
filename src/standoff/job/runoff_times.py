"""Times of the run-off as they are written: a moment in UTC, a day."""

from __future__ import annotations

import re
from datetime import UTC, date, datetime, timedelta

_MOMENT = re.compile(r"\d{4}-\d{2}-\d{2}[T ]\d{2}:\d{2}(:\d{2}(\.\d{1,6})?)?(Z|\+00:00)", re.ASCII)
_DAY = re.compile(r"\d{4}-\d{2}-\d{2}", re.ASCII)

MOMENT_EXPECTED = 'date and time in UTC, such as "2026-03-02T08:30:00Z"'
DAY_EXPECTED = 'a day, such as "2026-03-02"'


def moment_of(text: str) -> datetime | None:
    """The moment a text names, in UTC; None where it names none, or none in UTC."""
    if not _MOMENT.fullmatch(text):
        return None
    try:
        moment = datetime.fromisoformat(text)
    except ValueError:
        return None
    return moment if moment.utcoffset() == timedelta(0) else None


def moment_text(moment: datetime) -> str:
    """A moment as it is written; its zone may be any."""
    return moment.astimezone(UTC).isoformat(timespec="seconds").replace("+00:00", "Z")


def day_of(text: str) -> date | None:
    """The day a text names; None where it names none."""
    if not _DAY.fullmatch(text):
        return None
    try:
        return date.fromisoformat(text)
    except ValueError:
        return None
