"""The SVG writer: well formed, accessible, self-contained, the same bytes for the same scene."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET

import pytest

from standoff.draw.conditions import conditions
from standoff.draw.elevation import FORMATS, elevation
from standoff.draw.scene import Box, Circle, Hatch, Line, Path, Rect, Scene, Text
from standoff.draw.sheet import sheet
from standoff.draw.svg import STYLESHEET, svg
from standoff.job.file import parse_job
from standoff.job.placement import place
from tests.pairs import ONE_CUT, TWO_MODES, fixed

SVG = "{http://www.w3.org/2000/svg}"
BOX = Box(left=1.0, top=2.0, right=11.0, bottom=8.0)


def plain(*shapes: Line | Path | Rect | Circle | Hatch | Text) -> Scene:
    """A small scene of these shapes."""
    return Scene(100.0, 50.0, "A <title> & more", 'said "so"', shapes)


def drawings() -> list[Scene]:
    """One drawing of every kind."""
    found = []
    for text in (TWO_MODES, ONE_CUT, fixed()):
        for asked_mm in (None, 150.0, 900.0):
            placement = place(parse_job(text), asked_mm=asked_mm)
            for arrangement in FORMATS:
                found += [sheet(placement, arrangement=arrangement), conditions(placement, arrangement=arrangement)]
                found += [
                    elevation(placement, mode=mode.name, state=state, arrangement=arrangement)
                    for mode in placement.layout.modes
                    for state in ("rear limit", "bar change", "front limit")
                ]
    return found


def test_a_drawing_is_named_and_described() -> None:
    """The root is an image named by its title and described by its description, both escaped."""
    root = ET.fromstring(svg(plain(), standalone=True))
    assert root.get("role") == "img"
    title, description = root.find(f"{SVG}title"), root.find(f"{SVG}desc")
    assert title is not None
    assert description is not None
    assert (title.text, description.text) == ("A <title> & more", 'said "so"')
    assert root.get("aria-labelledby") == f"{title.get('id')} {description.get('id')}"


def test_two_drawings_on_a_page_have_ids_of_their_own() -> None:
    """The ids are taken from what is drawn, so that they differ where the drawings do and stay where they do not."""
    one, other = plain(Rect(BOX, "nose", "loader")), plain(Rect(BOX, "fitting", "fittings"))
    ids = [set(re.findall(r' id="([^"]+)"', svg(scene, standalone=False))) for scene in (one, other, one)]
    assert not ids[0] & ids[1]
    assert ids[0] == ids[2]


def test_every_shape_is_written() -> None:
    """Each kind of shape becomes its element with the class of its style, in the group of its layer."""
    scene = plain(
        Line((0.0, 0.0), (10.0, 0.126), "axis", "axis"),
        Path(((0.0, 0.0), (5.0, 5.0), (0.0, 5.0)), "arrow", "axis", closed=True),
        Rect(BOX, "fitting", "fittings"),
        Circle((5.0, 5.0), 2.0, "balloon", "callouts"),
        Hatch(BOX, 4.0, "window", "window"),
        Text((5.0, 5.0), "5 < 6 & 7", 14.0, "ink", anchor="end", bold=True),
    )
    text = svg(scene, standalone=False)
    assert '<line class="d-axis" x1="0" y1="0" x2="10" y2="0.13"/>' in text
    assert '<path class="d-arrow" d="M0,0L5,5L0,5Z"/>' in text
    assert '<rect class="d-fitting" x="1" y="2" width="10" height="6"/>' in text
    assert '<circle class="d-balloon" cx="5" cy="5" r="2"/>' in text
    assert text.count('<g class="d-layer-axis">') == 1
    assert '<text class="d-ink" x="5" y="5" font-size="14" text-anchor="end" font-weight="650">5 &lt; 6 &amp; 7</text>' in text


def test_minus_nothing_is_nothing() -> None:
    """A coordinate that rounds to zero has no sign."""
    assert 'x1="0" y1="0"' in svg(plain(Line((-0.001, 0.0), (1.0, 1.0), "axis", "axis")), standalone=False)


def test_characters_that_xml_cannot_carry_are_replaced() -> None:
    """A control character in a name does not break the file."""
    root = ET.fromstring(svg(plain(Text((0.0, 0.0), "no\x00se\x1b", 14.0, "ink")), standalone=True))
    assert [element.text for element in root.iter(f"{SVG}text")] == ["no\ufffdse\ufffd"]


def test_only_a_file_of_its_own_carries_the_style_sheet() -> None:
    """Inline, nothing breaks a strict content security policy: no style element, no style attribute."""
    scene = plain(Rect(BOX, "nose", "loader"))
    inline, whole = svg(scene, standalone=False), svg(scene, standalone=True)
    assert "<style" not in inline
    assert STYLESHEET in whole
    for text in (inline, whole):
        assert " style=" not in text


def test_no_drawing_reaches_beyond_itself() -> None:
    """No script, no link, no reference to anything elsewhere, and every drawing is well formed; twice gives the same bytes."""
    for scene in drawings():
        text = svg(scene, standalone=True)
        root = ET.fromstring(text)
        tags = {element.tag.removeprefix(SVG) for element in root.iter()}
        assert tags <= {"svg", "title", "desc", "style", "g", "rect", "line", "path", "circle", "text"}
        assert "url(" not in text
        assert "href" not in text
        assert text.count("http") == 1
        assert "nan" not in re.sub(r">[^<]*<", "><", text).lower()
        assert svg(scene, standalone=True) == text


def test_every_style_has_a_look() -> None:
    """Whatever style a drawing uses, the style sheet says how it looks."""
    used = {
        f"text.d-{shape.style}" if isinstance(shape, Text) else f".d-{shape.style}"
        for scene in drawings()
        for shape in scene.shapes
    }
    unknown = sorted(style for style in used if not re.search(rf"{re.escape(style)}(?![\w-])", STYLESHEET))
    assert unknown == []


@pytest.mark.parametrize("medium", ["prefers-color-scheme:dark", "print"])
def test_dark_and_print_have_looks_of_their_own(medium: str) -> None:
    """The same names of colours are set anew for a dark screen and for paper."""
    block = STYLESHEET.partition(f"@media ({medium})" if ":" in medium else f"@media {medium}")[2]
    light = set(re.findall(r"(--[\w-]+):#", STYLESHEET.partition("@media")[0]))
    assert light == set(re.findall(r"(--[\w-]+):#", block.partition("}}")[0]))
