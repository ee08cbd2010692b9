"""The placement: modes and states, dragging by pointer and by keyboard, figures opened, remedies tried and adopted."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from standoff.units import parse_length
from tests.browser.errands import address, answer_of, copy_of, job_of

WORDS = {"fits": "✓ Holds here", "fits-if-measured-better": "? Holds, but not surely", "does-not-fit": "✗ Does not hold here"}
FINE_STEP_MM, NOISE_MM = 25.4 / 32, 0.001


def at_placement(page: Page, title: str) -> None:
    """A copy of a demonstration, at its placement."""
    copy_of(page, title)
    page.goto(address(page, f"/jobs/{job_of(page)}/placement"))
    expect(page.locator("#slide-says")).not_to_be_empty()


def shown_standoff(page: Page) -> str:
    """The standoff the page is at, as it says it."""
    return page.locator("#slide-says").inner_text().removesuffix(" behind the adapter")


def assert_follows(page: Page, folder: Path) -> None:
    """Every slack, rounded down to the fine step, and the verdict are those of the command line at the standoff shown."""
    at = shown_standoff(page)
    answer = answer_of(page, folder, at=at)
    shown = page.locator("[data-slack]").all_inner_texts()
    assert len(shown) == len(answer["requirements"])
    for text, row in zip(shown, answer["requirements"], strict=True):
        figure, word = text.rsplit(" ", 1) if text.endswith("missing") else text.rsplit(" ", 2)[0::2]
        sign = -1.0 if word == "missing" else 1.0
        told_mm = 0.0 if figure.startswith("under") else sign * float(parse_length(figure))
        assert -NOISE_MM < row["slack_mm"] - told_mm < FINE_STEP_MM + NOISE_MM, (at, text, row)
    expect(page.locator("#verdict")).to_have_text(WORDS[answer["verdict"]])


@pytest.mark.parametrize("title", ["Axle cell", "Shell cell", "Spoke-nipple cell", "Spacer cell"])
def test_slacks_and_verdict_follow_the_keys(page: Page, paper: Path, title: str) -> None:
    """Moved by keys, everything agrees with `standoff place --at`; a fixed nose is cut anew at each place."""
    at_placement(page, title)
    slide = page.locator("#slide")
    for keys in (["ArrowRight"] * 3, ["PageUp"] * 2, ["Home"]):
        for key in keys:
            slide.press(key)
        assert_follows(page, paper)
    page.get_by_role("button", name="Back to the aim").click()
    expect(page.locator("#verdict")).not_to_contain_text("here")


def test_the_loader_is_dragged_with_the_pointer(page: Page, paper: Path) -> None:
    """Dragged away from the lathe, the standoff grows by what the hand moved, to scale; the picture is drawn anew."""
    at_placement(page, "Axle cell")
    before_mm = float(parse_length(shown_standoff(page)))
    picture = page.locator("#wide")
    loader = picture.locator(".d-layer-loader rect, .d-layer-loader path").first
    loader.scroll_into_view_if_needed()
    scale = float(page.locator("#drawings").get_attribute("data-wide-scale") or 0)
    drawn = picture.locator("svg").bounding_box()
    box = loader.bounding_box()
    assert drawn is not None
    assert box is not None
    width = float((picture.locator("svg").get_attribute("viewBox") or "").split()[2])
    px_per_mm = scale * drawn["width"] / width
    page.mouse.move(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    page.mouse.down()
    page.mouse.move(box["x"] + box["width"] / 2 - 20.0 * px_per_mm, box["y"] + box["height"] / 2, steps=6)
    page.mouse.up()
    after_mm = float(parse_length(shown_standoff(page)))
    assert abs(after_mm - before_mm - 20.0) < 2.0
    assert_follows(page, paper)
    expect(page.locator("#charts .only-wide")).to_contain_text(f"asked {shown_standoff(page)}")
    expect(picture.locator(".d-layer-loader[transform*=translate]")).to_have_count(0)


def test_mode_and_headstock_position_are_chosen(page: Page) -> None:
    """Each mode and each state is drawn by its name."""
    at_placement(page, "Axle cell")
    page.get_by_role("link", name="guide-bushing", exact=True).click()
    page.get_by_role("link", name="front limit", exact=True).click()
    expect(page.locator("#wide svg title")).to_contain_text(re.compile("guide-bushing", re.I))
    expect(page.get_by_role("link", name="front limit", exact=True)).to_have_attribute("aria-current", "true")


def test_a_figure_opens_down_to_its_inputs(page: Page) -> None:
    """A row opens to its readings with value, limits of error and source, and each leads to its field in the survey."""
    at_placement(page, "Axle cell")
    row = page.locator("#row-pusher-reach-guide-bushing")
    row.locator("summary").click()
    expect(row).to_contain_text("44 1/2 in")
    expect(row).to_contain_text("tape")
    row.get_by_role("link", name="pusher reach").click()
    expect(page.locator("#f-loader-pusher-reach-box")).to_be_in_viewport()


def test_a_remedy_is_tried_and_adopted_on_purpose(page: Page, paper: Path) -> None:
    """Trying changes nothing; adopting writes the figures into the job, and the history can take them back."""
    at_placement(page, "Spoke-nipple cell")
    expect(page.locator("#verdict")).to_contain_text("Does not fit")
    page.get_by_role("link", name="Try this").first.click()
    expect(page.get_by_text("Only tried, not adopted")).to_be_visible()
    expect(page.locator("#verdict")).to_have_text("✓ Fits")
    assert answer_of(page, paper)["verdict"] == "does-not-fit"
    page.get_by_role("button", name="Adopt it").click()
    expect(page.locator("#verdict")).to_have_text("✓ Fits")
    assert answer_of(page, paper)["verdict"] == "fits"
    page.get_by_role("link", name="History").click()
    expect(page.locator("tbody tr").first).to_contain_text("Adopted: cut the nose")
    page.locator("tbody tr").nth(1).get_by_role("button").click()
    assert answer_of(page, paper)["verdict"] == "does-not-fit"


def test_cautions_stand_beside_the_answer(page: Page) -> None:
    """The page names the standard with the gap that closes, and defers to the makers' manuals."""
    at_placement(page, "Axle cell")
    expect(page.locator(".note.caution").filter(has_text="ISO 13854").first).to_be_visible()
    expect(page.locator("footer")).to_contain_text("the makers' manuals")


def test_no_figure_of_the_sentence_is_broken(entered: Callable[..., Page]) -> None:
    """On a phone "9" never ends a line with "1/8 in" on the next: each figure of the spoken sentence lies in one box."""
    page = entered(viewport={"width": 390, "height": 844})
    copy_of(page, "Axle cell")
    page.get_by_role("link", name="Placement").click()
    figures = page.locator("#spoken .whole")
    expect(figures.first).to_be_visible()
    boxes = figures.evaluate_all("figures => figures.map(figure => figure.getClientRects().length)")
    assert len(boxes) >= 3
    assert set(boxes) == {1}
