"""The DXF reader: the straight and curved lines of a building's floor plan, in mm, and a count of what was not read.

Curves become straight pieces that stay within `SAG_MM` of them; blocks are taken apart down to `DEEPEST`. The unit is the file's
own; one that the file leaves open is asked for, and one that contradicts the file is refused. Nothing is repaired: a file with a
fault in its structure could lack a wall without a word.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence, Set
from io import StringIO
from types import MappingProxyType

from ezdxf import path
from ezdxf.document import Drawing
from ezdxf.entities.dxfentity import DXFEntity
from ezdxf.entities.dxfgfx import DXFGraphic
from ezdxf.entities.insert import Insert
from ezdxf.filemanagement import dxf_stream_info
from ezdxf.filemanagement import read as read_dxf

from standoff.draw.building import BuildingPlan, PlanLayer, PlanLine
from standoff.draw.ground import FloorXY
from standoff.errors import PlanFileError, shown, write_instead

MOST_BYTES = 12_000_000
MOST_ENTITIES = 60_000
MOST_POINTS = 400_000
DEEPEST = 8
"""So deep may blocks stand in one another."""
SAG_MM = 1.0
"""No straight piece is farther than this from the curve it stands for."""
FARTHEST_MM = 1e9
"""Coordinates beyond 1000 km are no building's."""

UNITS_MM: Mapping[str, float] = MappingProxyType({"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4, "ft": 304.8})
"""Units of length that a plan may be drawn in. [mm]"""
_CODES = {1: "in", 2: "ft", 4: "mm", 5: "cm", 6: "m"}
_LINES = {"LINE", "LWPOLYLINE", "POLYLINE", "ARC", "CIRCLE", "ELLIPSE", "SPLINE", "SOLID", "TRACE"}
_KINDS = {
    "TEXT": "texts",
    "MTEXT": "texts",
    "ATTRIB": "texts",
    "ATTDEF": "texts",
    "DIMENSION": "dimensions",
    "HATCH": "hatchings",
    "POINT": "points",
    "IMAGE": "pictures",
    "INSERT": "blocks that are not in the file",
    "LEADER": "leaders",
    "3DSOLID": "solids",
}
"""What is not read, in words; any other kind goes by its name in the file."""
_INVISIBLE = "invisible parts"
_SMALL_MM, _GREAT_MM = 1_000.0, 2_000_000.0
"""A building whose greatest side is less or more than this is questioned."""


def read_plan(data: bytes, *, file: str, unit: str | None = None, layers: Sequence[str] | None = None) -> BuildingPlan:
    """A building's floor plan from the contents of a DXF file.

    Args:
        data: the file.
        file: its name, for messages.
        unit: what its lengths are in, for a file that does not say.
        layers: which layers to draw; None: all that are switched on.

    Raises:
        PlanFileError: a file that is too large, no DXF text file or broken; a unit that is missing or contradicts the file; a
            layer that is not there; nothing to read.
    """
    document = _document(data, file)
    name, stated = _unit(document, file, unit)
    hidden = {layer.dxf.name for layer in document.layers if layer.is_off() or layer.is_frozen()}
    frozen = {layer.dxf.name.casefold() for layer in document.layers if layer.is_frozen()}
    reading = _Reading(file, UNITS_MM[name], frozen)
    try:
        reading.take(document.modelspace())
    except PlanFileError:
        raise
    except Exception as error:
        raise _broken(file, str(error)) from error
    counts = Counter(line.layer for line in reading.lines)
    known = tuple(PlanLayer(layer, counts[layer], layer in hidden) for layer in sorted(counts))
    taken = _taken(known, layers, file)
    lines = tuple(reading.lines)
    if not any(line.layer in taken for line in lines):
        raise PlanFileError(
            "plan-empty",
            file=file,
            found="without a line that could be used",
            expected="walls and the like drawn as lines in model space",
            action="choose other layers, or save the plan again with its walls as lines",
        )
    plan = BuildingPlan(file, name, stated, known, taken, lines, MappingProxyType(dict(sorted(reading.left_out.items()))))
    return BuildingPlan(file, name, stated, known, taken, lines, plan.left_out, _question(plan))


def _document(data: bytes, file: str) -> Drawing:
    """The file as the library reads it."""
    if len(data) > MOST_BYTES:
        raise PlanFileError(
            "plan-large",
            file=file,
            found=f"{len(data) / 1e6:.1f} million bytes",
            expected=f"{MOST_BYTES / 1e6:.0f} million at most",
            action="save only the bay around the lathe, with its walls and columns",
        )
    _refuse_other_kinds(data, file)
    try:
        encoding = dxf_stream_info(StringIO(data.decode("cp1252", errors="replace"))).encoding
        return read_dxf(StringIO(data.decode(encoding, errors="surrogateescape")))
    except Exception as error:
        # Whatever a library says of a file that somebody's machine garbled, it is the file that is at fault.
        raise _broken(file, str(error)) from error


def _refuse_other_kinds(data: bytes, file: str) -> None:
    """Refuse what is no DXF text at all, and text that breaks off."""
    found = ""
    if data.startswith(b"AutoCAD Binary DXF"):
        found = "a DXF file in its binary form"
    elif data[:4] in (b"AC10", b"AC2.", b"AC1."):
        found = "a DWG file"
    elif b"SECTION" not in data[:4000]:
        found = "not the text of a DXF file"
    if found:
        action = "save the plan as a DXF text file (ASCII)"
        raise PlanFileError("plan-kind", file=file, found=found, expected="a DXF text file", action=action)
    if b"EOF" not in data[-64:]:
        raise _broken(file, "it breaks off before its end")


def _broken(file: str, reason: str) -> PlanFileError:
    told = " ".join(reason.split())[:120].rstrip(".")
    return PlanFileError(
        "plan-broken",
        file=file,
        found=f"which cannot be read{': ' if told else ''}{told}",
        expected="a whole DXF file",
        action="save or fetch the plan again",
    )


def _unit(document: Drawing, file: str, asked: str | None) -> tuple[str, bool]:
    """The unit of the plan, and whether the file states it."""
    code = document.header.get("$INSUNITS", 0)
    stated = _CODES.get(code)
    if asked is not None and asked not in UNITS_MM:
        raise _no_unit(file, f"with its unit said to be {shown(asked)}", "a unit of length", write_instead(asked, UNITS_MM))
    if code and stated is None:
        found = f"drawn in a unit (code {code}) in which no floor is drawn"
        raise _no_unit(file, found, ", ".join(UNITS_MM), "save it again in mm or inches")
    if stated is None and asked is None:
        raise _no_unit(file, "which does not say its unit", ", ".join(UNITS_MM), "say in which unit it was drawn")
    if stated is not None and asked is not None and stated != asked:
        found = f"which states that it is in {stated}, said to be in {asked}"
        raise _no_unit(file, found, "one unit", "leave the unit out, or have the plan saved with the right one")
    return stated or str(asked), stated is not None


def _no_unit(file: str, found: str, expected: str, action: str) -> PlanFileError:
    return PlanFileError("plan-unit", file=file, found=found, expected=expected, action=action)


def _taken(known: Sequence[PlanLayer], asked: Sequence[str] | None, file: str) -> tuple[str, ...]:
    """The layers to take: those asked for, else all that are switched on."""
    names = [layer.name for layer in known]
    if asked is None:
        return tuple(layer.name for layer in known if not layer.hidden)
    for layer in asked:
        if layer.casefold() not in {name.casefold() for name in names}:
            raise PlanFileError(
                "plan-layer",
                file=file,
                found=f"layer {shown(layer)} asked for",
                expected="a layer with lines on it",
                action=write_instead(layer, names),
            )
    wanted = {layer.casefold() for layer in asked}
    return tuple(name for name in names if name.casefold() in wanted)


def _question(plan: BuildingPlan) -> str:
    """What makes the unit doubtful."""
    (left, low), (right, high) = plan.bounds_mm()
    side_mm = max(right - left, high - low)
    if side_mm < _SMALL_MM:
        return f"all of it is no larger than {side_mm:.0f} mm when drawn in {plan.unit}: is that its unit?"
    if side_mm > _GREAT_MM:
        return f"it is {side_mm / 1e6:.1f} km large when drawn in {plan.unit}: is that its unit?"
    return ""


class _Reading:
    """Takes a document apart, within limits."""

    def __init__(self, file: str, unit_mm: float, frozen: Set[str]) -> None:
        self._file, self._unit_mm, self._frozen = file, unit_mm, frozen
        self._entities, self._points = 0, 0
        self._spelt: dict[str, str] = {}
        self.lines: list[PlanLine] = []
        self.left_out: Counter[str] = Counter()

    def take(self, entities: Iterable[DXFEntity], *, depth: int = 0, within: str = "0") -> None:
        """Read entities; what stands on layer 0 of a block is on the layer of the block's place.

        All of a block whose place is on a frozen layer is on that layer, and hidden with it; on one that is merely off what has a
        layer of its own still shows, as in a drawing program. What is invisible by itself is not read.
        """
        for entity in entities:
            self._entities += 1
            if self._entities > MOST_ENTITIES:
                raise self._too_much(f"more than {MOST_ENTITIES} single parts")
            kind = entity.dxftype()
            layer = str(entity.dxf.layer) if entity.dxf.hasattr("layer") else "0"
            # Capitals make no difference to a layer: it goes by its first spelling.
            of_block = layer == "0" or (depth > 0 and within.casefold() in self._frozen)
            own = within if of_block else self._spelt.setdefault(layer.casefold(), layer)
            if entity.dxf.get("invisible", 0):
                self.left_out[_INVISIBLE] += 1
            elif isinstance(entity, Insert):
                self._insert(entity, depth, own)
            elif kind in _LINES and isinstance(entity, DXFGraphic):
                self._line(entity, own, kind)
            else:
                self.left_out[_KINDS.get(kind, kind)] += 1

    def _insert(self, insert: Insert, depth: int, layer: str) -> None:
        """The parts of a block where it stands; blocks that are missing or never end are counted."""
        if depth >= DEEPEST:
            self.left_out[f"blocks more than {DEEPEST} deep"] += 1
        elif insert.block() is None or insert.block().block.is_xref:  # type: ignore[union-attr]
            self.left_out[_KINDS["INSERT"]] += 1
        elif insert.mcount > 1:
            self.take(insert.multi_insert(), depth=depth, within=layer)
        else:
            self.left_out.update([_KINDS["ATTRIB"]] * len(insert.attribs))
            self.take(insert.virtual_entities(), depth=depth + 1, within=layer)

    def _line(self, entity: DXFGraphic, layer: str, kind: str) -> None:
        """One line or curve as straight pieces."""
        pieces = [tuple(self._flat(part)) for part in path.make_path(entity).sub_paths()]
        kept = [piece for piece in pieces if len(piece) > 1]
        if not kept or any(not math.isfinite(v) or abs(v) > FARTHEST_MM for piece in kept for point in piece for v in point):
            self.left_out[f"{kind.lower()}s without an extent" if not kept else f"{kind.lower()}s beyond all measure"] += 1
            return
        self.lines += [PlanLine(layer, piece) for piece in kept]

    def _flat(self, part: path.Path) -> Iterator[FloorXY]:
        """The points of a path, seen from above, in mm."""
        last: FloorXY | None = None
        for vertex in part.flattening(SAG_MM / self._unit_mm):
            self._points += 1
            if self._points > MOST_POINTS:
                raise self._too_much(f"more than {MOST_POINTS} points")
            here = (vertex.x * self._unit_mm, vertex.y * self._unit_mm)
            if here != last:
                yield here
            last = here

    def _too_much(self, found: str) -> PlanFileError:
        action = "save only the bay around the lathe, with its walls and columns"
        return PlanFileError("plan-large", file=self._file, found=found, expected="a plan of one bay", action=action)
