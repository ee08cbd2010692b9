"""Run-off in a browser: by touch and by keyboard, without connection, with the server killed, in two windows, without script."""

from __future__ import annotations

import signal
import socket
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from uuid import NAMESPACE_URL, uuid5

import pytest
from playwright.sync_api import Browser, Page, Route, expect

from tests.browser.conftest import Watch
from tests.browser.errands import address, begin, copy_of, field, follow, job_of, type_into
from tests.browser.looks import Scheme, misfits, put_on_paper, violations
from tests.browser.served import serving
from tests.browser.test_keyboard import tab_to, type_here
from tests.browser.test_windows import second

SLOW_MS = 30_000
"""So long the answer may take on a machine that is busy with other tests."""
TWICE_MS = 700
"""Taps closer together than this count once."""
OFFLINE = ("ERR_INTERNET_DISCONNECTED", "ERR_CONNECTION_REFUSED", "ERR_NETWORK_CHANGED")


@pytest.fixture(autouse=True)
def patience() -> Iterator[None]:
    """Expectations wait for an answer that is being worked out."""
    expect.set_options(timeout=SLOW_MS)
    yield
    expect.set_options(timeout=5_000)


def runoff_page(page: Page, title: str = "Axle cell", query: str = "") -> str:
    """The run-off page of a new job made from a demonstration, with an empty tally; the job's id."""
    job = copy_of(page, title)
    page.goto(address(page, f"/jobs/{job}/runoff{query}"))
    return job


def tap(page: Page, *names: str) -> None:
    """Tap buttons one after another, as slowly as bars end."""
    for name in names:
        page.locator(f"#tap-{name}").click()
        page.wait_for_timeout(TWICE_MS)


def bars(page: Page) -> list[str]:
    """How each bar ran, the newest first, as listed."""
    return [row.inner_text().strip() for row in page.locator("#runoff-bars tbody tr td[data-label=ran]").all()]


def expect_bars(page: Page, count: int) -> None:
    """So many bars are listed."""
    expect(page.locator("#runoff-bars tbody tr")).to_have_count(count)


def told_by_the_command(page: Page, folder: Path) -> tuple[int, str]:
    """What `standoff runoff` says of the job file with the tally of a page, and its exit status."""
    file = folder / "job.toml"
    file.write_bytes(page.request.get(address(page, f"/jobs/{job_of(page)}/runoff/export")).body())
    command = [sys.executable, "-m", "standoff", "runoff", str(file)]
    done = subprocess.run(command, capture_output=True, text=True, check=False, encoding="utf-8")
    return done.returncode, done.stdout


def test_by_touch_one_tap_a_bar(entered: Callable[..., Page], paper: Path) -> None:
    """On a tablet: five clean bars pass the run; the sentence is the command's; what passing shows stands beside it."""
    page = entered(viewport={"width": 820, "height": 1180}, has_touch=True)
    runoff_page(page)
    expect(page.locator("#runoff-verdict")).to_have_text("… Not decided yet")
    for number in range(1, 6):
        page.locator("#tap-clean").tap()
        expect_bars(page, number)
        page.wait_for_timeout(TWICE_MS)
    expect(page.locator(".run").first.locator(".verdict")).to_have_text("✓ Passed")
    expect(page.locator("#shows")).to_contain_text("at least 47.9 of 100 bars run clean (95 % confidence)")
    status, told = told_by_the_command(page, paper)
    assert status == 3
    assert f"{page.locator('#spoken').inner_text()} {page.locator('#shows').inner_text()}" in told
    page.locator("#run-2").tap()
    page.locator("#tap-lathe").tap()
    expect_bars(page, 6)
    expect(page.locator("#runoff-stops tbody tr")).to_have_count(1)
    assert bars(page)[0] == "✗ stopped by the lathe"
    page.reload()
    expect_bars(page, 6)
    expect(page.locator("#run-2")).to_be_checked()


def test_by_keyboard_alone(page: Page) -> None:
    """Choose the other run, tap, measure, take the bar back and bring it back; the focus stays where it was."""
    runoff_page(page)
    tab_to(page, "input[name=run]")
    page.keyboard.press("ArrowDown")
    expect(page.locator("#run-2")).to_be_checked()
    tab_to(page, "#tap-clean")
    page.keyboard.press("Enter")
    expect_bars(page, 1)
    assert page.evaluate("document.activeElement.id") == "tap-clean"
    tab_to(page, "#m-remnant")
    type_here(page, "8 1/4 in")
    page.keyboard.press("Tab")
    expect(page.locator("#runoff-bars")).to_contain_text("remnant 8 1/4 in")
    assert page.evaluate("document.activeElement.id") == "m-bar_length"
    expect(page.locator(".run").nth(1)).to_contain_text("predicted")
    tab_to(page, "#runoff-bars button")
    page.keyboard.press("Enter")
    expect(page.locator("#runoff-bars")).to_contain_text("taken back (clean)")
    assert page.evaluate("document.activeElement.textContent").startswith("Bring back")
    page.keyboard.press("Enter")
    expect(page.locator("#runoff-bars")).not_to_contain_text("taken back")
    assert bars(page) == ["✓ clean"]


def test_tapped_twice_within_a_moment_counts_once(page: Page) -> None:
    """A thumb in a glove that trembles, or a key held down, makes one bar."""
    runoff_page(page)
    # In one go, since on a busy machine three clicks from outside may lie further apart.
    page.evaluate("for (let i = 0; i < 3; i += 1) document.getElementById('tap-clean').click()")
    expect(page.locator("#live")).to_contain_text("Count")
    page.wait_for_timeout(TWICE_MS)
    tap(page, "loader")
    expect_bars(page, 2)
    assert bars(page) == ["✗ stopped by the loader", "✓ clean"]


def test_taps_wait_for_the_connection(page: Page, watch: Watch) -> None:
    """Tapped while the connection is away: said, kept, and counted in their order later, even with the page closed between."""
    watch.expected = OFFLINE
    runoff_page(page)
    here = page.url
    tap(page, "clean")
    expect_bars(page, 1)
    page.context.set_offline(True)
    tap(page, "clean", "bar", "clean")
    page.locator("#m-remnant").fill("14 7/8 in")
    page.locator("#m-remnant").blur()
    expect(page.locator("#waiting")).to_contain_text("4 taps wait for the connection. They are kept in this browser")
    expect(page.locator("#waiting li")).to_have_count(4)
    expect(page.locator("#waiting")).to_contain_text("Remnant “14 7/8 in”")
    expect_bars(page, 1)
    other = page.context.new_page()
    page.close()
    page = other
    page.context.set_offline(False)
    page.goto(here)
    expect_bars(page, 4)
    assert bars(page) == ["✓ clean", "✗ stopped by the bar", "✓ clean", "✓ clean"]
    expect(page.locator("#runoff-bars tbody tr").first).to_contain_text("remnant 14 7/8 in")
    expect(page.locator("#waiting")).to_be_hidden()
    assert page.evaluate("Object.keys(localStorage).filter(name => name.startsWith('standoff-tap/'))") == []


def test_a_page_that_stays_open_sends_by_itself(page: Page, watch: Watch) -> None:
    """The connection comes back: nobody has to do anything, and no tap counts twice although two windows know of it."""
    watch.expected = OFFLINE
    runoff_page(page)
    other = second(page)
    page.context.set_offline(True)
    tap(page, "clean", "clean")
    expect(other.locator("#waiting")).to_contain_text("2 taps wait")
    page.context.set_offline(False)
    for window in (page, other):
        expect_bars(window, 2)
        expect(window.locator("#waiting")).to_be_hidden()
    tap(other, "tool")
    for window in (page, other):
        expect_bars(window, 3)


def test_taps_that_wait_are_told_on_other_pages(page: Page, watch: Watch) -> None:
    """Whoever goes on without opening the run-off again is told, and led back to where the taps are sent."""
    watch.expected = OFFLINE
    runoff_page(page)
    page.context.set_offline(True)
    tap(page, "clean", "bar")
    expect(page.locator("#waiting")).to_contain_text("2 taps wait")
    here = page.url
    other = page.context.new_page()
    page.close()  # a page that is only left may still hear that the connection is back, and send a tap before it is gone
    page = other
    page.context.set_offline(False)
    page.goto(here.replace("/runoff", "/history"))
    page.get_by_role("link", name="Open the run-off to send them").click()
    expect_bars(page, 2)
    page.get_by_role("link", name="History", exact=True).click()
    expect(page.get_by_role("heading", name="History")).to_be_visible()
    expect(page.get_by_text("may still wait")).to_have_count(0)


def free_port() -> int:
    """A port that nobody listens on."""
    with socket.socket() as found:
        found.bind(("127.0.0.1", 0))
        return int(found.getsockname()[1])


def test_killed_in_the_middle_and_opened_again(browser: Browser, tmp_path: Path) -> None:
    """The server is killed between two taps and started anew: what was counted is there, what was tapped meanwhile follows."""
    port, data = free_port(), tmp_path / "data"
    context = browser.new_context(viewport={"width": 820, "height": 1180}, has_touch=True)
    context.set_default_timeout(SLOW_MS)
    page = context.new_page()
    with serving(data, port=port) as server:
        page.goto(server.entrance)
        runoff_page(page)
        here = page.url
        tap(page, "clean", "loader")
        expect_bars(page, 2)
        server.process.send_signal(signal.SIGKILL)
        server.process.wait()
    tap(page, "clean", "clean")
    page.locator("#m-change").fill("41 s")
    page.locator("#m-change").blur()
    expect(page.locator("#waiting")).to_contain_text("3 taps wait")
    with serving(data, port=port) as server:
        expect(page.locator("#waiting")).to_contain_text("open the address that it printed")
        expect(page.locator("#waiting li")).to_have_count(3)
        other = context.new_page()
        other.goto(server.entrance)
        expect_bars(page, 4)
        expect(page.locator("#waiting")).to_be_hidden()
        tap(page, "clean")
        expect_bars(page, 5)
        other.goto(here)
        assert bars(other) == ["✓ clean", "✓ clean", "✓ clean", "✗ stopped by the loader", "✓ clean"]
        expect(other.locator("#runoff-bars tbody tr").nth(1)).to_contain_text("bar change 41 s")
        server.process.send_signal(signal.SIGKILL)
        server.process.wait()
    tap(page, "bar")
    page.close()
    with serving(data, port=port) as server:
        other.goto(server.entrance)
        other.goto(here)
        expect_bars(other, 6)
        assert bars(other)[0] == "✗ stopped by the bar"
    context.close()


def test_where_the_browser_keeps_nothing_it_says_so(entered: Callable[..., Page], watch: Watch) -> None:
    """Storage full or denied: taps wait in the page, the page says to stay open, and they are counted all the same."""
    watch.expected = OFFLINE
    page = entered()
    page.add_init_script("Storage.prototype.setItem = () => { throw new DOMException('full', 'QuotaExceededError'); };")
    runoff_page(page)
    tap(page, "clean")
    expect_bars(page, 1)
    page.context.set_offline(True)
    tap(page, "clean", "operator")
    expect(page.locator("#waiting")).to_contain_text("This browser cannot keep them")
    expect(page.locator("#waiting li")).to_have_count(2)
    page.context.set_offline(False)
    expect_bars(page, 3)
    assert bars(page)[0] == "– stopped by the operator, does not count"


def test_a_refused_tap_stays_with_its_reason(page: Page, watch: Watch) -> None:
    """The run was renamed elsewhere: shown with the reason, sent again or let go, and others are counted meanwhile."""
    watch.expected = ("422",)
    runoff_page(page)
    other = second(page)
    type_into(other, "runoff_runs[0].name", "axle of old")
    tap(page, "clean", "loader")
    waiting = page.locator("#waiting")
    expect(waiting).to_contain_text("Not counted: bar ran clean (hub axle)")
    expect(waiting).to_contain_text("expected a run that was agreed")
    expect(waiting.get_by_role("button", name="Send it again")).to_have_count(2)
    page.locator("#run-2").check()
    tap(page, "clean")
    expect_bars(page, 1)
    page.reload()
    expect(waiting).to_contain_text("Not counted: bar ran clean (hub axle)")
    type_into(other, "runoff_runs[0].name", "hub axle")
    waiting.get_by_role("button", name="Let it go").last.click()
    waiting.get_by_role("button", name="Send it again").click()
    expect_bars(page, 2)
    expect(waiting).to_be_hidden()


def test_while_the_plan_is_changed_taps_wait(page: Page, watch: Watch) -> None:
    """A run without a name is added at the desk: what is tapped at the machine waits and counts as soon as the plan is whole."""
    watch.expected = ("409",)
    runoff_page(page)
    other = second(page)
    follow(other.get_by_role("button", name="Add a run"))
    expect(other.locator("#runoff-said")).to_contain_text("What is agreed is not complete.")
    tap(page, "clean")
    expect(page.locator("#waiting")).to_contain_text("is being changed and is not complete")
    type_into(other, "runoff_runs[2].name", "thickest bar")
    expect_bars(page, 1)
    expect(page.locator("#waiting")).to_be_hidden()
    expect(page.locator("#runoff-runs")).to_contain_text("thickest bar")


def test_without_a_script_the_buttons_still_work(entered: Callable[..., Page], watch: Watch) -> None:
    """Plain forms: a bar, a measurement, a bar taken back, a signal; what is refused is said."""
    watch.expected = ("422",)
    page = entered(java_script_enabled=False)
    runoff_page(page)
    page.locator("#tap-clean").click()
    # Without a script the server's clock dates a bar, to the second: the two must not fall into one.
    page.wait_for_timeout(1_100)
    page.locator("#tap-tool").click()
    expect_bars(page, 2)
    page.locator("#m-remnant").fill("14 7/8 in")
    page.get_by_role("button", name="Keep these").click()
    expect(page.locator("#runoff-bars tbody tr").first).to_contain_text("remnant 14 7/8 in")
    page.locator("#m-change").fill("40")
    page.get_by_role("button", name="Keep these").click()
    expect(page.locator("#refused")).to_contain_text("Time of the bar change")
    page.locator("#take-back").click()
    expect(page.locator("#runoff-bars")).to_contain_text("taken back (stopped by the tool)")
    page.locator("#sig-1 button[value=ok]").click()
    expect(page.locator("#row-1 td.result")).to_contain_text("✓ ok")


def test_measurements_are_kept_as_their_fields_are_left(page: Page, watch: Watch) -> None:
    """Each by itself; one that cannot be is refused with its reason and stays in its field; another bar can be measured too."""
    watch.expected = ("422",)
    runoff_page(page)
    tap(page, "clean", "clean")
    for name, text in (("remnant", "14 7/8 in"), ("bar_length", "12 ft"), ("first_part", "5.2511 in"), ("change", "40 s")):
        page.locator(f"#m-{name}").fill(text)
        page.locator(f"#m-{name}").blur()
    row = page.locator("#runoff-bars tbody tr").first
    expect(row).to_contain_text("remnant 14 7/8 in; bar before loading 12 ft; first part 5.2511 in; bar change 40 s")
    expect(page.locator(".run .chart svg").first).to_be_visible()
    page.locator("#m-remnant").fill("14,875 in")
    page.locator("#m-remnant").blur()
    expect(page.locator("#waiting")).to_contain_text("Not counted: Remnant “14,875 in”")
    page.locator("#waiting").get_by_role("button", name="Let it go").click()
    page.locator("#runoff-bars tbody tr").nth(1).get_by_role("link", name="Measure").click()
    expect(page.locator("#measured h2")).to_have_text("Bar 1 of hub axle, clean")
    page.locator("#m-remnant").fill("15 in")
    page.locator("#m-remnant").blur()
    expect(page.locator("#runoff-bars tbody tr").nth(1)).to_contain_text("remnant 15 in")
    expect(page.locator("#measured h2")).to_have_text("Bar 1 of hub axle, clean")
    tap(page, "clean")
    expect(page.locator("#measured h2")).to_have_text("Bar 3 of hub axle, clean")
    expect(page.locator("#m-remnant")).to_have_value("")


def test_what_is_being_typed_is_left_alone(page: Page) -> None:
    """Another device taps while a measurement and a note are half typed: both stay, with the focus, and the tally follows."""
    runoff_page(page)
    tap(page, "clean")
    other = second(page)
    page.locator("#m-remnant").press_sequentially("14 7/")
    tap(other, "clean")
    expect_bars(page, 2)
    page.keyboard.type("8 in")
    expect(page.locator("#m-remnant")).to_have_value("14 7/8 in")
    page.keyboard.press("Tab")
    expect(page.locator("#runoff-bars tbody tr").nth(1)).to_contain_text("remnant 14 7/8 in")


def test_the_signal_test_sheet_is_completed_here(page: Page) -> None:
    """Ok, not ok with a note, by whom; kept over a reload; every row ok leaves nothing of it open."""
    runoff_page(page)
    page.locator("#tested-by").fill("installer")
    page.locator("#sig-1 button[value=ok]").click()
    expect(page.locator("#row-1 td.result")).to_contain_text("✓ ok (installer)")
    page.locator("#sig-2 button[value='not ok']").click()
    expect(page.locator("#row-2 td.result")).to_contain_text("✗ not ok")
    expect(page.locator("#runoff-verdict")).to_have_text("✗ Not passed")
    page.locator("#sig-2 summary").click()
    page.locator("#sig-2 [name=note]").fill("feeds all the same")
    page.locator("#sig-2 [name=note]").blur()
    expect(page.locator("#row-2 td.result")).to_contain_text("✗ not ok: feeds all the same")
    page.reload()
    expect(page.locator("#row-2 td.result")).to_contain_text("✗ not ok: feeds all the same (installer)")
    expect(page.locator("#tested-by")).to_have_value("installer")
    rows = page.locator(".tested tbody tr").count()
    expect(page.locator("#signals")).to_contain_text(f"of {rows}")
    page.locator("#sig-2 button[value=ok]").click()
    expect(page.locator("#runoff-verdict")).to_have_text("… Not decided yet")


def test_what_is_measured_before_the_page_is_all_there_is_kept(page: Page) -> None:
    """Typed and left on a slow line, before the script has come: it is kept as soon as that is there."""
    runoff_page(page)
    tap(page, "clean")
    expect_bars(page, 1)
    script: list[Route] = []
    page.route("**/static/runoff.js*", lambda route: script.append(route))
    page.goto(page.url, wait_until="commit")
    page.locator("#m-remnant").fill("14 7/8 in")
    page.locator("#m-remnant").blur()
    page.locator("#sig-2 summary").click()
    page.locator("#sig-2 input[name=note]").fill("arm stopped halfway")
    page.locator("#sig-2 input[name=note]").blur()
    script[0].continue_()
    expect(page.locator("#runoff-bars tbody tr").first).to_contain_text("remnant 14 7/8 in")
    expect(page.locator("#row-2 td.result")).to_contain_text("– not tested yet: arm stopped halfway")


def test_a_press_counts_although_the_answer_comes_meanwhile(page: Page) -> None:
    """The table is renewed while a finger is on one of its buttons: it waits until the finger is off, and the press counts."""
    runoff_page(page)
    answers: list[Route] = []
    page.route("**/runoff/answer?*", lambda route: answers.append(route))
    tap(page, "clean")
    while not answers:
        page.wait_for_timeout(20)
    page.locator("#sig-2 button[value='not ok']").hover()
    page.mouse.down()
    with page.expect_response("**/runoff/answer?*"):
        answers[0].continue_()
    page.wait_for_timeout(300)
    expect(page.locator("#runoff-bars tbody tr")).to_have_count(0)
    page.mouse.up()
    expect_bars(page, 1)
    page.unroute("**/runoff/answer?*")
    expect(page.locator("#row-2 td.result")).to_contain_text("✗ not ok")


def test_the_plan_is_typed_below_and_the_answer_follows(page: Page, watch: Watch) -> None:
    """Fifty-nine in a row instead of five: what passing shows follows; names too; a wrong entry stays beside its reason."""
    runoff_page(page)
    before = page.locator("#shows").inner_text()
    type_into(page, "runoff.bars_in_row", "59")
    type_into(page, "runoff.stops_allowed", "0")
    expect(page.locator("#shows")).to_contain_text("at least 95")
    expect(page.locator("#shows")).not_to_have_text(before)
    type_into(page, "runoff_runs[1].name", "pivot, thickest bar")
    expect(page.get_by_role("heading", name="Run 2: pivot, thickest bar")).to_be_visible()
    expect(page.locator("#runoff-runs")).to_contain_text("pivot, thickest bar")
    for name in ("bar", "mode"):
        expect(field(page, f"runoff_runs[1].{name}")).to_have_count(0)
    type_into(page, "runoff_runs[1].part", "")
    for name in ("bar", "mode"):
        expect(field(page, f"runoff_runs[1].{name}")).to_be_visible()
    type_into(page, "runoff_runs[1].part", "brake pivot")
    type_into(page, "runoff.confidence", "95")
    expect(field(page, "runoff.confidence").locator(".said.wrong")).to_be_visible()
    expect(page.locator("#runoff-state")).to_contain_text("“95” is not taken over")
    type_into(page, "runoff.bar_change_at_most", "60")
    expect(field(page, "runoff.bar_change_at_most").locator(".said.wrong")).to_contain_text("60 s")


def every_state(page: Page) -> dict[str, Callable[[], object]]:
    """The page in its states, each by how one gets there; the later ones go on with the job of the ones before."""

    def full() -> None:
        tap(page, "clean", "loader", "clean", "operator")
        for name, text in (("remnant", "14 7/8 in"), ("change", "40 s")):
            page.locator(f"#m-{name}").fill(text)
            page.locator(f"#m-{name}").blur()
        page.locator("#runoff-bars button").nth(1).click()
        expect(page.locator("#runoff-bars")).to_contain_text("taken back")
        page.locator("#sig-2 button[value='not ok']").click()
        expect(page.locator("#row-2 td.result")).to_contain_text("✗ not ok")
        page.locator("#sig-3 summary").click()

    def waiting() -> None:
        page.context.set_offline(True)
        tap(page, "clean", "bar")
        expect(page.locator("#waiting li")).to_have_count(2)
        page.context.set_offline(False)

    def refused() -> None:
        page.reload()
        page.locator("#m-remnant").fill("300 ft")
        page.locator("#m-remnant").blur()
        expect(page.locator("#waiting")).to_contain_text("Not counted")

    def incomplete() -> None:
        follow(page.get_by_role("button", name="Add a run"))

    def demonstrated() -> None:
        page.goto(address(page, f"/jobs/{uuid5(NAMESPACE_URL, 'standoff-demonstration/axle-cell').hex}/runoff"))
        expect(page.locator("#spoken")).to_contain_text("Hub axle: 4 of 5 bars ran clean")

    def blank() -> None:
        begin(page, "Empty cell")
        page.goto(address(page, f"/jobs/{job_of(page)}/runoff"))

    return {
        "before the first bar": lambda: runoff_page(page),
        "full": full,
        "taps wait": waiting,
        "a tap refused": refused,
        "plan incomplete": incomplete,
        "with the tally of the demonstration": demonstrated,
        "nothing agreed": lambda: runoff_page(page, "Spacer cell"),
        "no placement yet": blank,
    }


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_every_state_is_accessible(entered: Callable[..., Page], watch: Watch, scheme: Scheme) -> None:
    """axe finds no violation of WCAG 2.0 to 2.2, levels A and AA, in any state of the page."""
    watch.expected = (*OFFLINE, "422")
    page = entered(bypass_csp=True, color_scheme=scheme, reduced_motion="reduce")
    assert violations(page, every_state(page)) == {}


@pytest.mark.parametrize("width", [768, 390])
def test_every_state_fits_the_screen(entered: Callable[..., Page], watch: Watch, width: int) -> None:
    """Nothing scrolls sideways, what can be touched is at least 44 px, and no chosen word is cut off."""
    watch.expected = (*OFFLINE, "422")
    page = entered(viewport={"width": width, "height": 900})
    assert misfits(page, every_state(page), width=width) == {}


def test_what_is_printed(page: Page) -> None:
    """On paper: sentence, runs, tally, signal sheet with lines to write on, cautions; no button, no field, no navigation."""
    runoff_page(page)
    tap(page, "clean", "loader")
    expect_bars(page, 2)
    put_on_paper(page, "nav", "button", ".button", ".field", "#measure", "#tap", "input:not([type=hidden])")
    expect(page.locator("#spoken")).to_be_visible()
    expect(page.locator(".only-print").first).to_contain_text("Axle cell (copy)")
    expect(page.locator(".run .strip .only-wide svg").first).to_be_visible()
    expect(page.locator("#runoff-bars")).to_contain_text("stopped by the loader")
    assert sum(line.is_visible() for line in page.locator(".tested .line-to-write").all()) > 15
    expect(page.get_by_text("ISO 23125")).to_be_visible()
