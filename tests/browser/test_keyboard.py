"""From an empty survey to a loader that is moved and anchored, by keyboard alone."""

from __future__ import annotations

from playwright.sync_api import Page, expect

from tests.jobs_typed import PAPER, Typed

MOST_TABS = 400


def tab_to(page: Page, selector: str, *, back: bool = False) -> None:
    """Press the tabulator until the focus is on an element."""
    for _ in range(MOST_TABS):
        if page.evaluate("selector => document.activeElement.matches(selector)", selector):
            return
        page.keyboard.press("Shift+Tab" if back else "Tab")
    raise AssertionError(f"the tabulator never reached {selector}")


def choose(page: Page, value: str) -> None:
    """Choose in the list that has the focus, by its arrow keys."""
    options = page.evaluate("[...document.activeElement.options].map(option => option.value)")
    at = page.evaluate("document.activeElement.selectedIndex")
    way = options.index(value) - at
    for _ in range(abs(way)):
        page.keyboard.press("ArrowDown" if way > 0 else "ArrowUp")
    assert page.evaluate("document.activeElement.value") == value


def type_here(page: Page, text: str) -> None:
    """Type over whatever stands in the field that has the focus."""
    page.keyboard.press("Control+A")
    page.keyboard.type(text)


def test_from_survey_to_anchored_by_keyboard_alone(page: Page) -> None:
    """Begin a job, type a paper sheet, look at the placement, move the loader, align it and anchor it; no pointer is used."""
    tab_to(page, "form[action^='/jobs/new'] [name=title]")
    page.keyboard.type("Keyboard cell")
    with page.expect_navigation():
        page.keyboard.press("Enter")
    expect(page.get_by_role("heading", name="Survey", exact=True)).to_be_visible()
    for path, typed in PAPER.items():
        told = typed if isinstance(typed, Typed) else Typed(typed)
        selector = f"#f-{path.lower().replace('.', '-').replace('_', '-').replace('[', '-').replace(']', '')}"
        if not page.locator(selector).count():
            tab_to(page, f"form:has(input[value='{path.partition('[')[0]}']) button")
            with page.expect_navigation():
                page.keyboard.press("Enter")
        tab_to(page, selector)
        if page.evaluate("document.activeElement.tagName") == "SELECT":
            with page.expect_response(lambda response: response.url.endswith("/field")):
                choose(page, told.text)
        else:
            type_here(page, told.text)
            with page.expect_response(lambda response: response.url.endswith("/field")):
                page.keyboard.press("Tab")
        expect(page.locator(f"{selector}-box .saved")).to_be_visible()
        if told.way is not None:
            tab_to(page, f"{selector}-way")
            with page.expect_response(lambda response: response.url.endswith("/field")):
                choose(page, told.way)
    expect(page.locator("#survey-state")).to_contain_text("Everything needed is there")
    tab_to(page, "#survey-state a.first", back=True)
    page.keyboard.press("Enter")
    expect(page.locator("#verdict")).to_have_text("✓ Fits")
    tab_to(page, "#slide")
    page.keyboard.press("End")
    expect(page.locator("#verdict")).to_have_text("✗ Does not hold here")
    page.keyboard.press("Home")
    expect(page.locator("#verdict")).to_have_text("✗ Does not hold here")
    tab_to(page, ".steps a[href$='/move']", back=True)
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", level=1)).to_contain_text("Bring it to")
    aim = page.get_by_role("heading", level=1).inner_text().removeprefix("Bring it to ")
    for gap, phase, words in (
        ("14 in", "moving", "towards the lathe"),
        (aim, "aligned", "Leave it"),
        (aim, "anchored", "Leave it"),
    ):
        tab_to(page, "[name=gap]")
        type_here(page, gap)
        tab_to(page, "form[action*='/move/reading'] [name=phase]")
        choose(page, phase)
        page.keyboard.press("Tab")
        with page.expect_navigation():
            page.keyboard.press("Enter")
        expect(page.get_by_role("heading", level=1)).to_contain_text(words)
    tab_to(page, "#d-nose-room-guide-bushing [name=value]")
    page.keyboard.type(aim)
    page.keyboard.press("Enter")
    expect(page.locator("#d-nose-room-guide-bushing .note")).to_contain_text("✓")
    expect(page.locator("tbody tr").first).to_contain_text("after anchoring")
