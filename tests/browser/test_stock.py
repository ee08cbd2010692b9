"""Stock in a browser: from no parts to money, wrong entries, the phone, the keyboard, what axe finds, what is printed."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from tests.browser.errands import address, begin, copy_of, field, fill_in, follow, job_of, slug, type_into
from tests.browser.looks import Scheme, misfits, put_on_paper, violations
from tests.browser.test_keyboard import tab_to, type_here
from tests.browser.test_windows import second

SLOW_MS = 30_000
"""So long the answer may take on a machine that is busy with other tests."""

PART = {
    "parts[0].name": "spacer",
    "parts[0].length": "22 mm",
    "parts[0].seconds": "20 s",
    "parts[0].per_order": "500",
    "parts[0].per_year": "9000",
}
"""What is made of the bars of the spacer cell."""


@pytest.fixture(autouse=True)
def patience() -> Iterator[None]:
    """Expectations wait for an answer that is being worked out."""
    expect.set_options(timeout=SLOW_MS)
    yield
    expect.set_options(timeout=5_000)


def stock_page(page: Page, title: str, query: str = "") -> None:
    """The stock page of a new job made from a demonstration."""
    copy_of(page, title)
    page.goto(address(page, f"/jobs/{job_of(page)}/stock{query}"))


def told_by_the_command(page: Page, folder: Path) -> str:
    """What `standoff stock` says of the job a page shows."""
    file = folder / "job.toml"
    file.write_bytes(page.request.get(address(page, f"/jobs/{job_of(page)}/export")).body())
    command = [sys.executable, "-m", "standoff", "stock", str(file)]
    done = subprocess.run(command, capture_output=True, text=True, check=False, encoding="utf-8")
    assert done.returncode == 0, done.stderr
    return done.stdout


def row(page: Page, part_of_page: str, name: str) -> str:
    """A row of a table by its first cell."""
    return page.locator(part_of_page).get_by_role("row").filter(has_text=name).first.inner_text()


def test_parts_then_prices_are_entered_until_money_is_shown(page: Page, paper: Path) -> None:
    """No parts: the page leads to where they are entered. Then counts without money, then money that follows each entry."""
    stock_page(page, "Spacer cell")
    expect(page.locator("#stock-answer")).to_contain_text("There is no stock sheet yet.")
    follow(page.locator("#stock-answer").get_by_role("link", name="At least one part"))
    expect(page).to_have_url(f"{address(page, '')}/jobs/{job_of(page)}/cycle#stop-parts")
    fill_in(page, PART)
    page.get_by_role("link", name="Stock", exact=True).click()
    expect(page.locator("#stock-verdict")).to_have_text("? Without money")
    expect(page.locator("#spoken")).to_contain_text("spacer: ")
    expect(page.locator("#no-money")).to_contain_text("There is no money in this yet.")
    expect(page.locator("#stock-money td.figure")).to_have_count(0)
    page.locator("#no-money").get_by_role("link", name="Price of a bar", exact=True).click()
    expect(page).to_have_url(f"{address(page, '')}/jobs/{job_of(page)}/stock#f-stock-price-per-bar-box")
    type_into(page, "stock.price_per_bar", "18.50")
    expect(field(page, "stock.price_per_bar").locator(".said.wrong")).to_contain_text("Fill in the currency")
    type_into(page, "prices.currency", "EUR")
    expect(page.locator("#stock-verdict")).to_have_text("✓ Counted and priced")
    expect(page.locator("#spoken")).to_contain_text("A year's bars cost")
    expect(page.locator("#f-stock-price-per-bar")).to_have_value("18.5")
    assert "18.50 EUR" in row(page, "#stock-money", "A bar")
    told = told_by_the_command(page, paper)
    assert page.locator("#spoken").inner_text().partition("A year's")[0].partition(": ")[2].strip() in told
    before = page.locator("#spoken").inner_text()
    type_into(page, "stock.price_per_bar", "37")
    expect(page.locator("#spoken")).not_to_have_text(before)
    expect(page.locator("#stock-news")).to_contain_text("up to date")
    page.reload()
    assert "37.00 EUR" in row(page, "#stock-money", "A bar")


def test_the_length_to_buy_appears_with_its_chart(page: Page) -> None:
    """Without the shortest bar there is no saw-tooth, and the field is named; with it, best and today's bar are marked."""
    stock_page(page, "Shell cell")
    type_into(page, "stock.shortest_to_buy", "")
    expect(page.locator("#stock-chart")).to_have_count(0)
    expect(page.locator("#stock-buying .left-out")).to_contain_text("Shortest bar to be had")
    type_into(page, "stock.shortest_to_buy", "3 m")
    chart = page.locator("#stock-chart .only-wide svg.drawing")
    expect(chart).to_be_visible()
    expect(chart).to_contain_text("best: 3615 mm")
    expect(chart).to_contain_text("today's bar: 3658 mm")
    type_into(page, "stock.mill_tolerance", "100 mm")
    expect(chart).to_contain_text("as the mill may send them up to 100 mm longer")


@pytest.mark.parametrize(
    ("path", "text", "reason"),
    [
        ("stock.price_per_kg", "18,500", 'Write "18500" or "18.500"'),
        ("stock.price_per_kg", "-3", "a number of 0 or more"),
        ("stock.price_per_kg", "5.40 USD", "no currency"),
        ("stock.price_per_hour", "sixty", "digits alone"),
        ("stock.magazine_width", "18", '"18 in" or "18 mm"'),
        ("stock.mill_tolerance", "-1 in", "0 or more"),
        ("stock.shortest_to_buy", "10,500 mm", "10500"),
    ],
)
def test_wrong_entries_stay_with_their_reason(page: Page, path: str, text: str, reason: str) -> None:
    """What cannot be used stands in its field beside the reason, also after a reload, and the answer says what it uses."""
    stock_page(page, "Axle cell")
    before = page.locator("#spoken").inner_text()
    type_into(page, path, text)
    for _ in range(2):
        expect(page.locator(f"#f-{slug(path)}")).to_have_value(text)
        expect(field(page, path).locator(".said.wrong")).to_contain_text(reason)
        expect(page.locator("#stock-state")).to_contain_text(f"“{text}” is not taken over")
        expect(page.locator("#stock-answer")).to_contain_text("1 entry is not taken over yet")
        expect(page.locator("#spoken")).to_have_text(before)
        page.reload()
    type_into(page, path, "")
    expect(page.locator("#stock-state")).not_to_contain_text("not taken over")


def test_a_figure_leads_down_to_its_reading_and_back(page: Page) -> None:
    """X opens to the pusher's reach; its link leads to that field of the survey, where it is changed; the remnant follows."""
    stock_page(page, "Spoke-nipple cell")
    before = page.locator("#spoken").inner_text()
    page.locator("#in-X > summary").click()
    page.locator("#in-X").get_by_role("link", name="pusher reach").click()
    expect(page).to_have_url(f"{address(page, '')}/jobs/{job_of(page)}/survey#f-loader-pusher-reach-box")
    type_into(page, "loader.pusher_reach", "28 in")
    page.get_by_role("link", name="Stock", exact=True).click()
    expect(page.locator("#spoken")).not_to_have_text(before)


def test_the_chosen_part_stays_chosen(page: Page) -> None:
    """After a field was saved the answer is that of the same part, and what was unfolded stays unfolded."""
    stock_page(page, "Axle cell")
    page.get_by_role("link", name="brake pivot").first.click()
    expect(page.locator("#spoken")).to_contain_text("brake pivot: 92 parts")
    page.locator("#in-K > summary").click()
    type_into(page, "stock.price_per_kg", "10.8")
    expect(page.locator("#spoken")).to_contain_text("9404 USD")
    expect(page.locator("#spoken")).to_contain_text("brake pivot: 92 parts")
    expect(page.locator("#in-K table")).to_be_visible()
    expect(page.locator(".choices [aria-current=true]")).to_contain_text("brake pivot")


def test_changes_with_their_pay_back(page: Page) -> None:
    """Where the pair does not fit, each change that would open it has what it costs, saves, and when it has paid."""
    stock_page(page, "Spoke-nipple cell")
    expect(page.locator("#stock-verdict")).to_have_text("? The pair does not fit")
    told = row(page, "#pay-back", "Cut the nose")
    assert "90.00 USD once" in told
    assert "it pays back in 26 weeks" in told
    page.locator("#pay-back").get_by_role("link", name="Try them on the placement").click()
    expect(page.get_by_role("heading", name="What would make it fit")).to_be_visible()


def test_on_a_phone(entered: Callable[..., Page]) -> None:
    """The narrow pictures are shown, nothing scrolls sideways, also with a part whose name has no end."""
    page = entered(viewport={"width": 390, "height": 844}, has_touch=True)
    stock_page(page, "Axle cell")
    expect(page.locator("#stock-bar .only-narrow svg")).to_be_visible()
    expect(page.locator("#stock-bar .only-wide svg")).to_be_hidden()
    page.goto(address(page, f"/jobs/{job_of(page)}/cycle"))
    type_into(page, "parts[0].name", "W" * 200)
    page.goto(address(page, f"/jobs/{job_of(page)}/stock"))
    type_into(page, "prices.currency", "M" * 60)
    expect(page.locator("#spoken")).to_contain_text("M" * 60)
    for summary in page.locator("details.opened > summary").all():
        summary.click()
    assert page.evaluate("document.documentElement.scrollWidth") <= 390


def test_another_window_is_told(page: Page) -> None:
    """What is typed elsewhere is said on this page too, and the way to see it leads back here."""
    stock_page(page, "Shell cell")
    other = second(page)
    type_into(other, "stock.price_per_kg", "2.70")
    expect(page.locator("#elsewhere")).to_contain_text("Price of a kilogram: now “2.7”")
    page.get_by_role("link", name="Show it as it is now").click()
    expect(page.locator("#spoken")).to_contain_text("28056 EUR")


def test_by_keyboard_alone(page: Page) -> None:
    """Choose the other part, open a figure, jump to the form, set another price; no pointer is used."""
    stock_page(page, "Axle cell")
    tab_to(page, "nav.choices a[href*='brake']")
    with page.expect_navigation():
        page.keyboard.press("Enter")
    expect(page.locator("#spoken")).to_contain_text("brake pivot")
    tab_to(page, "#in-X summary")
    page.keyboard.press("Enter")
    expect(page.locator("#in-X table")).to_be_visible()
    tab_to(page, "nav.choices a[href='#stop-money']")
    page.keyboard.press("Enter")
    tab_to(page, "#f-stock-price-per-kg")
    type_here(page, "10.8")
    with page.expect_response(lambda response: response.url.endswith("/field")):
        page.keyboard.press("Tab")
    expect(page.locator("#spoken")).to_contain_text("9404 USD")
    expect(page.locator("#in-X table")).to_be_visible()


def every_state(page: Page) -> dict[str, Callable[[], object]]:
    """The page in its states, each by how one gets there."""

    def of(title: str, query: str = "", *, opened: bool = False) -> Callable[[], object]:
        def reach() -> None:
            stock_page(page, title, query)
            if opened:
                for summary in page.locator("details.opened > summary").all():
                    summary.click()

        return reach

    def with_faults() -> None:
        stock_page(page, "Axle cell")
        for path, text in (("stock.price_per_kg", "18,500"), ("stock.mill_tolerance", "-1 in"), ("prices.currency", "")):
            type_into(page, path, text)

    def blank() -> None:
        begin(page, "Empty cell")
        page.goto(address(page, f"/jobs/{job_of(page)}/stock"))

    return {
        "no placement yet": blank,
        "no parts yet": of("Spacer cell"),
        "two parts": of("Axle cell", "?part=brake%20pivot", opened=True),
        "one part": of("Shell cell"),
        "where the pair does not fit": of("Spoke-nipple cell"),
        "with faults": with_faults,
    }


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_every_state_is_accessible(entered: Callable[..., Page], scheme: Scheme) -> None:
    """axe finds no violation of WCAG 2.0 to 2.2, levels A and AA, in any state of the page."""
    page = entered(bypass_csp=True, color_scheme=scheme, reduced_motion="reduce")
    assert violations(page, every_state(page)) == {}


@pytest.mark.parametrize("width", [1440, 1024, 768, 390])
def test_every_state_fits_the_screen(entered: Callable[..., Page], width: int) -> None:
    """Nothing scrolls sideways, what can be touched is at least 44 px, and no chosen word is cut off."""
    page = entered(viewport={"width": width, "height": 900})
    assert misfits(page, every_state(page), width=width) == {}


def test_what_is_printed(page: Page) -> None:
    """On paper is no navigation, no button and no field; sentence, pictures, money and cautions are there."""
    stock_page(page, "Axle cell")
    put_on_paper(page, "nav", "button", ".button", ".field")
    expect(page.locator("#spoken")).to_be_visible()
    for picture in ("#stock-bar", "#stock-chart"):
        expect(page.locator(f"{picture} .only-wide svg")).to_be_visible()
    expect(page.locator(".only-print").first).to_contain_text("Axle cell (copy)")
    expect(page.locator("#stock-money")).to_contain_text("22518 USD")
    expect(page.get_by_text("These figures count bars and hours")).to_be_visible()
    expect(page.get_by_text("no offer and no promise")).to_be_visible()
