"""Counts and shares as the run-off takes them: whole numbers from a least one on, shares strictly between nothing and all."""

from __future__ import annotations

from standoff.bar.checks import Number
from standoff.errors import UsageError, shown

MOST_BARS = 1_000_000
"""No run-off has more bars; an answer beyond it says that the wish cannot be shown by running bars."""


def require_share(what: str, given: Number) -> Number:
    """The share itself if it lies strictly between 0 and 1."""
    if not 0.0 < given < 1.0:
        raise UsageError(
            what=what, given=f"{given}", allowed="a share above 0 and below 1", action=f"give the {what} as 0.95 for 95 %"
        )
    return given


def require_count(what: str, given: int, *, least: int = 0) -> int:
    """The count itself if it is a whole number from the least one to a million."""
    if not isinstance(given, int) or isinstance(given, bool) or not least <= given <= MOST_BARS:
        raise UsageError(
            what=what, given=shown(given), allowed=f"a whole number from {least} to {MOST_BARS}", action=f"count the {what} again"
        )
    return given


def require_stops(stops: int, *, bars: int, least: int = 1) -> None:
    """Refuse numbers of bars and stops that cannot be: every bar is clean or counts one stop."""
    require_count("number of bars", bars, least=least)
    require_count("number of stops", stops)
    if stops > bars:
        raise UsageError(
            what="number of stops",
            given=f"{stops} in {bars} bars",
            allowed="one stop a bar at most",
            action="count the bars that were stopped, not the stops of each",
        )
