"""The callouts: every part on a strip by its name, in one orderly row above it; where they do not fit, numbers and a key."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from standoff.draw import parts
from standoff.draw.labels import ELLIPSIS, LINE_SHARE, in_a_row, text_block, widest, wrapped
from standoff.draw.parts import Stage
from standoff.draw.pose import SAME_MM, Pose
from standoff.draw.scene import Circle, Line, Point, Px, Shape, Text, text_width
from standoff.draw.strip import pieces
from standoff.job.placement import Placement
from standoff.job.speech import length
from standoff.model.state import BAR_CHANGE, FRONT_LIMIT

FAN: Px = 26.0
"""Height between a row of names and the machines, in which the leaders slant."""
TIER_GAP: Px = 14.0
MOST_FITTINGS = 8
"""More fittings than this are named as one stack."""
TIERS = (1, 2, 3)
THROUGH_WEIGHT = 12.0
"""How much more a leader resists being pushed aside than a name."""
WRAPS = (17.0, 13.0, 10.5)
"""Widths to which names are wrapped in turn until the row has room, in text sizes."""


@dataclass(frozen=True, slots=True)
class Callout:
    """A point of a part and its name."""

    at: Point
    words: str
    style: str


def callouts(stage: Stage, placement: Placement, pose: Pose) -> tuple[Callout, ...]:
    """The callouts of everything that the strip shows, from left to right."""
    found = [*_loader(stage, placement, pose), *_between(stage, placement, pose), *_lathe(stage, placement, pose)]
    found += _amiss(stage, placement, pose)
    return tuple(sorted(found, key=lambda callout: callout.at[0]))


def _loader(stage: Stage, placement: Placement, pose: Pose) -> Iterator[Callout]:
    strip, share = stage.strip, stage.share
    end_mm = min(pose.clamp_mm, pose.body_front_mm)
    if (x := strip.x(end_mm)) is not None and (piece := _piece_at(stage, end_mm)) is not None:
        yield Callout((max(x - 62 * share, (piece + x) / 2.0), stage.up(parts.BODY_UP - 8)), placement.job.loader, "loader")
    if (x := strip.x(pose.clamp_mm)) is not None:
        yield Callout((x - 6 * share, stage.up(parts.CLAMP - 4)), "nose clamp", "loader")
    if (x := strip.x(pose.gripper_mm)) is not None:
        yield Callout((x, stage.up(parts.JAW - 4)), "gripper", "loader")
    if pose.bar is not None and pose.state == BAR_CHANGE and (x := strip.x(pose.gripper_mm)) is not None:
        behind = x - 38 * share
        if behind > strip.left:
            yield Callout((behind, stage.up(parts.PUSHER_TIP - 2)), "pusher drawn back", "loader")
    if pose.state == FRONT_LIMIT and (x := strip.x(pose.reach_mm)) is not None:
        yield Callout((x - 5 * share, stage.up(parts.PUSHER_TIP - 2)), "pusher at its forward limit", "loader")
    if pose.loader_rear_mm is not None and (x := strip.x(pose.loader_rear_mm)) is not None:
        yield Callout((x + 6 * share, stage.up(parts.BODY_UP - 8)), "loader's rear end", "loader")
    if pose.wall_mm is not None and (x := strip.x(pose.wall_mm)) is not None:
        yield Callout((x - 1, stage.up(parts.BODY_UP + 24)), "wall", "lathe")


def _piece_at(stage: Stage, at_mm: float) -> Px | None:
    zone = stage.strip.zone(at_mm)
    return None if zone is None else zone.left


def _between(stage: Stage, placement: Placement, pose: Pose) -> Iterator[Callout]:
    nose, strip, units = pose.nose, stage.strip, placement.job.units
    if nose.telescopic:
        outer = pieces(strip, rear_mm=nose.root_mm, front_mm=nose.outer_end_mm)
        inner = pieces(strip, rear_mm=nose.outer_end_mm, front_mm=nose.tip_mm)
        if outer:
            x = 0.65 * outer[0].left + 0.35 * outer[0].right
            yield Callout((x, stage.up(parts.OUTER - 2)), "telescopic nose", "loader")
        if inner and inner[0].right - inner[0].left > 24.0 * stage.share:
            x = (inner[0].left + inner[0].right) / 2.0
            yield Callout((x, stage.up(parts.INNER - 2)), "inner tube", "loader")
    elif whole := pieces(strip, rear_mm=nose.root_mm, front_mm=nose.tip_mm):
        x = (whole[0].left + whole[0].right) / 2.0
        yield Callout((x, stage.up(parts.FIXED_NOSE - 2)), "fixed nose", "loader")
    if not nose.telescopic and nose.uncut_mm - nose.tip_mm > SAME_MM:
        x_cut = strip.x((nose.uncut_mm + nose.tip_mm) / 2.0)
        if x_cut is not None:
            words = f"cut off {length(nose.uncut_mm - nose.tip_mm, units)}"
            yield Callout((x_cut, stage.up(parts.FIXED_NOSE - 1)), words, "loader")
    if len(pose.fittings) > MOST_FITTINGS:
        rear_mm, front_mm = pose.fittings[0].rear_mm, pose.fittings[-1].front_mm
        x_all = strip.x((rear_mm + front_mm) / 2.0)
        if x_all is not None:
            words = f"{len(pose.fittings)} fittings, {length(front_mm - rear_mm, units)}"
            yield Callout((x_all, stage.up(parts.FITTING - 4)), words, "ink")
        return
    for fitting in pose.fittings:
        x_fit = strip.x((fitting.rear_mm + fitting.front_mm) / 2.0)
        if x_fit is not None:
            words = f"{fitting.name}, {length(fitting.front_mm - fitting.rear_mm, units)}"
            yield Callout((x_fit, stage.up(parts.FITTING - 4)), words, "ink")


def _lathe(stage: Stage, placement: Placement, pose: Pose) -> Iterator[Callout]:
    strip, share = stage.strip, stage.share
    if pose.cover_mm is not None and (x := strip.x(pose.cover_mm)) is not None:
        yield Callout((x, stage.up(parts.COVER - 8)), "lathe's cover", "lathe")
    if (x := strip.x(pose.adapter_mm)) is not None:
        yield Callout((x + 5 * share, stage.up(parts.ADAPTER - 3)), "spindle adapter", "headstock")
    for ghost in pose.ghosts:
        behind = ghost.adapter_mm < pose.adapter_mm
        x_ghost = strip.x(ghost.adapter_mm if behind else ghost.collet_mm)
        if x_ghost is not None:
            at = (x_ghost, stage.up(parts.ADAPTER - 6 if behind else parts.HEADSTOCK - 8))
            yield Callout(at, ghost.words, "headstock")
    if (x := strip.x(pose.collet_mm)) is not None:
        yield Callout((x + 8 * share, stage.up(parts.BORE + 2)), "main collet", "headstock")
    if pose.cut_off_mm is not None and (x := strip.x(pose.cut_off_mm)) is not None:
        yield Callout((x + 4 * share, stage.up(parts.HEADSTOCK - 8)), "cut-off tool", "lathe")
    yield from _bar(stage, pose)


def _bar(stage: Stage, pose: Pose) -> Iterator[Callout]:
    """The bar, where it shows most."""
    if pose.bar is None:
        return
    front = pose.bar.front_mm
    seen = pieces(stage.strip, rear_mm=pose.bar.rear_mm, front_mm=front)
    ends = [piece for piece in seen if not piece.open_right]
    if ends:
        piece = ends[-1]
        yield Callout((max(piece.right - 10 * stage.share, piece.left), stage.up(parts.BAR - 2)), pose.bar.words, "ink")


AMISS = {
    "crush": "NOSE CRUSHED: {} short",
    "apart": "NOSE NOT HELD: {} too far",
    "bar": "BAR MEETS THE COLLET: {} short",
    "reach": "REACH SHORT BY {}",
    "cover": "STRIKES THE COVER: {} short",
}


def _amiss(stage: Stage, placement: Placement, pose: Pose) -> Iterator[Callout]:
    """What would be in one place with something else, where the strip shows it."""
    for (_, rear_mm, front_mm, half), words in zip(parts.clash_spans_mm(pose), amiss(placement, pose), strict=True):
        x = stage.strip.x((rear_mm + front_mm) / 2.0)
        if x is not None:
            yield Callout((x, stage.up(half)), words, "clash")


def amiss(placement: Placement, pose: Pose) -> Iterator[str]:
    """What is amiss in the state, how much is missing, and how much with what is to be kept."""
    units = placement.job.units
    keeps_mm = {"crush": pose.nose.clearance_mm, "bar": pose.margin_mm, "cover": pose.cover_keep_mm}
    for kind, rear_mm, front_mm, _ in parts.clash_spans_mm(pose):
        missing_mm = -pose.nose.hold_mm if kind == "apart" else front_mm - rear_mm
        words = AMISS[kind].format(length(missing_mm, units))
        if keeps_mm.get(kind, 0.0) > 0.0:
            words += f", {length(missing_mm + keeps_mm[kind], units)} with what is kept"
        yield words


@dataclass(frozen=True, slots=True)
class Placed:
    """A callout with its lines of words, or its number, and the way of its leader.

    `path` is where the leader comes through each tier, from the one next to the machines up; the words are centred on its end.
    """

    callout: Callout
    lines: tuple[str, ...]
    path: tuple[Px, ...]
    number: int | None


@dataclass(frozen=True, slots=True)
class Row:
    """The callouts of a strip in their places, and how high each tier is."""

    placed: tuple[Placed, ...]
    tiers: tuple[Px, ...]

    @property
    def height(self) -> Px:
        """Height of the row, with the room between its tiers."""
        return sum(self.tiers) + TIER_GAP * (len(self.tiers) - 1) if self.tiers else 0.0

    @property
    def numbered(self) -> tuple[Placed, ...]:
        """What a key has to explain."""
        return tuple(one for one in self.placed if one.number is not None)


def row(found: Sequence[Callout], *, span: tuple[Px, Px], size: Px, first: int, named: bool) -> Row:
    """Names in one tier, else in more, where all of them fit (`named`); else numbers from `first` on."""
    if named:
        ways = [(tiers, first_tier, wrap) for tiers in TIERS for first_tier in range(tiers) for wrap in WRAPS]
        tried = [_names(found, span=span, size=size, wrap=w * size, tiers=t, first_tier=f) for t, f, w in ways]
        fitting = [one for one in tried if one is not None]
        if fitting:
            return min(fitting, key=_effort)
    # A further tier always takes room from none and gives it to some; there are far fewer callouts than leaders have room.
    tiers = 1
    while (paths := _balloon_paths(found, tiers, span=span, size=size)) is None:
        tiers += 1
    placed = (Placed(c, (str(first + i),), paths[i], first + i) for i, c in enumerate(found))
    return Row(tuple(placed), (2.0 * _balloon(size) + 2.0,) * tiers)


def _balloon_paths(found: Sequence[Callout], tiers: int, *, span: tuple[Px, Px], size: Px) -> list[tuple[Px, ...]] | None:
    widths, tier = [2.0 * _balloon(size)] * len(found), [i % tiers for i in range(len(found))]
    return _paths(found, widths, tier, span=span, gap=4.0, through=2.0)


def _effort(row: Row) -> Px:
    """How far the leaders wander sideways, and how high the row stands."""
    wander = 0.0
    for one in row.placed:
        wander += sum(abs(b - a) for a, b in pairwise((one.callout.at[0], *one.path)))
    return wander / max(len(row.placed), 1) + 0.6 * row.height


def _names(found: Sequence[Callout], *, span: tuple[Px, Px], size: Px, wrap: Px, tiers: int, first_tier: int) -> Row | None:
    """Names on tiers in turn, beginning with `first_tier`; None where they do not fit whole."""
    names = [wrapped(c.words, width=wrap, size=size, bold=c.style == "clash", most=3) for c in found]
    if any(ELLIPSIS in line for name in names for line in name):
        return None
    widths = [widest(name, size=size, bold=c.style == "clash") for name, c in zip(names, found, strict=True)]
    tier = [(i + first_tier) % tiers for i in range(len(found))]
    paths = _paths(found, widths, tier, span=span, gap=0.6 * size, through=0.5 * size)
    if paths is None:
        return None
    placed = tuple(Placed(c, names[i], paths[i], None) for i, c in enumerate(found))
    own = list(zip(names, tier, strict=True))
    lines = [max((len(name) for name, at in own if at == level), default=0) for level in range(tiers)]
    return Row(placed, tuple(count * size * LINE_SHARE for count in lines))


def _paths(
    found: Sequence[Callout], widths: Sequence[Px], tier: Sequence[int], *, span: tuple[Px, Px], gap: Px, through: Px
) -> list[tuple[Px, ...]] | None:
    """The way of each leader up to its tier: on each tier its own names stand, and between them those above come through."""
    paths: list[tuple[Px, ...]] = [(c.at[0],) for c in found]
    for level in range(max(tier, default=0) + 1):
        here = [i for i, own in enumerate(tier) if own >= level]
        rooms = [widths[i] if tier[i] == level else through for i in here]
        weights = [1.0 if tier[i] == level else THROUGH_WEIGHT for i in here]
        places = in_a_row([paths[i][-1] for i in here], rooms, span=span, gap=gap, weight=weights)
        if places is None:
            return None
        for i, x in zip(here, places, strict=True):
            paths[i] = (*paths[i], x)
    return [path[1:] for path in paths]


def _balloon(size: Px) -> Px:
    return 0.92 * size


def drawn(placed: Row, *, size: Px, bottom: Px, machines_top: Px, down: Px) -> Iterator[Shape]:
    """The row with its leaders, its lower edge at `bottom`; the parts' points lie `down` lower than the callouts say."""
    for one in placed.placed:
        x, y = one.callout.at[0], one.callout.at[1] + down
        yield Line((one.path[0], bottom), (x, machines_top), "leader", "callouts")
        yield Line((x, machines_top), (x, y), "leader", "callouts")
        yield parts.dot((x, y))
        low = bottom
        for height, here, above in zip(placed.tiers, one.path, one.path[1:], strict=False):
            yield Line((here, low), (here, low - height), "leader", "callouts")
            yield Line((here, low - height), (above, low - height - TIER_GAP), "leader", "callouts")
            low -= height + TIER_GAP
        yield from _written(one, size, low)


def _written(one: Placed, size: Px, low: Px) -> Iterator[Shape]:
    """The words, or the number in its balloon, standing on `low`."""
    x, style, bold = one.path[-1], one.callout.style, one.callout.style == "clash"
    if one.number is not None:
        radius = _balloon(size)
        yield Circle((x, low - radius), radius, "balloon", "callouts")
        yield Text((x, low - radius + 0.3 * size), one.lines[0], size, style, "callouts", "middle", True)
        return
    for i, line in enumerate(one.lines):
        y = low - (0.36 + (len(one.lines) - 1 - i) * LINE_SHARE) * size
        yield Text((x, y), line, size, style, "callouts", "middle", bold)


def key(numbered: Sequence[Placed], *, left: Px, right: Px, top: Px, size: Px) -> tuple[tuple[Shape, ...], Px]:
    """What the numbers mean, in columns: the shapes and the y at which they end."""
    if not numbered:
        return (), top
    lead = text_width("88 ", size=size, bold=True)
    longest = max(text_width(one.callout.words, size=size, bold=one.callout.style == "clash") for one in numbered)
    columns = max(1, min(4, int((right - left) / (longest + lead + size))))
    width = (right - left) / columns
    per_column = -(-len(numbered) // columns)
    shapes: list[Shape] = []
    lowest = top
    for column in range(columns):
        x, y = left + column * width, top + size
        for one in numbered[column * per_column : (column + 1) * per_column]:
            style, bold = one.callout.style, one.callout.style == "clash"
            lines = wrapped(one.callout.words, width=width - lead - 0.6 * size, size=size, bold=bold, most=2)
            shapes.append(Text((x, y), str(one.number), size, style, "callouts", bold=True))
            shapes += text_block(lines, at=(x + lead, y), size=size, style=style, layer="callouts", bold=bold)
            y += len(lines) * size * LINE_SHARE
        lowest = max(lowest, y - size)
    return tuple(shapes), lowest + 0.5 * size
