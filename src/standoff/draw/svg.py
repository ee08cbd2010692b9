"""The SVG writer: a scene as one self-contained, accessible text, the same bytes for the same scene.

Shapes carry only class names; how they look stands in STYLESHEET, which a stand-alone file embeds and a page serves as one of
its own style sheets (nothing inline, so that a strict content security policy holds). Light, dark and print differ only there.
"""

from __future__ import annotations

import hashlib
import re
from html import escape
from itertools import groupby

from standoff.draw.scene import Circle, Hatch, Line, Path, Point, Px, Rect, Scene, Shape, Text

STYLESHEET = """\
.drawing{--ink:#1b2631;--soft:#53606c;--sheet:#fffefb;--faint:#d9dde0;--loader:#8a4a00;--loader-fill:#f7ecdc;\
--head:#0a5c68;--head-fill:#dcedef;--lathe:#43566c;--lathe-fill:#eceff3;--part-fill:#d8d9dc;--bar-fill:#aeb4bb;\
--fits:#17672f;--fits-fill:#d3e7d8;--clash:#b01f17;\
background:var(--sheet);color:var(--ink);font-family:system-ui,"Segoe UI",Roboto,"Helvetica Neue",Arial,"DejaVu Sans",sans-serif}
@media (prefers-color-scheme:dark){.drawing{--ink:#e9edf0;--soft:#a9b4be;--sheet:#161b20;--faint:#3a434b;--loader:#eeb066;\
--loader-fill:#33281a;--head:#74cdd8;--head-fill:#16333a;--lathe:#a5b8cd;--lathe-fill:#212a34;--part-fill:#474d54;\
--bar-fill:#6c757e;--fits:#7fd295;--fits-fill:#1f3d29;--clash:#ff9087}}
.drawing .d-sheet{fill:var(--sheet);stroke:none}
.drawing text{fill:var(--ink);stroke:none;font-variant-numeric:tabular-nums}
.drawing line,.drawing path,.drawing polyline,.drawing rect,.drawing circle{fill:none;stroke:var(--ink);stroke-width:1;\
stroke-linejoin:round;stroke-linecap:butt}
.drawing text[class]{stroke:none}
.drawing text.d-ink{fill:var(--ink)}
.drawing text.d-soft{fill:var(--soft)}
.drawing text.d-loader{fill:var(--loader)}
.drawing text.d-headstock{fill:var(--head)}
.drawing text.d-lathe{fill:var(--lathe)}
.drawing text.d-window{fill:var(--fits)}
.drawing text.d-clash{fill:var(--clash)}
.drawing .d-loader{stroke:var(--loader);stroke-width:2.2}
.drawing .d-loader-fill{fill:var(--loader-fill);stroke:none}
.drawing .d-loader-part{fill:var(--loader);stroke:var(--loader)}
.drawing .d-nose{fill:var(--sheet);stroke:var(--loader);stroke-width:2}
.drawing .d-nose-inner{fill:var(--loader-fill);stroke:var(--loader);stroke-width:1.6}
.drawing .d-hidden{stroke:var(--loader);stroke-width:1.2;stroke-dasharray:5 3}
.drawing .d-pusher{fill:var(--loader-fill);stroke:var(--loader);stroke-width:1.4}
.drawing .d-headstock{stroke:var(--head);stroke-width:2.2}
.drawing .d-headstock-fill{fill:var(--head-fill);stroke:none}
.drawing .d-bore{fill:var(--sheet);stroke:none}
.drawing .d-bore-edge{stroke:var(--head);stroke-width:1}
.drawing .d-headstock-part{fill:var(--head);stroke:var(--head)}
.drawing .d-ghost{stroke:var(--head);stroke-width:1.3;stroke-dasharray:7 5}
.drawing .d-mark{stroke:var(--loader);stroke-width:1.3;stroke-dasharray:7 5}
.drawing .d-lathe{stroke:var(--lathe);stroke-width:2.2}
.drawing .d-lathe-fill{fill:var(--lathe-fill);stroke:none}
.drawing .d-lathe-hatch,.drawing .d-plane{stroke:var(--lathe)}
.drawing .d-plane{stroke-dasharray:8 3 2 3}
.drawing .d-fitting{fill:var(--part-fill);stroke:var(--ink);stroke-width:1.6}
.drawing .d-tool{fill:var(--part-fill);stroke:var(--lathe);stroke-width:1.6}
.drawing .d-bar{fill:var(--bar-fill);stroke:var(--ink);stroke-width:1}
.drawing .d-axis{stroke:var(--soft);stroke-dasharray:20 4 3 4}
.drawing .d-floor{stroke-width:2.2}
.drawing .d-ground,.drawing .d-grid{stroke:var(--faint)}
.drawing .d-break,.drawing .d-extension,.drawing .d-leader,.drawing .d-rule{stroke:var(--soft)}
.drawing .d-rule{stroke:var(--faint)}
.drawing .d-dimension,.drawing .d-scale{stroke-width:1.2}
.drawing .d-arrow{fill:var(--ink);stroke:none}
.drawing .d-window{stroke:var(--fits);stroke-width:1.2}
.drawing .d-window-edge{stroke:var(--fits);stroke-width:2}
.drawing .d-guard{stroke:var(--fits);stroke-width:1.4}
.drawing .d-window-fill{fill:var(--fits-fill);stroke:none}
.drawing .d-holds{fill:var(--fits-fill);stroke:var(--fits);stroke-width:1}
.drawing .d-bound{stroke-width:3}
.drawing .d-aim{stroke-width:2;stroke-dasharray:6 4}
.drawing .d-aim-mark{fill:var(--ink);stroke:none}
.drawing .d-clash{stroke:var(--clash);stroke-width:1.5}
.drawing .d-caution{stroke:var(--loader);stroke-width:5}
.drawing text.d-speed-step{fill:var(--head)}
.drawing .d-speed-band{fill:var(--lathe-fill);stroke:none}
.drawing .d-speed-band-edge{stroke:var(--lathe);stroke-dasharray:2 3}
.drawing .d-speed-resting{stroke:var(--soft);stroke-width:1.2;stroke-dasharray:5 4}
.drawing .d-speed-whip{stroke-width:2.4}
.drawing .d-speed-limit{stroke:var(--loader);stroke-width:2;stroke-dasharray:14 3}
.drawing .d-speed-step{stroke:var(--head);stroke-width:3.2}
.drawing .d-stock-part{fill:var(--bar-fill);stroke:none}
.drawing .d-stock-remnant{stroke:var(--loader);stroke-width:1.2}
.drawing .d-stock-insertion{stroke:var(--loader)}
.drawing .d-stock-cut{fill:var(--ink);stroke:none}
.drawing .d-stock-cut-line{stroke:var(--ink);stroke-width:1}
.drawing .d-stock-mean{stroke-width:2.6}
.drawing .d-stock-exact{stroke:var(--soft);stroke-width:1.2;stroke-dasharray:5 3}
.drawing .d-stock-beyond{stroke:var(--lathe)}
.drawing .d-stock-best{stroke:var(--fits);stroke-width:2.6}
.drawing .d-stock-edge{stroke-width:1.4}
.drawing .d-runoff-series{stroke-width:1.2}
.drawing .d-runoff-mean{stroke-width:2.4}
.drawing .d-runoff-limit{stroke:var(--soft);stroke-width:1.6;stroke-dasharray:6 4}
.drawing .d-runoff-predicted{stroke:var(--head);stroke-width:2;stroke-dasharray:12 3 3 3}
.drawing .d-runoff-agreed{stroke:var(--loader);stroke-width:2.4;stroke-dasharray:16 4}
.drawing .d-runoff-odd,.drawing .d-runoff-stopped{stroke:var(--clash);stroke-width:2}
.drawing .d-runoff-clean{stroke:var(--fits);stroke-width:2}
.drawing .d-runoff-void{stroke:var(--soft);stroke-width:1.4}
.drawing .d-runoff-to-go{stroke:var(--soft);stroke-dasharray:4 4}
.drawing .d-runoff-stopped-hatch{stroke:var(--clash)}
.drawing .d-runoff-row{stroke-width:2}
.drawing .d-off{display:none}
.drawing .d-trace{stroke-width:2}
.drawing .d-lathe-part{fill:var(--lathe);stroke:var(--lathe)}
.drawing .d-cursor{stroke:var(--head);stroke-width:3}
.drawing .d-jaw-open{fill:var(--head-fill);stroke:var(--head);stroke-width:1.6}
.drawing .d-gripper-open{fill:var(--loader-fill);stroke:var(--loader);stroke-width:1.8}
.drawing .d-plan-loader{fill:var(--loader-fill);stroke:var(--loader);stroke-width:2.2}
.drawing .d-plan-lathe{fill:var(--lathe-fill);stroke:var(--lathe);stroke-width:2.2}
.drawing .d-plan-building{fill:var(--part-fill);stroke:var(--ink);stroke-width:1.4}
.drawing .d-plan-wall{stroke-width:3}
.drawing .d-plan-aisle{stroke:var(--soft);stroke-width:1.4;stroke-dasharray:2 4}
.drawing .d-plan-keep{stroke:var(--soft);stroke-width:1.3;stroke-dasharray:7 4}
.drawing .d-plan-keep-loader{stroke:var(--loader);stroke-width:1.3;stroke-dasharray:7 4}
.drawing .d-plan-shifted{stroke:var(--loader);stroke-width:1.3;stroke-dasharray:2 3}
.drawing .d-plan-struck{fill:none;stroke:var(--clash);stroke-width:3.4}
.drawing .d-plan-joint{stroke-width:1.6;stroke-dasharray:14 4 2 4}
.drawing .d-plan-import{stroke:var(--soft);stroke-width:.8}
.drawing .d-plan-foot{fill:var(--loader);stroke:none}
.drawing .d-plan-hole{fill:var(--sheet);stroke:var(--ink);stroke-width:1.4}
.drawing .d-plan-oval{stroke:var(--head);stroke-width:1.4}
.drawing .d-plan-reference{fill:var(--ink);stroke:var(--ink)}
.drawing .d-plan-base{stroke-width:2.4}
.drawing .d-plan-tape{stroke:var(--head);stroke-width:1}
.drawing .d-plan-check{stroke:var(--soft);stroke-width:1;stroke-dasharray:3 4}
.drawing .d-lead{stroke:var(--soft)}
.drawing .d-balloon{fill:var(--sheet);stroke:var(--soft);stroke-width:1.2}
@media print{.drawing{--ink:#000;--soft:#000;--sheet:#fff;--faint:#bbb;--loader:#000;--loader-fill:#fff;--head:#000;\
--head-fill:#fff;--lathe:#000;--lathe-fill:#fff;--part-fill:#ddd;--bar-fill:#ccc;--fits:#000;--fits-fill:#eee;--clash:#000}}
"""
"""How every style looks; class names begin with `d-`, so that they meet no class of the page around."""

# What XML 1.0 cannot carry at all, however escaped (production 2, Char).
_NO_XML = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def svg(scene: Scene, *, standalone: bool) -> str:
    """The scene as SVG: a file of its own with its style sheet, or (not standalone) an element for a page that has STYLESHEET."""
    width, height = _number(scene.width), _number(scene.height)
    body = "\n".join(_layers(scene))
    # The name's id must not meet that of another drawing on the same page: it is taken from what is drawn.
    key = "d" + hashlib.sha256(f"{scene.title}{scene.description}{body}".encode()).hexdigest()[:12]
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="drawing" viewBox="0 0 {width} {height}"'
        f' width="{width}" height="{height}" role="img" aria-labelledby="{key}-t {key}-d">'
    )
    told = f'<title id="{key}-t">{_safe(scene.title)}</title>\n<desc id="{key}-d">{_safe(scene.description)}</desc>'
    if not standalone:
        return f"{head}\n{told}\n{body}\n</svg>\n"
    sheet = f'<rect class="d-sheet" width="{width}" height="{height}"/>'
    return f"{head}\n{told}\n<style>\n{STYLESHEET}</style>\n{sheet}\n{body}\n</svg>\n"


def _layers(scene: Scene) -> list[str]:
    """Runs of shapes on one layer as groups, so that a page can find a whole machine."""
    groups = groupby(scene.shapes, key=lambda shape: shape.layer)
    return [f'<g class="d-layer-{layer}">\n' + "\n".join(map(_element, shapes)) + "\n</g>" for layer, shapes in groups]


def _element(shape: Shape) -> str:
    style = f'class="d-{shape.style}"'
    if isinstance(shape, Text):
        return _text(shape, style)
    if isinstance(shape, Line):
        (x1, y1), (x2, y2) = shape.start, shape.end
        return f'<line {style} x1="{_number(x1)}" y1="{_number(y1)}" x2="{_number(x2)}" y2="{_number(y2)}"/>'
    if isinstance(shape, Path):
        return f'<path {style} d="M{_joined(shape.points)}{"Z" if shape.closed else ""}"/>'
    if isinstance(shape, Circle):
        (x, y), radius = shape.centre, shape.radius
        return f'<circle {style} cx="{_number(x)}" cy="{_number(y)}" r="{_number(radius)}"/>'
    if isinstance(shape, Hatch):
        return f'<path {style} d="{"".join(f"M{_joined(stroke)}" for stroke in shape.strokes())}"/>'
    return _rect(shape, style)


def _rect(shape: Rect, style: str) -> str:
    box = shape.box
    place = f'x="{_number(box.left)}" y="{_number(box.top)}"'
    return f'<rect {style} {place} width="{_number(box.right - box.left)}" height="{_number(box.bottom - box.top)}"/>'


def _text(shape: Text, style: str) -> str:
    anchor = "" if shape.anchor == "start" else f' text-anchor="{shape.anchor}"'
    weight = ' font-weight="650"' if shape.bold else ""
    place = f'x="{_number(shape.at[0])}" y="{_number(shape.at[1])}" font-size="{_number(shape.size)}"'
    return f"<text {style} {place}{anchor}{weight}>{_safe(shape.words)}</text>"


def _joined(points: tuple[Point, ...]) -> str:
    return "L".join(f"{_number(x)},{_number(y)}" for x, y in points)


def _number(value: Px) -> str:
    """Two decimals at most, never "-0"."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def _safe(words: str) -> str:
    return escape(_NO_XML.sub("\ufffd", words), quote=True)
