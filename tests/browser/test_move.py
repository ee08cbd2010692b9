"""Moving the loader: from any reading to how far and which way, the log, and the readings taken again afterwards."""

from __future__ import annotations

import re

from playwright.sync_api import Page, expect

from tests.browser.conftest import Watch
from tests.browser.errands import address, copy_of, job_of


def at_move(page: Page) -> None:
    """A copy of the axle cell, where it is moved: aim 11 7/16 in, Z from -0.2 to 7.3 in, adapter 1 5/8 in out of the cover."""
    copy_of(page, "Axle cell")
    page.goto(address(page, f"/jobs/{job_of(page)}/move"))
    expect(page.get_by_role("heading", name="Bring it to 11 7/16 in")).to_be_visible()


def read(
    page: Page, gap: str, *, headstock: str = "rear", at: str = "", mode: str = "", shifted: bool = False, phase: str = ""
) -> None:
    """Take a reading."""
    form = page.locator("form[action*='/move/reading']")
    form.locator("[name=gap]").fill(gap)
    form.locator("[name=headstock]").select_option(headstock)
    if at:
        form.locator("[name=at]").fill(at)
    if mode:
        form.locator("[name=mode]").select_option(mode)
    form.locator("[name=shifted]").select_option("yes" if shifted else "")
    if phase:
        form.locator("[name=phase]").select_option(phase)
    page.get_by_role("button", name="Take the reading").click()


def test_fully_back_the_gap_is_the_standoff(page: Page) -> None:
    """Read 12 7/16 in with the headstock fully back: 1 in too far."""
    at_move(page)
    read(page, "12 7/16 in")
    expect(page.get_by_role("heading", level=1)).to_have_text("Move 1 in towards the lathe")
    expect(page.locator(".say")).to_contain_text("It stands at 12 7/16 in")


def test_at_a_z_of_the_control(page: Page) -> None:
    """Read 12 7/16 in at Z 2.8 in: the headstock is 3 in ahead, the loader stands at 9 7/16 in, 2 in too near."""
    at_move(page)
    read(page, "12 7/16 in", headstock="z", at="2.8 in")
    expect(page.get_by_role("heading", level=1)).to_have_text("Move 2 in away from the lathe")


def test_without_power_by_the_cover(page: Page) -> None:
    """The adapter lies 1 3/8 in inside where it sticks out 1 5/8 in fully back: 3 in ahead, as before."""
    at_move(page)
    read(page, "12 7/16 in", headstock="in", at="1 3/8 in")
    expect(page.get_by_role("heading", level=1)).to_have_text("Move 2 in away from the lathe")
    expect(page.locator("tbody tr").first).to_contain_text("inside the cover by 1 3/8 in")


def test_with_the_loader_shifted(page: Page) -> None:
    """Shifted forward by 6 3/4 in the gap is that much smaller: 4 11/16 in, with the headstock at the first mode's rear limit."""
    at_move(page)
    read(page, "4 11/16 in", mode="chucker", headstock="z", at="-0.2 in", shifted=True)
    expect(page.get_by_role("heading", level=1)).to_have_text("✓ Leave it there")


def test_a_reading_that_cannot_be_used_stays(page: Page, watch: Watch) -> None:
    """A gap without a unit, and a missing Z, stay on screen with the reason, and nothing is logged."""
    watch.expected = ("422",)
    at_move(page)
    read(page, "12 7/16")
    expect(page.get_by_role("alert")).to_contain_text("without a unit")
    expect(page.locator("[name=gap]")).to_have_value("12 7/16")
    read(page, "12 7/16 in", headstock="z")
    expect(page.get_by_role("alert")).to_contain_text("Z")
    expect(page.locator("[name=gap]")).to_have_value("12 7/16 in")
    expect(page.locator("tbody tr")).to_have_count(0)


def test_log_and_readings_after_aligning_and_anchoring(page: Page) -> None:
    """Each reading is logged with its time and phase; direct readings agree, fall short, or tell that something moved."""
    at_move(page)
    read(page, "12 in")
    read(page, "11 1/2 in", phase="aligned")
    read(page, "11 7/16 in", phase="anchored")
    expect(page.get_by_role("heading", level=1)).to_have_text("✓ Leave it there")
    rows = page.locator("tbody tr")
    expect(rows).to_have_count(3)
    expect(rows.first).to_contain_text("after anchoring")
    expect(rows.first).to_contain_text(re.compile(r"20\d\d-\d\d-\d\d \d\d:\d\d"))
    nose = page.locator("#d-nose-room-guide-bushing")
    for value, words in (("11 7/16 in", "agrees"), ("12 in", "something has moved"), ("10 in", "too little")):
        nose.get_by_label("Read", exact=True).fill(value)
        nose.get_by_label("When").select_option("anchored")
        nose.get_by_role("button").click()
        expect(nose.locator(".note")).to_contain_text(words)
    reach = page.locator("#d-pusher-reach-guide-bushing")
    predicted = reach.locator("p").first.inner_text()
    figure = re.search(r"predicted ([^,]+ in),", predicted)
    assert figure is not None
    reach.get_by_label("Read", exact=True).fill(figure[1])
    reach.get_by_role("button").click()
    expect(reach.locator(".note.fits")).to_contain_text("✓")
