"""Bar speed in a browser: from a job without bars to a speed, bars and liners that do not pass, wrong entries, the keyboard."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from tests.browser.errands import address, begin, copy_of, field, fill_in, follow, job_of, slug, type_into
from tests.browser.test_keyboard import tab_to, type_here
from tests.browser.test_windows import second

SLOW_MS = 30_000
"""So long the answer may take on a machine that is busy with other tests."""

SHEET = {
    "bars[0].name": "16 mm steel",
    "bars[0].shape": "round",
    "bars[0].size": "16 mm",
    "bars[0].material": "steel",
    "bars[0].speed": "400 rpm",
    "supports[0].name": "main collet",
    "supports[0].kind": "collet",
    "supports[0].station": "main-collet",
    "supports[0].ahead": "70 mm",
    "supports[0].length": "35 mm",
    "supports[1].name": "channel",
    "supports[1].kind": "channel",
    "supports[1].station": "clamp",
    "supports[1].length": "3.8 m",
    "supports[1].bore": "24 mm",
    "bar_path.pusher_mass": "0.6 kg",
}
"""What turns in the spacer cell and what holds it: as little as there must be."""


@pytest.fixture(autouse=True)
def patience() -> Iterator[None]:
    """Expectations wait for an answer that is being worked out."""
    expect.set_options(timeout=SLOW_MS)
    yield
    expect.set_options(timeout=5_000)


def speed_page(page: Page, title: str) -> None:
    """The bar speed page of a new job made from a demonstration."""
    copy_of(page, title)
    page.goto(address(page, f"/jobs/{job_of(page)}/speed"))


def told_by_the_command(page: Page, folder: Path) -> str:
    """What `standoff speed` says of the job a page shows."""
    file = folder / "job.toml"
    file.write_bytes(page.request.get(address(page, f"/jobs/{job_of(page)}/export")).body())
    command = [sys.executable, "-m", "standoff", "speed", str(file)]
    done = subprocess.run(command, capture_output=True, text=True, check=False, encoding="utf-8")
    assert done.returncode in (0, 1, 3), done.stderr
    return done.stdout


def test_a_blank_bar_is_entered_until_a_speed_is_shown(page: Page, paper: Path) -> None:
    """What is wanted shrinks field by field; then the sentence is that of the command line, and follows what is typed."""
    speed_page(page, "Spacer cell")
    wanted = page.locator("#speed-answer .wanted li")
    expect(wanted).to_have_count(4)
    expect(page.locator("#speed-answer")).not_to_contain_text("rpm")
    follow(wanted.get_by_role("link", name="At least one bar"))
    expect(page).to_have_url(f"{address(page, '')}/jobs/{job_of(page)}/speed#stop-bars")
    fill_in(page, SHEET)
    expect(page.locator("#speed-verdict")).to_be_visible()
    expect(page.locator("#speed-news")).to_contain_text("up to date")
    sentence = page.locator("#spoken").inner_text()
    assert sentence in told_by_the_command(page, paper)
    expect(page.locator("#speed-chart svg.drawing").first).to_be_visible()
    type_into(page, "bars[0].speed", "9000 rpm")
    expect(page.locator("#speed-verdict")).to_have_text("✗ Above its lowest limit")
    assert page.locator("#spoken").inner_text() in told_by_the_command(page, paper)
    page.reload()
    expect(page.locator("#speed-verdict")).to_have_text("✗ Above its lowest limit")


def test_the_survey_comes_before_the_bars(page: Page) -> None:
    """A blank job says so and leads to the survey; a bar begun there is not lost."""
    begin(page, "Bar first cell")
    page.get_by_role("link", name="Bar speed").click()
    expect(page.locator("#speed-answer")).to_contain_text("the placement comes first")
    page.get_by_role("button", name="Add a bar").click()
    type_into(page, "bars[0].name", "12 mm brass")
    expect(page.get_by_role("heading", name="Bar 1: 12 mm brass")).to_be_visible()
    page.get_by_role("link", name="To the survey").click()
    page.get_by_role("link", name="Bar speed").click()
    expect(page.locator("#f-bars-0-name")).to_have_value("12 mm brass")


def test_an_incomplete_bar_does_not_take_the_placement_away(page: Page) -> None:
    """While a new bar is being entered the placement stands, and says that the bars are left out."""
    speed_page(page, "Axle cell")
    page.get_by_role("button", name="Add a bar").click()
    expect(page.locator("#speed-answer .wanted li")).to_have_count(4)
    page.get_by_role("link", name="Placement").click()
    expect(page.locator("#verdict")).to_have_text("✓ Fits")
    expect(page.get_by_text("The bars are left out of this answer")).to_be_visible()
    page.get_by_role("link", name="bar speed", exact=True).click()
    page.get_by_role("button", name="Take away Bar 3").click()
    expect(page.locator("#speed-verdict")).to_be_visible()


def test_a_bar_that_does_not_pass_shows_no_speed(page: Page) -> None:
    """Its bore and what is missing are named; there is no chart, no limit and no way up to speed."""
    speed_page(page, "Axle cell")
    type_into(page, "bars[0].size", "1 1/2 in")
    expect(page.locator("#speed-verdict")).to_have_text("✗ Does not pass")
    expect(page.locator("#spoken")).to_contain_text("no speed, because the bar does not pass the channel")
    answer = page.locator("#speed-answer")
    expect(answer.locator("svg.drawing")).to_have_count(0)
    expect(answer.get_by_text("governs")).to_have_count(0)
    expect(answer.locator(".line-to-write")).to_have_count(0)
    row = answer.get_by_role("row").filter(has_text="channel").filter(has_text="missing").first
    expect(row).to_contain_text("✗")
    expect(answer.get_by_role("row").filter(has_text="3/4 in stainless")).to_contain_text("no speed: it does not pass")


def test_the_liner_to_fit_and_the_one_refused(page: Page) -> None:
    """Each liner has its mark and its reason; a bore that is widened is taken, being the smaller one."""
    speed_page(page, "Shell cell")
    liners = page.locator(".marked li")
    expect(liners.nth(0)).to_contain_text("✓ liner 68 mm: fit this one")
    expect(liners.nth(1)).to_contain_text("✗ liner 64 mm: refused, the pusher collet does not pass (3.0 mm missing)")
    type_into(page, "liners[1].bore", "67.5 mm")
    expect(liners.nth(1)).to_contain_text("✓ liner 64 mm: fit this one")


@pytest.mark.parametrize(
    ("path", "text", "reason"),
    [
        ("bars[1].speed", "1,200 rpm", "1200 rpm"),
        ("bars[1].speed", "40", "unit"),
        ("bars[1].feed_force", "-3 N", "0 or more"),
        ("bars[1].length", "144 ft", "at most 12 ft"),
        ("supports[3].length", "12 in", "at least 12 ft"),
        ("bars[1].material", "unobtainium", "density and modulus"),
        ("bar_rules.whip_share", "75", "0.5, not 50"),
        ("bar_rules.whip_share", "0.9", "at most 0.8"),
    ],
)
def test_wrong_entries_stay_with_their_reason(page: Page, path: str, text: str, reason: str) -> None:
    """What cannot be used stands in its field beside the reason, also after a reload, and the answer says what it uses."""
    speed_page(page, "Axle cell")
    before = page.locator("#spoken").inner_text()
    type_into(page, path, text)
    for _ in range(2):
        expect(page.locator(f"#f-{slug(path)}")).to_have_value(text)
        expect(field(page, path).locator(".said.wrong")).to_contain_text(reason)
        expect(page.locator("#speed-state")).to_contain_text(f"“{text}” is not taken over")
        expect(page.locator("#speed-answer")).to_contain_text("1 entry is not taken over yet")
        expect(page.locator("#spoken")).to_have_text(before)
        page.reload()
    page.get_by_role("link", name="Survey").click()
    expect(page.locator("#survey-state")).not_to_contain_text("not taken over")


def test_the_chosen_bar_stays_chosen(page: Page) -> None:
    """After a field was saved the answer is that of the same bar; nothing moves under the hand."""
    speed_page(page, "Axle cell")
    page.get_by_role("link", name="1 in aluminium").first.click()
    expect(page.locator("#spoken")).to_contain_text("1 in aluminium: 1600 rpm is above")
    type_into(page, "bars[1].speed", "600 rpm")
    expect(page.locator("#spoken")).to_contain_text("1 in aluminium: 600 rpm stays below")
    expect(page.locator(".choices [aria-current=true]")).to_contain_text("✓ Below its lowest limit")
    before = page.locator("#f-bars-1-name").bounding_box()
    type_into(page, "bars[1].size", "1 1/2 in")
    expect(page.locator("#speed-verdict")).to_have_text("✗ Does not pass")
    after = page.locator("#f-bars-1-name").bounding_box()
    assert before is not None
    assert after is not None
    assert abs(after["y"] - before["y"]) < 30
    type_into(page, "bars[1].size", "1 in")
    type_into(page, "bars[1].name", "25 mm aluminium")
    expect(page.get_by_role("heading", name="Bar 2: 25 mm aluminium")).to_be_visible()
    expect(page.locator("#spoken")).to_contain_text("25 mm aluminium: 600 rpm stays below")


def test_a_name_without_end_breaks_nothing(page: Page) -> None:
    """A bar's name of 200 characters without a blank is kept, and the page grows no wider than a phone."""
    speed_page(page, "Shell cell")
    page.set_viewport_size({"width": 390, "height": 844})
    type_into(page, "bars[0].name", "W" * 200)
    type_into(page, "supports[0].name", "M" * 200)
    expect(page.locator("#spoken")).to_contain_text("W" * 200)
    for row in page.locator("details.opened > summary").all():
        row.click()
    assert page.evaluate("document.documentElement.scrollWidth") <= 390


def test_another_window_is_told(page: Page) -> None:
    """What is typed elsewhere is said on this page too, and the way to see it leads back here."""
    speed_page(page, "Shell cell")
    other = second(page)
    type_into(other, "feed.set_force", "500 N")
    expect(page.locator("#elsewhere")).to_contain_text("Set for every bar: now “500 N”")
    page.get_by_role("link", name="Show it as it is now").click()
    expect(page.locator("#spoken")).to_contain_text("500 N is set")


def test_by_keyboard_alone(page: Page) -> None:
    """Choose the other bar, open a figure down to its inputs, jump to the form, set another speed; no pointer is used."""
    speed_page(page, "Axle cell")
    tab_to(page, "nav.choices a[href*='aluminium']")
    with page.expect_navigation():
        page.keyboard.press("Enter")
    expect(page.locator("#spoken")).to_contain_text("1 in aluminium")
    tab_to(page, ".inputs details:nth-of-type(3) summary")
    page.keyboard.press("Enter")
    held = page.get_by_role("cell", name="moving anti-vibration device")
    expect(held).to_be_visible()
    tab_to(page, "nav.choices a[href='#stop-bars']")
    page.keyboard.press("Enter")
    tab_to(page, "#f-bars-1-speed")
    type_here(page, "600 rpm")
    with page.expect_response(lambda response: response.url.endswith("/field")):
        page.keyboard.press("Tab")
    expect(page.locator("#spoken")).to_contain_text("1 in aluminium: 600 rpm stays below")
    expect(held).to_be_visible()
