"""Every page in light and dark: no violation of WCAG 2.2 AA that axe can find, nothing wider than the screen, room for thumbs."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from tests.browser.errands import address, begin, copy_of, field, follow, job_of, type_into
from tests.browser.looks import Scheme, misfits, put_on_paper, violations

WIDTHS = (1440, 1024, 768, 390)


def every_page(page: Page) -> dict[str, Callable[[], object]]:
    """The pages in their states, each by how one gets there: full, empty, refused, tried, incomplete."""

    def go(path: str) -> Callable[[], object]:
        return lambda: page.goto(address(page, path))

    def with_faults() -> None:
        copy_of(page, "Spacer cell")
        type_into(page, "loader.pusher_reach", "44 ft")
        type_into(page, "nose.overlap", "12")
        field(page, "lathe.collet_to_cutoff").locator("summary").click()

    def moved() -> None:
        copy_of(page, "Axle cell")
        page.goto(address(page, f"/jobs/{job_of(page)}/move"))
        page.locator("[name=gap]").fill("12 in")
        page.get_by_role("button", name="Take the reading").click()
        expect(page.locator("tbody tr")).to_have_count(1)

    def tried() -> None:
        copy_of(page, "Spoke-nipple cell")
        page.goto(address(page, f"/jobs/{job_of(page)}/placement?trial=0"))
        for row in page.locator("details > summary").all()[:3]:
            row.click()

    def to_print() -> None:
        page.get_by_role("link", name="Blank sheet to print").click()
        page.wait_for_url("**/survey/blank")

    def speed(title: str, *, bar: str = "", opened: bool = False) -> Callable[[], object]:
        def reach() -> None:
            copy_of(page, title)
            page.goto(address(page, f"/jobs/{job_of(page)}/speed?bar={bar}"))
            if opened:
                for row in page.locator("details.opened > summary").all():
                    row.click()

        return reach

    def speed_with_faults() -> None:
        speed("Axle cell")()
        for path, text in (
            ("bars[0].size", "1 1/2 in"),
            ("bars[1].speed", "1,200 rpm"),
            ("bars[1].material", "bronze of our own"),
        ):
            type_into(page, path, text)
        follow(page.get_by_role("button", name="Add a reading on site"))

    def cycle(title: str, *, part: str = "", at: str = "") -> Callable[[], object]:
        def reach() -> None:
            copy_of(page, title)
            page.goto(address(page, f"/jobs/{job_of(page)}/cycle?part={part}"))
            if at:
                page.locator("#scrub").fill(at)

        return reach

    def parts_with_faults() -> None:
        cycle("Axle cell")()
        type_into(page, "parts[0].length", "11 ft")
        type_into(page, "parts[1].cut_off_width", "9 in")

    def run_off() -> None:
        copy_of(page, "Axle cell")
        page.goto(address(page, f"/jobs/{job_of(page)}/runoff"))
        page.locator("#tap-loader").click()
        expect(page.locator("#runoff-bars tbody tr")).to_have_count(1)

    def level(title: str) -> Callable[[], object]:
        def reach() -> None:
            copy_of(page, title)
            page.goto(address(page, f"/jobs/{job_of(page)}/level"))

        return reach

    def floor() -> None:
        copy_of(page, "Axle cell")
        page.goto(address(page, f"/jobs/{job_of(page)}/floor"))
        for row in page.locator("#floor-answer details > summary, details.entry-folded > summary").all()[:3]:
            row.click()

    return {
        "jobs": go("/jobs"),
        "nothing found": go("/jobs?search=nowhere"),
        "no archive": go("/jobs?archived=yes&search=nowhere"),
        "blank survey": lambda: begin(page, "Empty cell"),
        "no placement yet": lambda: page.goto(page.url.replace("/survey", "/placement")),
        "no mark yet": lambda: page.goto(page.url.replace("/placement", "/move")),
        "no speed yet": lambda: page.goto(page.url.replace("/move", "/speed")),
        "no cycle yet": lambda: page.goto(page.url.replace("/speed", "/cycle")),
        "no run-off yet": lambda: page.goto(page.url.replace("/cycle", "/runoff")),
        "no level yet": lambda: page.goto(page.url.replace("/runoff", "/level")),
        "no floor yet": lambda: page.goto(page.url.replace("/level", "/floor")),
        "survey with faults": with_faults,
        "sheet to print": to_print,
        "history": lambda: page.goto(page.url.replace("/survey/blank", "/history")),
        "placement": tried,
        "move": moved,
        "bar speed": speed("Axle cell", bar="1 in aluminium", opened=True),
        "bar speed where the pair does not fit": speed("Spoke-nipple cell"),
        "no bar yet": speed("Spacer cell"),
        "bars with faults": speed_with_faults,
        "bar cycle": cycle("Axle cell", part="brake pivot", at="12"),
        "bar cycle that fails": cycle("Spoke-nipple cell", at="511"),
        "no part yet": cycle("Spacer cell"),
        "parts with faults": parts_with_faults,
        "run-off": run_off,
        "level": level("Shell cell"),
        "no feet yet": level("Spacer cell"),
        "floor": floor,
        "not there": go("/jobs/nowhere/survey"),
    }


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_every_page_is_accessible(entered: Callable[..., Page], watch: Any, scheme: Scheme) -> None:
    """axe finds no violation of WCAG 2.0 to 2.2, levels A and AA, on any page in any of its states."""
    watch.expected = ("404",)
    page = entered(bypass_csp=True, color_scheme=scheme, reduced_motion="reduce")
    assert violations(page, every_page(page)) == {}


@pytest.mark.parametrize("width", WIDTHS)
def test_every_page_fits_the_screen(entered: Callable[..., Page], watch: Any, width: int) -> None:
    """No page scrolls sideways, what can be touched is at least 44 px, and no chosen word is cut off."""
    watch.expected = ("404",)
    page = entered(viewport={"width": width, "height": 900})
    assert misfits(page, every_page(page), width=width) == {}


@pytest.mark.parametrize("name", ["survey/blank", "placement", "speed", "cycle", "level", "floor", "runoff"])
def test_what_is_printed(page: Page, name: str) -> None:
    """On paper is no navigation and no button, nothing is wider than the page; drawing and lines to write are there."""
    copy_of(page, "Axle cell")
    page.goto(address(page, f"/jobs/{job_of(page)}/{name}"))
    put_on_paper(page, "nav", "button", "#slide", ".button", ".field")
    expect(page.locator("svg.drawing").locator("visible=true").first).to_be_visible()
    if name == "speed":
        expect(page.locator(".only-print").first).to_contain_text("Axle cell (copy)")
        expect(page.get_by_text("These are limits of a model")).to_be_visible()
        assert sum(line.is_visible() for line in page.locator(".line-to-write").all()) > 12
    if name == "survey/blank":
        assert page.locator(".line-to-write").count() > 25
        expect(page.get_by_role("row").filter(has_text="Adapter to collet")).to_be_visible()
    else:
        expect(page.locator("#spoken")).to_be_visible()
    expect(page.locator("footer")).to_be_visible()
    expect(page.locator("footer")).to_contain_text("ISO 13854")
