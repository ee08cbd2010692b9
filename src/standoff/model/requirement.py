"""Requirement: the least or greatest gap allowed between two stations in a state, with its reason.

A requirement's limit has two parts: `contact`, where the parts would touch, part or run out of reach, and `margin`, what is
kept beyond that. Both grades are used: the window keeps the margin, the motions of a cycle also watch for contact.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from standoff.model.form import NOSE_CUT, NOTHING, STANDOFF, Form


class Side(Enum):
    """Which way a limit works: the gap, or the standoff that gives it, must be at least or at most so much."""

    AT_LEAST = "at-least"
    AT_MOST = "at-most"
    NONE = "none"


@dataclass(frozen=True, slots=True)
class Requirement:
    """A limit on the gap from `start` forward to `end`, judged in `state` of every mode (or once, `each_mode` false).

    `needs` are the inputs without which it cannot be judged; `failure` says in a few words what happens when it does not hold.
    """

    id: str
    title: str
    start: str
    end: str
    state: str
    side: Side
    contact: Form
    failure: str
    margin: Form = NOTHING
    each_mode: bool = True
    needs: tuple[str, ...] = ()

    @property
    def limit(self) -> Form:
        """The least (or greatest) gap allowed, margin included."""
        return self.contact + self.margin


@dataclass(frozen=True, slots=True)
class Comparison:
    """A requirement the standoff has no part in: each named slack must not be negative."""

    id: str
    title: str
    slacks: tuple[tuple[str, Form], ...]
    failure: str
    needs: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Row:
    """One requirement in one state: the slack as a linear form in the standoff, the nose's cut and the quantities."""

    id: str
    title: str
    mode: str | None
    state: str
    side: Side
    slacks: tuple[tuple[str, Form], ...]
    failure: str
    requirement: Requirement | None = None

    @property
    def slack(self) -> Form:
        """The slack of a row that bounds one gap."""
        ((_, form),) = self.slacks
        return form

    @property
    def bounds_standoff(self) -> bool:
        """Whether the standoff enters."""
        return self.side is not Side.NONE

    @property
    def shares_cut(self) -> bool:
        """Whether the one cut of a fixed nose moves this bound."""
        return any(form.coefficient(NOSE_CUT) != 0.0 for _, form in self.slacks)

    def bound(self) -> Form:
        """The bound on the standoff with an uncut nose, as a form in the quantities alone."""
        rest = self.slack.without(STANDOFF, NOSE_CUT)
        return -rest if self.side is Side.AT_LEAST else rest
