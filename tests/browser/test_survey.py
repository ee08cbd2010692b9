"""The survey from a paper sheet: in inches with two figures in millimetres, one missing, one wrong."""

from __future__ import annotations

from pathlib import Path

from playwright.sync_api import Page, expect

from tests.browser.errands import address, answer_of, begin, copy_of, field, fill_in, job_of, type_into
from tests.jobs_typed import PAPER


def test_a_paper_sheet_ends_in_the_right_answer(page: Page, paper: Path) -> None:
    """One figure missing is asked for by name, one wrong is questioned; mended, the answer is that of the bounds by hand."""
    begin(page, "Paper cell")
    sheet = {path: typed for path, typed in PAPER.items() if path != "loader.gripper_behind_clamp"}
    fill_in(page, {**sheet, "loader.pusher_reach": "44 ft"})
    state = page.locator("#survey-state")
    expect(state).to_contain_text("still wanted: Gripper")
    expect(field(page, "loader.pusher_reach")).to_contain_text("were inches meant instead of feet?")
    expect(state).to_contain_text("were inches meant instead of feet?")
    type_into(page, "loader.gripper_behind_clamp", PAPER["loader.gripper_behind_clamp"])
    expect(state).to_contain_text("Everything needed is there")
    type_into(page, "loader.pusher_reach", "44 in")
    expect(state).not_to_contain_text("meant instead")
    expect(field(page, "lathe.cover_to_adapter").locator("select.way")).to_have_value("1")
    window = answer_of(page, paper)["window_mm"]
    assert abs(window["least"] - 10.75 * 25.4) < 0.001
    assert abs(window["greatest"] - 12.5 * 25.4) < 0.001
    page.get_by_role("link", name="Where must it stand?").click()
    expect(page.locator("#spoken")).to_contain_text("Set the nose-clamp face")


def test_a_figure_without_its_unit_is_asked_for(page: Page) -> None:
    """A bare number stays as typed, with the reason beside it, and the sheet says which field waits."""
    begin(page, "Bare cell")
    type_into(page, "lathe.adapter_to_collet", "610")
    expect(page.locator("#f-lathe-adapter-to-collet")).to_have_value("610")
    expect(field(page, "lathe.adapter_to_collet").locator(".said.wrong")).to_contain_text("without a unit")
    expect(page.locator("#survey-state")).to_contain_text("“610” is not taken over")
    page.reload()
    expect(page.locator("#f-lathe-adapter-to-collet")).to_have_value("610")
    expect(page.locator("#f-lathe-adapter-to-collet")).to_have_attribute("aria-invalid", "true")


def test_the_rear_of_z_is_asked_for(page: Page) -> None:
    """Which way Z rises is a question without an answer given beforehand; limits against it are a contradiction at once."""
    begin(page, "Z cell")
    expect(page.locator("#f-lathe-z-forward")).to_have_value("")
    fill_in(page, {"lathe.modes[0].z_rear": "0 in", "lathe.modes[0].z_front": "-7 in", "lathe.z_forward": "positive"})
    expect(page.locator("#survey-state .note").first).to_contain_text("z_forward")
    type_into(page, "lathe.z_forward", "negative")
    expect(page.locator("#survey-state .note")).to_have_count(0)


def test_a_reading_with_the_headstock_forward_is_turned(page: Page) -> None:
    """Read fully forward, the cover's distance is turned by the travel of 7 1/2 in, and the page says how."""
    copy_of(page, "Axle cell")
    box = field(page, "lathe.cover_to_adapter")
    box.locator("summary").click()
    box.get_by_label("Cover to adapter: direction").select_option("0")
    expect(box.locator(".saved")).to_be_visible()
    box.get_by_label("Cover to adapter", exact=True).fill("5 7/8 in")
    box.locator("summary").click()
    expect(box.locator(".saved")).to_be_visible()
    box.locator("summary").click()
    with page.expect_response(lambda response: response.url.endswith("/field")):
        page.locator("#f-lathe-cover-to-adapter-stood").select_option("front")
    # Travel -0.2 to 7.3 in: 7 1/2 in; 5 7/8 - 7 1/2 = -1 5/8 in, told as sticking out.
    expect(page.locator("#f-lathe-cover-to-adapter")).to_have_value("1 5/8 in")
    expect(page.locator("#f-lathe-cover-to-adapter-way")).to_have_value("1")
    expect(box.locator(".said")).to_contain_text("5 7/8 in with headstock fully forward")


def test_a_reading_without_power_is_turned_by_the_cover(page: Page) -> None:
    """Collet to cut-off read with the adapter 1 in inside the cover: the headstock stood 2 5/8 in ahead of its rear limit."""
    copy_of(page, "Axle cell")
    box = field(page, "lathe.collet_to_cutoff")
    box.locator("summary").click()
    type_into(page, "lathe.collet_to_cutoff", "17 3/8 in")
    stood = page.locator("#f-lathe-collet-to-cutoff-stood")
    if not stood.is_visible():
        field(page, "lathe.collet_to_cutoff").locator("summary").click()
    stood.select_option("in")
    at = page.locator("#f-lathe-collet-to-cutoff-at")
    expect(at).to_be_focused()
    at.fill("1 in")
    with page.expect_response(lambda response: response.url.endswith("/field")):
        at.press("Tab")
    # 7 1/2 - 2 5/8 = 4 7/8 in behind the front limit; 17 3/8 - 4 7/8 = 12 1/2 in.
    expect(page.locator("#f-lathe-collet-to-cutoff")).to_have_value("12 1/2 in")


def test_the_dimension_in_hand_is_marked(page: Page) -> None:
    """The field in hand and its dimension in the drawing are marked, and the mark is in view."""
    copy_of(page, "Axle cell")
    page.locator("#f-loader-pusher-reach").focus()
    expect(field(page, "loader.pusher_reach")).to_have_class("field now")
    expect(page.locator(".d-layer-f-loader-pusher-reach.now-read").first).to_be_in_viewport()


def test_a_second_reading_that_contradicts_accuses(page: Page) -> None:
    """Read again far off, the quantity is accused at once; taken away, the accusation goes."""
    copy_of(page, "Axle cell")
    field(page, "loader.pusher_reach").locator("summary").click()
    again = page.locator("#f-loader-pusher-reach-1")
    again.fill("46 1/2 in")
    again.press("Tab")
    expect(page.locator("#survey-state")).to_contain_text("The readings contradict one another")
    again.fill("")
    again.press("Tab")
    expect(page.locator("#survey-state")).not_to_contain_text("contradict")


def test_the_zero_of_z_in_the_second_mode_is_asked_about(page: Page) -> None:
    """With two modes one overall reading is offered that shows whether Z kept its zero; a shifted zero is accused."""
    copy_of(page, "Axle cell")
    page.get_by_role("button", name="Add this reading").click()
    expect(page.locator("#f-check-0-from")).to_have_value("cover")
    expect(page.locator("#f-check-0-mode")).to_have_value("chucker")
    # Travel to the chucker's front limit 14.4 in, less the 1 5/8 in it sticks out: 12.775 in; read 2 in more.
    type_into(page, "check[0].value", "14 3/4 in")
    expect(page.locator("#survey-state")).to_contain_text("contradict")
    type_into(page, "check[0].value", "12 25/32 in")
    expect(page.locator("#survey-state")).not_to_contain_text("contradict")


def test_undo_goes_back_to_any_revision(page: Page) -> None:
    """The history tells what was typed in the survey's words; going back restores the value and loses nothing."""
    copy_of(page, "Axle cell")
    type_into(page, "loader.pusher_reach", "45 in")
    type_into(page, "loader.pusher_reach", "46 in")
    page.get_by_role("link", name="History").click()
    expect(page.locator("tbody tr").first).to_contain_text("Pusher reach: 46 in")
    page.locator("tbody tr").nth(1).get_by_role("button").click()
    expect(page.locator("tbody tr").first).to_contain_text("Back to revision 2")
    page.goto(address(page, f"/jobs/{job_of(page)}/survey"))
    expect(page.locator("#f-loader-pusher-reach")).to_have_value("45 in")
