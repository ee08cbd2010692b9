"""What is looked for on every page in every state: what axe can find, what is too wide or too small, what is printed."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any, Literal

from playwright.sync_api import Page, expect

AXE = Path(__file__).parent / "vendor" / "axe.min.js"
TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]
SMALL = """() => [...document.querySelectorAll("a[href], button, input:not([type=hidden]), select, summary")]
  .filter(one => one.checkVisibility() && !one.closest(".hidden, .skip") && !(one.matches("a") && one.closest("p, td, .told")))
  .filter(one => { const box = one.getBoundingClientRect(); return box.height > 0 && (box.height < 43.9 || box.width < 43.9); })
  .map(one => one.outerHTML.slice(0, 120))"""
CLIPPED = """() => [...document.querySelectorAll("select")].filter(one => one.checkVisibility()).filter(one => {
    const style = getComputedStyle(one), ruler = document.createElement("canvas").getContext("2d");
    ruler.font = `${style.fontWeight} ${style.fontSize} ${style.fontFamily}`;
    const words = one.selectedOptions[0]?.textContent.trim() || "";
    return ruler.measureText(words).width > one.clientWidth - parseFloat(style.paddingLeft) - 20;
  }).map(one => one.id + ": " + one.selectedOptions[0].textContent)"""
PAPER = {"width": 794, "height": 1123}
"""A4 at 96 dots to the inch."""

Scheme = Literal["light", "dark"]
States = Mapping[str, Callable[[], object]]
"""The states of pages, each by how one gets there."""


def violations(page: Page, states: States) -> dict[str, Any]:
    """What axe finds against WCAG 2.0 to 2.2, levels A and AA, by the state it finds it in."""
    rules = {"runOnly": {"type": "tag", "values": TAGS}, "resultTypes": ["violations"]}
    found = {}
    for name, reach in states.items():
        reach()
        page.add_script_tag(path=AXE)
        result = page.evaluate("rules => axe.run(document, rules)", rules)
        assert len(result["violations"]) + len(result["passes"]) > 5
        if result["violations"]:
            found[name] = [(v["id"], v["nodes"][0]["html"][:200]) for v in result["violations"]]
    return found


def misfits(page: Page, states: States, *, width: int) -> dict[str, list[str]]:
    """What scrolls sideways, is less than 44 px for a thumb, or is a chosen word cut off, by the state it is so in."""
    found = {}
    for name, reach in states.items():
        reach()
        wide = page.evaluate("document.documentElement.scrollWidth")
        faults = [f"{wide} px wide"] if wide > width else []
        faults += page.evaluate(SMALL) + page.evaluate(CLIPPED)
        if faults:
            found[name] = faults
    return found


def put_on_paper(page: Page, *gone: str) -> None:
    """Show the page as it is printed: nothing wider than the paper, nothing of `gone` seen."""
    page.set_viewport_size({"width": PAPER["width"], "height": PAPER["height"]})
    page.emulate_media(media="print")
    for selector in gone:
        for one in page.locator(selector).all():
            expect(one).to_be_hidden()
    assert page.evaluate("document.documentElement.scrollWidth") <= PAPER["width"]
