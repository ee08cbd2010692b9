"""The side elevation: both machines in one state, to scale along the axis, every part named and every gap that matters figured.

Three arrangements of the same drawing: `wide` for a screen and `page` for print, with the names above the parts, and `narrow`
for a phone, where the axis is cut into strips below one another and numbers with a key stand for names.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal, TypeAlias

from standoff.draw import callouts, dimensions, floor_marks, parts
from standoff.draw.callouts import Callout
from standoff.draw.labels import LINE_SHARE, cleared, text_block, wrapped
from standoff.draw.parts import Stage
from standoff.draw.pose import Pose, pose, stands, state_words
from standoff.draw.scene import PX_MM, Line, Path, Point, Px, Scene, Shape, Text, moved, text_width
from standoff.draw.strip import Stretch, Strip, pieces, scale_for, strip_at
from standoff.errors import UsageError
from standoff.job.placement import Placement
from standoff.model.state import BAR_CHANGE, FRONT_LIMIT, REAR_LIMIT, State
from standoff.units import Units, format_length

Arrangement: TypeAlias = Literal["wide", "narrow", "page"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Format:
    """What one arrangement is made of: `share` scales the symbols, `strips` says which stretches stand side by side."""

    width: Px
    margin: Px
    size: Px
    share: float
    named: bool
    strips: tuple[tuple[str, tuple[str, ...]], ...]

    @property
    def span(self) -> tuple[Px, Px]:
        """From the left margin to the right one."""
        return self.margin, self.width - self.margin


FORMATS: Mapping[str, Format] = {
    "wide": Format(width=1100.0, margin=20.0, size=18.0, share=1.0, named=True, strips=(("", ("behind", "nose", "collet")),)),
    "page": Format(
        width=680.0,
        margin=10.0,
        size=13.5,
        share=0.82,
        named=True,
        strips=(("From the loader to the adapter", ("behind", "nose")), ("At the main collet", ("collet",))),
    ),
    "narrow": Format(
        width=360.0,
        margin=12.0,
        size=14.0,
        share=0.74,
        named=False,
        strips=(("At the nose", ("nose",)), ("At the main collet", ("collet",)), ("Behind the clamp", ("behind",))),
    ),
}
GREATEST_SCALE = 1.4
"""Drawing units per mm beyond which no small machine is blown up."""


def elevation(
    placement: Placement,
    *,
    mode: str,
    state: str | None,
    headstock_mm: float | None = None,
    arrangement: Arrangement = "wide",
) -> Scene:
    """The elevation of a placement in one state: a named one, or any `headstock_mm` [mm] of travel within the mode's limits.

    Raises: LayoutError for a mode or travel that is not there, UsageError for another state or arrangement.
    """
    if arrangement not in FORMATS:
        raise UsageError(what="arrangement", given=str(arrangement), allowed=", ".join(FORMATS))
    form = FORMATS[arrangement]
    shown = pose(placement, mode=mode, state=state, headstock_mm=headstock_mm)
    title = state_words(placement, shown)
    measured = dimensions.dimensions(placement, shown)
    shapes, y = _head(title, form)
    keyed = 0
    strips = _strips(placement, shown, form)
    shares = dimensions.shared_out([strip for _, strip in strips], measured)
    for (name, strip), share in zip(strips, shares, strict=True):
        block, y, keyed = _block(placement, shown, form, strip, name, share, y, keyed)
        shapes += block
    foot, y = _foot(placement, form, strips[0][1].zones[0].scale, y)
    told = [f"{title}. {placement.job.loader} behind {placement.job.lathe}", *callouts.amiss(placement, shown)]
    words = ". ".join([*told, *(d.words for d in measured)])
    return Scene(
        width=form.width,
        height=y,
        title=f"Side elevation, {placement.job.title}: {title}",
        description=f"{words}. {' '.join(floor_marks.notes(placement))}",
        shapes=cleared([*shapes, *foot]),
    )


def pictured(
    placement: Placement, shown: Pose, measured: Sequence[dimensions.Dimension], *, title: str, arrangement: Arrangement
) -> Scene:
    """The pair in a pose with other dimensions than an answer's, and without the window on the floor."""
    form = FORMATS[arrangement]
    shapes, y = _head(title, form)
    strips = _strips(placement, shown, form)
    shares = dimensions.shared_out([strip for _, strip in strips], tuple(measured))
    keyed = 0
    for (name, strip), share in zip(strips, shares, strict=True):
        block, y, keyed = _block(placement, shown, form, strip, name, share, y, keyed, marks=False)
        shapes += block
    return Scene(
        width=form.width,
        height=y,
        title=title,
        description=f"{placement.job.loader} behind {placement.job.lathe}. {', '.join(d.words for d in measured)}",
        shapes=cleared(shapes),
    )


def _head(title: str, form: Format) -> tuple[list[Shape], Px]:
    """The state in words, and which way is forward."""
    left, right = form.span
    size = form.size * 1.1
    forward = "to the work"
    room = text_width(forward, size=form.size) + 46.0
    lines = wrapped(title, width=right - left - (room + form.size if form.named else 0.0), size=size, bold=True, most=3)
    base = form.margin * 0.5 + size
    shapes: list[Shape] = [*text_block(lines, at=(left, base), size=size, style="ink", bold=True)]
    below = base + (len(lines) - 1) * size * LINE_SHARE
    y = base if form.named else below + form.size * 1.5
    shapes.append(Text((right - 40.0, y), forward, form.size, "soft", anchor="end"))
    shapes += _forward((right - 34.0, y - 0.3 * form.size))
    return shapes, max(below, y) + 0.8 * form.size


def _forward(at: Point) -> tuple[Shape, ...]:
    x, y = at
    tip = Path(((x + 34.0, y), (x + 22.0, y - 5.0), (x + 22.0, y + 5.0)), "arrow", "callouts", closed=True)
    return Line((x, y), (x + 24.0, y), "dimension", "callouts"), tip


def _block(
    placement: Placement,
    shown: Pose,
    form: Format,
    strip: Strip,
    name: str,
    measured: Sequence[dimensions.Dimension],
    top: Px,
    keyed: int,
    marks: bool = True,
) -> tuple[list[Shape], Px, int]:
    """One strip: its name, the row of callouts, the machines, marks on the floor, dimensions, and the key of its numbers."""
    shapes: list[Shape] = []
    if name:
        shapes.append(Text((form.span[0], top + form.size), name, form.size, "soft", bold=True))
        top += 1.5 * form.size
    bare = Stage(strip, 0.0, form.share, form.size)
    inside, unnamed = _inside(bare, placement, shown)
    named = _sorted([*callouts.callouts(bare, placement, shown), *unnamed])
    placed = callouts.row(named, span=form.span, size=form.size, first=keyed + 1, named=form.named)
    bottom = top + placed.height
    stage = Stage(strip, bottom + callouts.FAN * form.share - bare.top, form.share, form.size)
    shapes += parts.machines(stage, shown)
    shapes += moved(inside, down=stage.axis)
    floor, y = floor_marks.drawn(stage, placement, shown) if marks else ([], stage.floor + form.size)
    shapes += floor
    shapes += callouts.drawn(placed, size=form.size, bottom=bottom, machines_top=stage.top, down=stage.axis)
    lines, y = dimensions.drawn(stage, measured, top=y)
    shapes += lines
    left, right = form.span
    listed, y = callouts.key(placed.numbered, left=left, right=right, top=y + 0.4 * form.size, size=form.size)
    return [*shapes, *listed], y + 0.5 * form.size, keyed + len(placed.numbered)


def _sorted(found: Sequence[Callout]) -> tuple[Callout, ...]:
    return tuple(sorted(found, key=lambda callout: callout.at[0]))


def _inside(stage: Stage, placement: Placement, shown: Pose) -> tuple[list[Text], list[Callout]]:
    """Names written into the two big bodies, where these are long enough; the headstock's becomes a callout where not."""
    texts: list[Text] = []
    strip, size = stage.strip, stage.size
    start_mm = shown.cover_mm if shown.cover_mm is not None else min(shown.adapter_mm, shown.datum_mm)
    bed = pieces(strip, rear_mm=start_mm, front_mm=float("inf"))
    room = size * 1.2
    for piece in sorted(bed, key=lambda piece: piece.left - piece.right)[:1]:
        names = (placement.job.lathe, "lathe")
        name = next((n for n in names if text_width(n, size=size) + room <= piece.right - piece.left), "")
        if name:
            y = (stage.down(parts.BED) + stage.floor) / 2.0 + 0.3 * size
            texts.append(Text((piece.right - room / 2.0, y), name, size, "lathe", anchor="end"))
    body = pieces(strip, rear_mm=shown.adapter_mm, front_mm=shown.collet_mm)
    for piece in sorted(body, key=lambda piece: piece.left - piece.right)[:1]:
        left = piece.left if piece.open_left else piece.left + 48.0 * stage.share
        if text_width("headstock", size=size) + room <= piece.right - left:
            y = stage.down((parts.HEADSTOCK + parts.BORE) / 2.0) + 0.3 * size
            texts.append(Text(((left + piece.right) / 2.0, y), "headstock", size, "headstock", anchor="middle"))
        else:
            at = ((piece.left + piece.right) / 2.0, stage.up(parts.HEADSTOCK - 10))
            return texts, [Callout(at, "headstock", "headstock")]
    return texts, []


def _strips(placement: Placement, shown: Pose, form: Format) -> list[tuple[str, Strip]]:
    """The named strips of a drawing, all at the one greatest scale at which each of them fits."""
    left, right = form.span[0] + 8.0, form.span[1] - 8.0
    groups = _stretches(placement, shown, form, right - left)
    rows = [
        (name, sorted((s for g in names for s in groups[g]), key=lambda s: (s.rear_mm, s.front_mm)))
        for name, names in form.strips
        if names != ("behind",) or shown.wall_mm is not None or shown.state == BAR_CHANGE
    ]
    scale = GREATEST_SCALE
    for _ in range(8):
        fitted = [scale_for(stretches, width=right - left, greatest_scale=scale) for _, stretches in rows]
        if (least := min(found for found, _ in fitted)) == scale:
            break
        scale = least
    return [
        (name, strip_at(zones, scale=scale, left=left, right=right)) for (name, _), (_, zones) in zip(rows, fitted, strict=True)
    ]


def strips_of(placement: Placement, shown: Pose, *, arrangement: Arrangement) -> tuple[Strip, ...]:
    """The strips of an arrangement: where on the sheet a place on the axis lies (for a page that lets the loader be dragged)."""
    return tuple(strip for _, strip in _strips(placement, shown, FORMATS[arrangement]))


def _stretches(placement: Placement, shown: Pose, form: Format, width: Px) -> dict[str, list[Stretch]]:
    """What must be seen: the loader's far parts, from clamp to adapter, and collet, pusher and tool, over every state.

    All states count, not only the one shown, so that the picture keeps its scale when another is chosen.
    """
    layout, k = placement.layout, form.share
    values_mm = layout.values_mm(standoff_mm=placement.standoff_mm, cut_mm=placement.cut_mm)
    states = [mode.at(name) for mode in layout.modes for name in (REAR_LIMIT, BAR_CHANGE, FRONT_LIMIT)]
    states.append(State(name=REAR_LIMIT, mode=layout.modes[0].name, headstock=layout.modes[0].rear))

    def everywhere(*stations: str) -> list[float]:
        known = [station for station in stations if stands(layout, station)]
        return [layout.place(station, state).value(values_mm) for station in known for state in states]

    clamps_mm = everywhere("clamp", "body-front")
    near_mm = [at for at in floor_marks.edges_mm(placement) if abs(at - shown.mark_mm) <= 150.0]
    adapters_mm, fronts_mm = everywhere("adapter"), everywhere("main-collet", "pusher-tip", "cut-off")
    cover_mm = everywhere("cover")
    first_mm = min(*adapters_mm, *(c for c in cover_mm if min(clamps_mm) <= c))
    behind = [Stretch(rear_mm=shown.gripper_mm, front_mm=shown.gripper_mm, before=52 * k, after=26 * k)]
    if shown.loader_rear_mm is not None:
        behind.append(Stretch(rear_mm=shown.loader_rear_mm, front_mm=shown.loader_rear_mm, before=14 * k, after=48 * k))
        if shown.wall_mm is not None:
            behind.append(Stretch(rear_mm=shown.wall_mm, front_mm=shown.wall_mm, before=9.0, after=16 * k))
    nose = [
        Stretch(rear_mm=min(*clamps_mm, *near_mm), front_mm=max(*clamps_mm, *near_mm), before=92 * k, after=30 * k),
        Stretch(rear_mm=first_mm, front_mm=max(adapters_mm), before=40 * k, after=70 * k, keep=0.8 * width),
    ]
    collets_mm = everywhere("main-collet")
    collet = [
        Stretch(rear_mm=min(collets_mm), front_mm=max(fronts_mm), before=70 * k, after=46 * k, keep=0.28 * width),
    ]
    ends_mm = [shown.bar.front_mm] if shown.bar is not None and shown.state == BAR_CHANGE else []
    ends_mm += [shown.reach_mm] if shown.state == FRONT_LIMIT and shown.reach_mm < min(collets_mm) else []
    for end_mm in ends_mm:
        near_nose = end_mm - max(adapters_mm) < min(collets_mm) - end_mm
        end = Stretch(rear_mm=end_mm, front_mm=end_mm, before=34 * k, after=24 * k, keep=0.28 * width)
        (nose if near_nose else collet).append(end)
    return {"behind": behind, "nose": nose, "collet": collet}


NICE: Mapping[Units, tuple[float, ...]] = {
    "in": tuple(25.4 * n for n in (1, 2, 5, 10, 20, 50, 100)),
    "mm": (20.0, 50.0, 100.0, 200.0, 500.0, 1000.0, 2000.0),
}
"""Lengths of the scale bar [mm]."""


def _foot(placement: Placement, form: Format, scale: float, top: Px) -> tuple[list[Shape], Px]:
    """The scale bar and the notes."""
    left, right = form.span
    units, size = placement.job.units, form.size
    length_mm = min(NICE[units], key=lambda mm: abs(mm * scale - 0.16 * form.width - 30.0))
    end, y = left + length_mm * scale, top + 1.1 * size
    shapes: list[Shape] = [*_ruler(left, end, y)]
    label = format_length(length_mm, units)
    shapes.append(Text((end + 0.6 * size, y + 0.3 * size), label, size, "ink", "notes"))
    y += 1.9 * size
    for note in (*floor_marks.notes(placement), _scale_words(scale)):
        lines = wrapped(note, width=right - left, size=size)
        shapes += text_block(lines, at=(left, y), size=size, style="soft", layer="notes")
        y += len(lines) * size * LINE_SHARE + 0.25 * size
    return shapes, y - 0.4 * size + form.margin * 0.5


def _scale_words(scale: float) -> str:
    ratio = 1.0 / (scale * PX_MM)
    shown = f"{ratio:.1f}" if ratio < 9.95 else f"{ratio:.0f}"
    return f"Lengths along the axis to scale (1:{shown} at natural size), breaks left out; heights schematic."


def _ruler(left: Px, right: Px, y: Px) -> Iterator[Shape]:
    yield Line((left, y), (right, y), "scale", "notes")
    for share in (0.0, 0.5, 1.0):
        x = left + share * (right - left)
        yield Line((x, y - 4.0), (x, y + 4.0), "scale", "notes")
