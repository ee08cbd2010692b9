"""The bar cycle in a browser: play, scrub, step, the keyboard, less motion, what fails, parts from nothing, what is printed."""

from __future__ import annotations

import re
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from tests.browser.errands import address, copy_of, field, fill_in, follow, job_of, slug, type_into
from tests.browser.test_keyboard import tab_to, type_here

PLACES = """() => [...document.querySelectorAll("#player .motion > div")].filter(one => one.checkVisibility()).map(one =>
  Object.fromEntries(["headstock", "nose", "pusher", "bar"].map(name => {
    const layer = one.querySelector(".d-layer-s1-" + name), box = layer.querySelector("rect").getBoundingClientRect();
    return [name, Math.round(box.left * 10) / 10];
  })))[0]"""
"""Where the carriers are on the screen."""


def cycle_page(page: Page, title: str, *, part: str = "") -> None:
    """The bar cycle page of a new job made from a demonstration, its moments loaded."""
    copy_of(page, title)
    page.goto(address(page, f"/jobs/{job_of(page)}/cycle?part={part}"))
    expect(page.locator("#player .controls")).to_be_visible()


def moment(page: Page) -> int:
    """The moment shown, as it is told."""
    found = re.search(r"moment (\d+) of", page.locator("#part-says").inner_text())
    assert found is not None
    return int(found[1]) - 1


def told_by_the_command(page: Page, folder: Path) -> str:
    """What `standoff cycle` says of the job a page shows."""
    file = folder / "job.toml"
    file.write_bytes(page.request.get(address(page, f"/jobs/{job_of(page)}/export")).body())
    command = [sys.executable, "-m", "standoff", "cycle", str(file)]
    done = subprocess.run(command, capture_output=True, text=True, check=False, encoding="utf-8")
    assert done.returncode in (0, 1), done.stderr
    return done.stdout


def test_nothing_moves_before_it_is_asked_to(page: Page) -> None:
    """The page shows the tightest moment and rests there."""
    cycle_page(page, "Axle cell")
    expect(page.locator("#step-says")).to_have_text("Headstock to its rear limit")
    expect(page.locator("#slack-says")).to_have_text("Room for the nose: 11/16 in to spare")
    first = page.evaluate(PLACES)
    page.wait_for_timeout(700)
    assert page.evaluate(PLACES) == first
    assert moment(page) == 1


def test_play_and_pause(page: Page) -> None:
    """Play moves headstock, nose and pusher through the steps; paused it rests; at the end it begins anew."""
    cycle_page(page, "Axle cell")
    page.locator("#scrub").fill("0")
    page.locator("#pace").select_option("4")
    first = page.evaluate(PLACES)
    page.get_by_role("button", name="Play").click()
    expect(page.locator("#step-says")).to_have_text("Machining", timeout=15_000)
    pause = page.get_by_role("button", name="Pause")
    pause.click()
    then = page.evaluate(PLACES)
    assert then["pusher"] > first["pusher"] + 100
    assert then["bar"] > first["bar"] + 100
    page.wait_for_timeout(400)
    assert page.evaluate(PLACES) == then
    page.get_by_role("button", name="Play").click()
    expect(page.locator("#part-says")).to_contain_text("part 24 of 24 · moment 135 of 135", timeout=20_000)
    expect(page.get_by_role("button", name="Play")).to_be_visible()
    page.get_by_role("button", name="Play").click()
    expect(page.locator("#part-says")).to_contain_text("no part yet")


def test_scrub_and_step_show_every_moment(page: Page) -> None:
    """The bar below the picture and the two buttons go from moment to moment; collet and tool change their shape."""
    cycle_page(page, "Axle cell")
    scrub, wide = page.locator("#scrub"), page.locator("#player .only-wide")
    scrub.fill("10")
    expect(page.locator("#step-says")).to_have_text("Facing cut")
    expect(wide.locator(".d-layer-s1-collet-closed")).to_be_visible()
    expect(wide.locator(".d-layer-s1-collet-open")).to_be_hidden()
    expect(wide.locator(".d-layer-s1-tool-closed")).to_be_visible()
    page.get_by_role("button", name="Step on").click()
    expect(page.locator("#step-says")).to_have_text("Re-grip")
    expect(page.locator("#part-says")).to_contain_text("part 1 of 24 · moment 12 of 135")
    expect(wide.locator(".d-layer-s1-collet-open")).to_be_visible()
    page.get_by_role("button", name="Step back").click()
    assert moment(page) == 10
    scrub.fill("5")
    expect(page.locator("#step-says")).to_have_text("Gripper closes")
    expect(wide.locator(".d-layer-s0-gripper-closed")).to_be_visible()
    page.get_by_role("button", name="To the tightest").click()
    assert moment(page) == 1
    assert scrub.input_value() == "1"
    page.get_by_role("button", name="Step back").click(click_count=3)
    assert moment(page) == 0


def test_the_nose_grows_with_the_headstock(page: Page) -> None:
    """From the rear limit to the front one adapter and inner tube go the same way; the bar's front stays at the stop."""
    cycle_page(page, "Axle cell")
    scrub = page.locator("#scrub")
    scrub.fill("13")
    back = page.evaluate(PLACES)
    scrub.fill("15")
    ahead = page.evaluate(PLACES)
    assert ahead["headstock"] - back["headstock"] > 60
    assert ahead["nose"] - back["nose"] == pytest.approx(ahead["headstock"] - back["headstock"], abs=0.3)
    expect(page.locator("#traces .only-wide .d-layer-cursor")).to_have_attribute("transform", re.compile("translate"))


def test_by_keyboard_alone(page: Page) -> None:
    """Tab to the picture: arrows step, the space bar plays and pauses; tab on to the other part; no pointer is used."""
    cycle_page(page, "Axle cell")
    tab_to(page, "#player .motion")
    page.keyboard.press("ArrowRight")
    page.keyboard.press("ArrowRight")
    assert moment(page) == 3
    page.keyboard.press("ArrowLeft")
    assert moment(page) == 2
    page.keyboard.press("Space")
    expect(page.get_by_role("button", name="Pause")).to_be_visible()
    page.keyboard.press("Space")
    expect(page.get_by_role("button", name="Play")).to_be_visible()
    tab_to(page, "#scrub")
    page.keyboard.press("End")
    assert moment(page) == 134
    page.keyboard.press("ArrowLeft")
    assert moment(page) == 133
    tab_to(page, "[data-do=tightest]")
    page.keyboard.press("Enter")
    assert moment(page) == 1
    tab_to(page, "nav.choices a[href*='brake']")
    with page.expect_navigation():
        page.keyboard.press("Enter")
    expect(page.locator("#spoken")).to_contain_text("92 parts")


def test_less_motion_is_respected(entered: Callable[..., Page]) -> None:
    """Where the device asks for less motion, play shows moment after moment: nothing is ever on its way between two."""
    page = entered(reduced_motion="reduce")
    cycle_page(page, "Axle cell")
    expect(page.locator("#still-says")).to_be_visible()
    scrub = page.locator("#scrub")
    known = []
    for number in range(9):
        scrub.fill(str(number))
        known.append(page.evaluate(PLACES))
    scrub.fill("0")
    page.locator("#pace").select_option("2")
    page.get_by_role("button", name="Play").click()
    seen = []
    for _ in range(25):
        seen.append(page.evaluate(PLACES))
        page.wait_for_timeout(60)
    page.get_by_role("button", name="Pause").click()
    assert all(places in known for places in seen)
    assert moment(page) >= 2


def test_a_screen_reader_is_told_and_left_in_peace(page: Page) -> None:
    """A step is told politely after a moment's rest; while it plays nothing is said; the bar below has its value in words."""
    cycle_page(page, "Shell cell")
    live = page.locator("#live")
    expect(live).to_have_attribute("role", "status")
    page.get_by_role("button", name="Step on").click()
    page.get_by_role("button", name="Step on").click()
    expect(live).to_have_text("Pre-feed, no part yet, 47 to come. Hold on the nose: 2.7 mm to spare.")
    expect(page.locator("#scrub")).to_have_attribute("aria-valuetext", "Pre-feed, no part yet, 47 to come")
    page.get_by_role("button", name="Play").click()
    page.wait_for_timeout(1500)
    expect(live).to_contain_text("Pre-feed")


def test_what_fails_is_shown_at_its_moment(page: Page) -> None:
    """The spoke-nipple cell: each failure leads to its moment, where its mark stands in the picture and nowhere else."""
    cycle_page(page, "Spoke-nipple cell")
    expect(page.locator("#cycle-verdict")).to_contain_text("✗")
    wide = page.locator("#player .only-wide")
    expect(wide.get_by_text("✗ room for the nose")).to_be_visible()
    page.get_by_role("button", name="Show it").nth(1).click()
    expect(page.locator("#slack-says")).to_have_text("✗ Pusher reach: 3/16 in missing")
    expect(wide.get_by_text("✗ pusher reach")).to_be_visible()
    expect(wide.get_by_text("✗ room for the nose")).to_be_hidden()
    page.locator("#scrub").fill("30")
    expect(wide.get_by_text("✗ pusher reach")).to_be_hidden()


def test_a_blank_part_is_entered_until_a_bar_runs(page: Page, paper: Path) -> None:
    """From no part at all to a verdict, which is that of the command line, and follows what is typed; the player begins anew."""
    copy_of(page, "Spacer cell")
    page.goto(address(page, f"/jobs/{job_of(page)}/cycle"))
    follow(page.locator("#cycle-answer .wanted").get_by_role("link", name="At least one part"))
    expect(page).to_have_url(f"{address(page, '')}/jobs/{job_of(page)}/cycle#stop-parts")
    fill_in(page, {"parts[0].name": "spacer", "parts[0].length": "60 mm"})
    expect(page.locator("#player .controls")).to_be_visible()
    expect(page.locator("#cycle-news")).to_contain_text("up to date")
    first = page.locator("#spoken").inner_text()
    assert first in told_by_the_command(page, paper)
    type_into(page, "parts[0].length", "30 mm")
    expect(page.locator("#spoken")).not_to_have_text(first)
    expect(page.locator("#player .controls")).to_be_visible()
    page.get_by_role("button", name="Step on").click()
    assert page.locator("#spoken").inner_text() in told_by_the_command(page, paper)


def test_a_part_that_does_not_fit_is_said_and_kept(page: Page) -> None:
    """Its bar does not hold it once: the entry waits beside its reason, also after a reload; the last right value is shown."""
    cycle_page(page, "Axle cell")
    type_into(page, "parts[0].length", "13 ft")
    for _ in range(2):
        expect(page.locator("#cycle-answer")).to_contain_text("not taken over yet")
        expect(page.locator(f"#f-{slug('parts[0].length')}")).to_have_value("13 ft")
        expect(page.locator(f"#f-{slug('parts[0].length')}-said")).to_contain_text("bar")
        expect(page.locator("#player .controls")).to_be_visible()
        page.reload()
    page.get_by_role("link", name="brake pivot").first.click()
    expect(page.locator("#cycle-verdict")).to_have_text("✓ Runs through")


def test_a_wrong_entry_stays_with_its_reason(page: Page) -> None:
    """A cut-off tool wider than the part: typed text and reason stay, the answer says what it uses."""
    cycle_page(page, "Axle cell")
    before = page.locator("#spoken").inner_text()
    type_into(page, "parts[0].cut_off_width", "9 in")
    expect(field(page, "parts[0].cut_off_width").locator(".said.wrong")).to_contain_text("exchanged")
    expect(page.locator("#cycle-state")).to_contain_text("“9 in” is not taken over")
    expect(page.locator("#cycle-answer")).to_contain_text("1 entry is not taken over yet")
    expect(page.locator("#spoken")).to_have_text(before)


def test_an_incomplete_part_does_not_take_the_placement_away(page: Page) -> None:
    """While a new part is being entered the placement stands; the step says how much is to go."""
    cycle_page(page, "Axle cell")
    page.get_by_role("button", name="Add a part").click()
    expect(page.locator("#cycle-answer .wanted li")).to_have_count(2)
    expect(page.get_by_role("link", name="Bar cycle")).to_contain_text("2 to go")
    page.get_by_role("link", name="Placement").click()
    expect(page.locator("#verdict")).to_have_text("✓ Fits")


def test_a_name_without_end_breaks_nothing(page: Page) -> None:
    """A part's name of 200 characters without a blank is kept, and the page grows no wider than a phone."""
    cycle_page(page, "Shell cell")
    page.set_viewport_size({"width": 390, "height": 844})
    type_into(page, "parts[0].name", "W" * 200)
    expect(page.locator(".answer")).to_contain_text("W" * 200)
    expect(page.locator("#player .only-narrow svg")).to_be_visible()
    assert page.evaluate("document.documentElement.scrollWidth") <= 390


def test_a_failed_loading_is_said(page: Page) -> None:
    """Without its moments the player says so and shows no button without effect."""
    page.route(
        "**/cycle/moments*",
        lambda route: route.fulfill(status=200, body="no such thing", headers={"content-security-policy": "default-src 'none'"}),
    )
    copy_of(page, "Shell cell")
    page.goto(address(page, f"/jobs/{job_of(page)}/cycle"))
    expect(page.locator("#player-fault")).to_be_visible()
    expect(page.locator("#player .controls")).to_be_hidden()


def test_three_moments_are_printed(page: Page) -> None:
    """On paper: three stills instead of the player, settings, program, and a box for every result."""
    cycle_page(page, "Axle cell")
    page.set_viewport_size({"width": 794, "height": 1123})
    page.emulate_media(media="print")
    expect(page.locator("#player")).to_be_hidden()
    stills = page.locator(".stills svg.drawing")
    expect(stills).to_have_count(3)
    for still, words in zip(stills.all(), ("Where it is tightest", "The faced bar", "The end of the bar"), strict=True):
        expect(still).to_be_visible()
        expect(still).to_contain_text(words)
    assert sum(box.is_visible() for box in page.locator("#signals .box-to-write").all()) > 20
    expect(page.get_by_text("(must be impossible)").first).to_be_visible()


def test_the_keyboard_types_a_part(page: Page) -> None:
    """A length typed by keys alone, saved by leaving it: the answer follows."""
    cycle_page(page, "Shell cell")
    tab_to(page, "#f-parts-0-length")
    type_here(page, "100 mm")
    with page.expect_response(lambda response: response.url.endswith("/field")):
        page.keyboard.press("Tab")
    expect(page.locator("#spoken")).to_contain_text("32 parts")
