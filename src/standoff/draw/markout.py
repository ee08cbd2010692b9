"""The mark-out as a ground: two reference points, the two tapes to every mark, and how sure each mark is.

The ellipses are drawn larger than they are, by a factor that the drawing states; in the CAD file and in the table they have their
true size. All else is to scale.
"""

from __future__ import annotations

from collections.abc import Iterator

from standoff.draw.ground import FloorXY, Ground, Label, Measure, Outline, Oval, Piece, Ring
from standoff.job.floor_speech import up
from standoff.job.speech import fine_length, length
from standoff.site.baseline import FloorPoint, Reference
from standoff.site.markout import Mark, MarkOut
from standoff.units import Units

FACTORS = (1, 2, 5, 10, 20, 50, 100)
"""By which ellipses may be enlarged."""
SEEN_SHARE = 0.1
"""The largest ellipse is enlarged to at most this share of the drawing's longer side."""
DOT_SHARE = 0.004


def mark_out_ground(found: MarkOut, *, units: Units, enlarged: bool = True, around: tuple[Piece, ...] = ()) -> Ground:
    """The drawing of a mark-out; `around` is what else is to be seen, such as the outline of the loader."""
    side_mm = _side_mm(found)
    factor = oval_factor(found) if enlarged else 1
    dot_mm = DOT_SHARE * side_mm
    pieces = [*around, *_tapes(found), *_references(found, dot_mm, units)]
    for mark in found.marks:
        pieces += _mark(mark, factor, dot_mm, units)
    confidence = found.marks[0].ellipse.confidence_share
    times = f", drawn {factor} times larger than they are" if factor > 1 else ", to scale"
    notes = (
        f"Ellipses: each mark lies inside its own {100.0 * confidence:.0f} times in 100{times}.",
        "Thin lines: the two tapes to each mark. Dashed: the diagonals that check the marks.",
    )
    description = "; ".join(mark_words(mark, units) for mark in found.marks)
    return Ground("Marking out by two tapes", f"{description}. {notes[0]}", tuple(pieces), {}, notes)


def oval_factor(found: MarkOut) -> int:
    """By how much the ellipses are enlarged."""
    largest_mm = found.worst.ellipse.semi_major_mm
    return max((factor for factor in FACTORS if factor * 2.0 * largest_mm <= SEEN_SHARE * _side_mm(found)), default=1)


def _side_mm(found: MarkOut) -> float:
    """The longer side of what the marks and reference points cover. [mm]"""
    base = found.baseline
    places: list[FloorXY] = [_at(base.first), _at(base.second), *(_at(mark.point) for mark in found.marks)]
    xs, ys = [x for x, _ in places], [y for _, y in places]
    return max(max(xs) - min(xs), max(ys) - min(ys))


def _at(point: Reference | FloorPoint) -> FloorXY:
    return point.x_mm, point.y_mm


def _tapes(found: MarkOut) -> Iterator[Piece]:
    first, second = _at(found.baseline.first), _at(found.baseline.second)
    places = {mark.point.name: _at(mark.point) for mark in found.marks}
    for diagonal in found.diagonals:
        yield Outline((places[diagonal.start], places[diagonal.end]), "plan-check", "tapes", closed=False)
    for mark in found.marks:
        yield Outline((first, _at(mark.point), second), "plan-tape", "tapes", closed=False)
    yield Outline((first, second), "plan-base", "tapes", closed=False)


def _references(found: MarkOut, dot_mm: float, units: Units) -> Iterator[Piece]:
    base = found.baseline
    for sign, point in (("A", base.first), ("B", base.second)):
        yield Ring(_at(point), dot_mm, "plan-reference", "marks")
        yield Label(_at(point), f"reference point: {point.name}", sign=sign)
    words = f"from A to B {fine_length(base.length_mm, units)}"
    yield Measure(_at(base.first), _at(base.second), words, off_mm=16.0 * dot_mm, sign="C")


def _mark(mark: Mark, factor: int, dot_mm: float, units: Units) -> Iterator[Piece]:
    at, oval = _at(mark.point), mark.ellipse
    yield Oval(at, factor * oval.semi_major_mm, factor * oval.semi_minor_mm, oval.direction_deg, "plan-oval", "ovals")
    yield Ring(at, 0.6 * dot_mm, "plan-hole", "marks")
    for dx, dy in ((1.0, 0.0), (0.0, 1.0)):
        reach = 2.0 * dot_mm
        ends = ((at[0] - dx * reach, at[1] - dy * reach), (at[0] + dx * reach, at[1] + dy * reach))
        yield Outline(ends, "dimension", "marks", closed=False)
    yield Label(at, mark_words(mark, units))


def mark_words(mark: Mark, units: Units, *, first_name: str = "A", second_name: str = "B") -> str:
    """A mark in words: its two distances, its hand, how sure."""
    first, second = (fine_length(mm, units) for mm in (mark.from_first_mm, mark.from_second_mm))
    off = length(up(mark.ellipse.semi_major_mm, units), units)
    hand = f"on the {mark.hand.value} hand going from {first_name} to {second_name}"
    return f"{mark.point.name}: {first} from {first_name}, {second} from {second_name}, {hand}; off by {off} at most"
