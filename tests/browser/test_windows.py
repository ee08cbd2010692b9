"""Two windows on one job, a connection that goes away, and a page that closes: nothing typed is lost, and it is said."""

from __future__ import annotations

import pytest
from playwright.sync_api import APIResponse, Page, Route, expect

from tests.browser.conftest import Watch
from tests.browser.errands import copy_of, field, type_into

REACH = "loader.pusher_reach"
INPUT = "#f-loader-pusher-reach"


def second(page: Page) -> Page:
    """Another window of the same browser on the same page."""
    other = page.context.new_page()
    other.goto(page.url)
    return other


def test_two_windows_on_the_same_field_lose_nothing(page: Page) -> None:
    """The later one is shown both values and chooses; the earlier one is told; the history keeps both."""
    copy_of(page, "Axle cell")
    other = second(page)
    type_into(page, REACH, "45 in")
    type_into(other, REACH, "46 in")
    alert = field(other, REACH).get_by_role("alert")
    expect(alert).to_contain_text("There: 45 in. Here: 46 in.")
    expect(other.locator(INPUT)).to_have_value("46 in")
    alert.get_by_role("button", name="Keep “46 in”").click()
    expect(field(other, REACH).locator(".saved")).to_be_visible()
    expect(page.locator("#elsewhere")).to_contain_text("Pusher reach: now “46 in”", timeout=9000)
    expect(page.locator(INPUT)).to_have_value("45 in")
    page.get_by_role("link", name="Show it as it is now").click()
    expect(page.locator(INPUT)).to_have_value("46 in")
    page.get_by_role("link", name="History").click()
    expect(page.locator("tbody")).to_contain_text("Pusher reach: 45 in")
    expect(page.locator("tbody")).to_contain_text("Pusher reach: 46 in")


def test_the_other_value_can_be_kept(page: Page) -> None:
    """Keeping theirs writes nothing and shows it."""
    copy_of(page, "Axle cell")
    other = second(page)
    type_into(page, REACH, "45 in")
    type_into(other, REACH, "46 in")
    field(other, REACH).get_by_role("button", name="Keep “45 in”").click()
    expect(other.locator(INPUT)).to_have_value("45 in")
    expect(field(other, REACH).get_by_role("alert")).to_have_count(0)


def test_two_windows_on_two_fields_do_not_meet(page: Page) -> None:
    """Different fields typed into at once are both taken."""
    copy_of(page, "Axle cell")
    other = second(page)
    type_into(page, REACH, "45 in")
    type_into(other, "nose.overlap", "1 1/2 in")
    expect(field(other, "nose.overlap").locator(".saved")).to_be_visible()
    page.reload()
    expect(page.locator(INPUT)).to_have_value("45 in")
    expect(page.locator("#f-nose-overlap")).to_have_value("1 1/2 in")


def test_without_a_connection_it_says_so_and_sends_again(page: Page, watch: Watch) -> None:
    """The field keeps what was typed, says that it is not saved, and saves by itself when the program answers again."""
    watch.expected = ("ERR_FAILED", "htmx:")
    copy_of(page, "Axle cell")
    page.route("**/field", lambda route: route.abort())
    page.locator(INPUT).fill("45 in")
    page.locator(INPUT).blur()
    expect(field(page, REACH).locator(".said.wrong")).to_contain_text("Not saved yet")
    expect(page.locator(INPUT)).to_have_value("45 in")
    page.unroute("**/field")
    expect(field(page, REACH).locator(".saved")).to_be_visible(timeout=9000)
    page.reload()
    expect(page.locator(INPUT)).to_have_value("45 in")


def test_a_fault_of_the_server_is_told_without_its_inside(page: Page, watch: Watch) -> None:
    """A server that fails is told of in a sentence, what was typed stays, and it is sent again."""
    watch.expected = ("500", "htmx:")
    copy_of(page, "Axle cell")

    def fails(route: Route) -> None:
        headers = {"content-security-policy": "default-src 'none'"}
        route.fulfill(status=500, body="A fault of the program. Reload the page.", headers=headers)

    page.route("**/field", fails)
    page.locator(INPUT).fill("45 in")
    page.locator(INPUT).blur()
    expect(field(page, REACH).locator(".said.wrong")).to_contain_text("Not saved: A fault of the program")
    page.unroute("**/field")
    expect(field(page, REACH).locator(".saved")).to_be_visible(timeout=9000)
    watch.faults = [fault for fault in watch.faults if not fault.startswith("500 from")]


def test_what_is_typed_while_an_answer_is_under_way_stays(page: Page) -> None:
    """A slow answer to one control does not wipe out what was typed into the next; both are saved."""
    copy_of(page, "Axle cell")
    field(page, REACH).locator("summary").click()

    line = page.context.new_cdp_session(page)
    slow = {"offline": False, "latency": 500, "downloadThroughput": -1, "uploadThroughput": -1}
    line.send("Network.enable")
    line.send("Network.emulateNetworkConditions", slow)
    page.locator(INPUT).fill("45 in")
    page.locator("#f-loader-pusher-reach-off").press_sequentially("1/1", delay=20)
    expect(field(page, REACH).locator(".saved")).to_be_visible()
    with page.expect_request(lambda request: "1%2F16%20in" in (request.post_data or "")) as sent:
        page.locator("#f-loader-pusher-reach-off").press_sequentially("6 in", delay=20)
        expect(page.locator("#f-loader-pusher-reach-off")).to_be_focused()
        line.send("Network.emulateNetworkConditions", {**slow, "latency": 0})
        page.locator("#f-loader-pusher-reach-off").press("Tab")
    sent.value.response()
    page.reload()
    expect(page.locator(INPUT)).to_have_value("45 in")
    expect(page.locator("#f-loader-pusher-reach-off")).to_have_value("1/16 in")


@pytest.mark.parametrize(("typed", "said"), [("45 in", ".saved"), ("forty", ".said.wrong")])
def test_a_form_shown_anew_keeps_what_is_just_being_saved(page: Page, typed: str, said: str) -> None:
    """A renamed fitting brings the whole form anew while the next field is on its way: value and mark of that field stand."""
    copy_of(page, "Axle cell")
    held: list[tuple[Route, APIResponse]] = []

    def hold(route: Route) -> None:
        if len(held) < 2:
            held.append((route, route.fetch()))
        else:
            route.continue_()

    page.route("**/field", hold)
    for control, text in (("#f-fittings-0-name", "moving rest"), (INPUT, typed)):
        with page.expect_request("**/field"):
            page.locator(control).fill(text)
            page.locator(control).blur()
    while len(held) < 2:
        page.wait_for_timeout(20)
    for route, answer in held:
        route.fulfill(response=answer)
        expect(page.locator("#f-fittings-0-name")).to_have_value("moving rest")
    expect(field(page, REACH).locator(said)).to_be_visible()
    expect(page.locator(INPUT)).to_have_value(typed)


@pytest.mark.parametrize("by", ["finger", "key"])
def test_a_press_counts_although_what_was_typed_is_answered_meanwhile(page: Page, by: str) -> None:
    """A wrong entry is left by pressing a button below it: the reason, which moves the button, comes when the finger is off."""
    copy_of(page, "Axle cell")
    page.locator(INPUT).fill("forty")
    button = page.locator("form:has(input[name=table][value='fittings']) button").last
    button.scroll_into_view_if_needed()
    button.hover()
    with page.expect_response("**/field"):
        page.mouse.down() if by == "finger" else (button.focus(), page.keyboard.down("Space"))
    page.wait_for_timeout(300)
    expect(field(page, REACH).locator(".said.wrong")).to_have_count(0)
    with page.expect_navigation():
        page.mouse.up() if by == "finger" else page.keyboard.up("Space")
    expect(page.locator(INPUT)).to_have_value("forty")


def test_a_page_that_closes_sends_what_stands_in_its_fields(page: Page) -> None:
    """Typed and not left: closing the window still saves it."""
    copy_of(page, "Axle cell")
    address = page.url
    other = page.context.new_page()
    page.locator(INPUT).fill("45 in")
    page.close(run_before_unload=True)
    other.wait_for_timeout(600)
    other.goto(address)
    expect(other.locator(INPUT)).to_have_value("45 in")
