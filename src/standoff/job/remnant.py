"""Why a remnant is as long as it is: its length split, from the cut-off plane back to the bar's end.

    cut-off plane | up to the collet's back | the pusher's shortfall | rest of the saw-tooth | in the pusher collet | bar's end

A sub-spindle that takes the last part draws it out of what lies foremost, so that this is shorter by as much.
"""

from __future__ import annotations

from dataclasses import dataclass

from standoff.job.parts import Part
from standoff.units import ON_STEP_MM

COLLET, SHORTFALL, REST, INSERTION = "collet", "shortfall", "rest", "insertion"

_WORDS = {
    COLLET: "from the cut-off plane to the back of the main collet",
    SHORTFALL: "the pusher falls short of the collet",
    REST: "rest of the saw-tooth: too short for one more part",
    INSERTION: "held in the pusher collet",
}


@dataclass(frozen=True, slots=True)
class Term:
    """One reason for a remnant's length: which, by which letters of the formula, and how much."""

    kind: str
    letters: str
    length_mm: float

    @property
    def words(self) -> str:
        """The reason in words."""
        entered = ", less what the pusher enters it" if self.kind == COLLET and "− p" in self.letters else ""
        return _WORDS[self.kind] + entered


def remnant_terms(part: Part) -> tuple[Term, ...]:
    """The remnant of a bar of just the part's length, from the cut-off plane back; the terms add up to it."""
    reach, cutting = part.reach, part.cutting
    saved_mm = cutting.held_mm - cutting.unused_mm
    enters = reach.into_collet_mm > 0.0
    found = [
        Term(COLLET, "K − C − p" if enters else "K − C", reach.cut_off_mm - reach.collet_mm - reach.into_collet_mm),
        Term(SHORTFALL, "C + p − X" if enters else "C − X", reach.shortfall_mm),
        Term(REST, "", part.remnant_mm - (reach.remnant_mm - saved_mm)),
        Term(INSERTION, "i", reach.insertion_mm),
    ]
    kept = []
    for term in found:
        drawn_mm = min(saved_mm, term.length_mm)
        saved_mm -= drawn_mm
        if term.length_mm - drawn_mm > ON_STEP_MM:
            letters = f"{term.letters} − drawn" if drawn_mm > ON_STEP_MM else term.letters
            kept.append(Term(term.kind, letters, term.length_mm - drawn_mm))
    return tuple(kept)


def drawn_out_mm(part: Part) -> float:
    """How much of the shortest remnant a sub-spindle draws into the last part. [mm]"""
    return part.cutting.held_mm - part.cutting.unused_mm
