"""The DXF writer: a ground in real size, on named layers, each machine a block, distances as real dimensions.

The unit is the job's, and the file says so. The same ground gives the same bytes: dates and identifiers are fixed, nothing of the
machine it was written on goes in. A file with a fault that the library's audit can find is never handed out.
"""

from __future__ import annotations

from io import StringIO
from threading import Lock

from ezdxf._options import options
from ezdxf.document import Drawing
from ezdxf.enums import TextEntityAlignment
from ezdxf.filemanagement import new as new_dxf
from ezdxf.layouts.base import BaseLayout

from standoff.draw.ground import LAYERS, FloorXY, Ground, Label, Measure, Outline, Oval, Piece, Ring
from standoff.errors import UsageError
from standoff.units import INCH_MM, Units

VERSION = "R2010"
INSUNITS = {"in": 1, "mm": 4}
"""The header's code for the unit of a drawing."""
TEXT_MM = 2.5
"""How high letters stand on paper, at the scale that the drawing is laid out for."""
DIMENSION_STYLE = "STANDOFF"
DOTTED = ("plan-shifted", "plan-aisle")
"""What is told from the rest of its layer by its kind of line."""
SHORT = 16
"""Dimensions have no more letters than this before their figure."""

_METADATA = Lock()
"""Fixed dates and identifiers are a setting of the whole library."""


def dxf_text(ground: Ground, *, units: Units, one_to: int = 50) -> str:
    """The ground as the text of a DXF file, letters sized for a print at 1 to `one_to`; raises UsageError for an empty ground."""
    if not ground.pieces:
        raise UsageError(what="drawing", given="empty", allowed="something drawn", action="state what stands on the floor")
    with _METADATA:
        before = options.write_fixed_meta_data_for_testing
        options.write_fixed_meta_data_for_testing = True
        try:
            return _written(_document(ground, units, one_to))
        finally:
            options.write_fixed_meta_data_for_testing = before


def _document(ground: Ground, units: Units, one_to: int) -> Drawing:
    document = new_dxf(VERSION, setup=["linetypes"], units=INSUNITS[units])
    document.header["$INSUNITS"] = INSUNITS[units]
    document.header["$MEASUREMENT"] = 0 if units == "in" else 1
    document.header["$LUNITS"] = 2
    scale = 1.0 if units == "mm" else 1.0 / float(INCH_MM)
    height = TEXT_MM * one_to * scale
    document.header["$LTSCALE"] = height
    _dimension_style(document, units, height)
    for key, layer in LAYERS.items():
        added = document.layers.add(layer.name, color=layer.colour, linetype=layer.dashes)
        added.description = f"standoff: {key}"
    writer = _Writer(document, scale, height)
    for name, at_mm in ground.blocks.items():
        own = [piece for piece in ground.pieces if _block(piece) == name]
        if own:
            block = document.blocks.new(name.upper())
            for piece in own:
                writer.put(block, piece, at_mm)
            at = (at_mm[0] * scale, at_mm[1] * scale)
            document.modelspace().add_blockref(name.upper(), at, dxfattribs={"layer": LAYERS[name].name})
    for piece in ground.pieces:
        if _block(piece) not in ground.blocks:
            writer.put(document.modelspace(), piece, (0.0, 0.0))
    writer.key(document.modelspace(), ground)
    return document


def _block(piece: Piece) -> str:
    """The machine a piece belongs to; dimensions and ovals belong to none."""
    return "" if isinstance(piece, Measure | Oval) else piece.block


def _dimension_style(document: Drawing, units: Units, height: float) -> None:
    """Dimensions in the drawing's unit, as exact as a tape."""
    style = document.dimstyles.duplicate_entry("Standard", DIMENSION_STYLE)
    style.dxf.dimtxt, style.dxf.dimasz = height, 0.8 * height
    style.dxf.dimexo, style.dxf.dimexe, style.dxf.dimgap = 0.3 * height, 0.5 * height, 0.3 * height
    style.dxf.dimlunit, style.dxf.dimdec, style.dxf.dimzin = 2, 0 if units == "mm" else 3, 8
    style.dxf.dimpost, style.dxf.dimdsep = f"<> {units}", ord(".")
    style.dxf.dimtad = 1


class _Writer:
    """Puts the pieces of a ground into a layout or block of a document."""

    def __init__(self, document: Drawing, scale: float, height: float) -> None:
        self._document, self._scale, self._height = document, scale, height

    def put(self, layout: BaseLayout, piece: Piece, origin_mm: FloorXY) -> None:
        """One piece, seen from an origin."""

        def at(place_mm: FloorXY) -> tuple[float, float]:
            return (place_mm[0] - origin_mm[0]) * self._scale, (place_mm[1] - origin_mm[1]) * self._scale

        if isinstance(piece, Label):
            self._text(layout, piece, at(piece.at_mm))
            return
        attributes = {"layer": LAYERS[piece.layer].name}
        if isinstance(piece, Outline):
            corners = [at(corner) for corner in piece.corners_mm]
            if piece.style in DOTTED:
                attributes["linetype"] = "DOT"
            layout.add_lwpolyline(corners, close=piece.closed, dxfattribs=attributes)
        elif isinstance(piece, Ring):
            layout.add_circle(at(piece.centre_mm), piece.radius_mm * self._scale, dxfattribs=attributes)
        elif isinstance(piece, Oval):
            self._oval(layout, piece, at(piece.centre_mm), attributes)
        else:
            self._measure(layout, piece, attributes)

    def _text(self, layout: BaseLayout, label: Label, at: tuple[float, float]) -> None:
        words = label.sign or " ".join(label.words.split())
        text = layout.add_text(words, height=self._height, dxfattribs={"layer": LAYERS["labels"].name})
        text.set_placement(at, align=TextEntityAlignment.MIDDLE_CENTER)

    def key(self, layout: BaseLayout, ground: Ground) -> None:
        """What the letters stand for, then the notes, line by line below the plan."""
        (left_mm, low_mm), _ = ground.bounds_mm()
        signed = [(piece.sign, piece.words) for piece in ground.pieces if isinstance(piece, Label | Measure) and piece.sign]
        lines = [*sorted(f"{sign}  {' '.join(words.split())}" for sign, words in signed), *ground.notes]
        for i, line in enumerate(lines):
            at = (left_mm * self._scale, low_mm * self._scale - (i + 2) * 1.7 * self._height)
            text = layout.add_text(line, height=self._height, dxfattribs={"layer": LAYERS["labels"].name})
            text.set_placement(at, align=TextEntityAlignment.LEFT)

    def _oval(self, layout: BaseLayout, piece: Oval, at: tuple[float, float], attributes: dict[str, str]) -> None:
        first = piece.corners_mm()[0]
        axis = tuple((a - b) * self._scale for a, b in zip(first, piece.centre_mm, strict=True))
        ratio = piece.minor_mm / piece.major_mm if piece.major_mm > 0.0 else 0.0
        if ratio < 1e-6:
            ends = [(at[0] - axis[0], at[1] - axis[1]), (at[0] + axis[0], at[1] + axis[1])]
            layout.add_lwpolyline(ends, dxfattribs=attributes)
        else:
            layout.add_ellipse(at, axis, ratio=ratio, dxfattribs=attributes)

    def _measure(self, layout: BaseLayout, piece: Measure, attributes: dict[str, str]) -> None:
        start, end = ((x * self._scale, y * self._scale) for x, y in (piece.start_mm, piece.end_mm))
        if start == end:
            return
        # Words run from left to right, or upwards, whichever way the distance was taken.
        forward = (end[0] - start[0], end[1] - start[1]) > (0.0, 0.0)
        dimension = layout.add_aligned_dim(
            p1=start if forward else end,
            p2=end if forward else start,
            distance=piece.off_mm * self._scale * (1.0 if forward else -1.0),
            dimstyle=DIMENSION_STYLE,
            text=f"{_caption(piece)} <>".strip(),
            dxfattribs=attributes,
        )
        dimension.render()


def _caption(piece: Measure) -> str:
    """What stands before the figure of a dimension, which the file's own program measures: its words up to their first figure.

    Many words give way to their letter: the key has them.
    """
    kept = []
    for word in piece.words.split():
        if word[:1].isdigit() or word[:1] in "-−<":
            break
        kept.append(word.rstrip(":"))
    words = " ".join(kept)
    return piece.sign if piece.sign and len(words) > SHORT else words


def _written(document: Drawing) -> str:
    faults = document.audit().errors
    if faults:
        raise AssertionError(f"the drawing does not pass its own audit: {faults[0].message}")
    # The library lists the kinds of entities in the order of a set; listed beforehand they keep one order.
    for kind in sorted(document.entitydb.dxf_types_in_use()):
        document.classes.add_class(kind)
    out = StringIO(newline="\n")
    document.write(out)
    return out.getvalue()
