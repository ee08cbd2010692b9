"""Levelling in a browser: from no feet to moves, round after round, wrong entries, the phone, the keyboard, axe, print."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from standoff.job.demonstration import text_of
from tests.browser.errands import address, begin, copy_of, field, fill_in, follow, job_of, slug, type_into
from tests.browser.looks import Scheme, misfits, put_on_paper, violations
from tests.browser.test_keyboard import choose, tab_to, type_here
from tests.browser.test_windows import second
from tests.jobs_typed import Typed
from tests.levelling import FRAME, LEVELLED, STILL, round_of
from tests.texts import SLIDING

SLOW_MS = 30_000
"""So long the answer may take on a machine that is busy with other tests."""

MOVED = LEVELLED + round_of(2, STILL, told='stage = "moved"\nfeet_bear = true\nstandoff = "370 mm"\n')
TIGHTENED = MOVED + round_of(3, STILL, told='stage = "tightened"\n')

FEET = {
    "frame.axis_height": "1040 mm",
    **{
        f"feet[{i}].{key}": typed
        for i, (name, behind, side) in enumerate(
            (
                ("front left", "200 mm", "0"),
                ("front right", "200 mm", "1"),
                ("rear left", "4200 mm", "0"),
                ("rear right", "4200 mm", "1"),
            )
        )
        for key, typed in (("name", name), ("behind_clamp", behind), ("left", Typed("360 mm", way=side)))
    },
}
READINGS = {
    "levels[0].way": "across",
    "levels[0].reading": "0.6 mm/m",
    "levels[0].turned": Typed("0.4 mm/m", way="1"),
    **{
        f"sweeps[{i}].{key}": typed
        for i, (where, four) in enumerate((("0 mm", (0.0, 0.15, 0.60, 0.55)), ("2000 mm", (0.20, -0.15, 0.0, 0.25))))
        for key, typed in (
            ("surface", "bore"),
            ("behind_clamp", where),
            *(
                (side, Typed(f"{abs(mm):.2f} mm", way="1") if mm < 0 else f"{mm:.2f} mm")
                for side, mm in zip(("top", "left", "bottom", "right"), four, strict=True)
            ),
        )
    },
}
"""The round figures of `tests.levelling`, typed: the axis 0.30 mm high at the clamp and 0.10 mm low 2 m behind it."""


@pytest.fixture(autouse=True)
def patience() -> Iterator[None]:
    """Expectations wait for an answer that is being worked out."""
    expect.set_options(timeout=SLOW_MS)
    yield
    expect.set_options(timeout=5_000)


def level_page(page: Page, text: str, query: str = "") -> None:
    """The page of a new job with this text."""
    page.goto(address(page, "/jobs"))
    page.get_by_label("Job file").set_input_files({"name": "job.toml", "mimeType": "application/toml", "buffer": text.encode()})
    follow(page.get_by_role("button", name="Take it in"))
    page.goto(address(page, f"/jobs/{job_of(page)}/level{query}"))


def told_by_the_command(page: Page, folder: Path, *options: str) -> str:
    """What `standoff level` says of the job a page shows."""
    file = folder / "job.toml"
    file.write_bytes(page.request.get(address(page, f"/jobs/{job_of(page)}/export")).body())
    command = [sys.executable, "-m", "standoff", "level", str(file), *options]
    done = subprocess.run(command, capture_output=True, text=True, check=False, encoding="utf-8")
    assert done.returncode in (0, 1, 3), done.stderr
    return done.stdout


def unfold(page: Page) -> None:
    """Open what is folded away."""
    page.evaluate("document.querySelectorAll('details.folded').forEach(one => { one.open = true; })")


def enter(page: Page, sheet: Mapping[str, Typed | str]) -> None:
    """Type a sheet, opening what is folded away."""
    unfold(page)
    fill_in(page, sheet)


def row(page: Page, part: str, name: str) -> str:
    """A row of a table by its first cell."""
    return page.locator(part).get_by_role("row").filter(has_text=name).first.inner_text()


def test_feet_and_readings_are_entered_until_every_foot_has_its_move(page: Page, paper: Path) -> None:
    """Nothing: the page says what to read. Then feet, a level, two sweeps; the moves appear, as the command says them."""
    level_page(page, SLIDING)
    expect(page.locator("#level-verdict")).to_have_text("Not told yet")
    expect(page.locator("#spoken")).to_contain_text("Nothing is read yet")
    expect(page.locator("#level-cautions")).to_contain_text("29 CFR 1910.147")
    enter(page, FEET)
    expect(page.locator("#level-above .only-wide svg")).to_contain_text("front left")
    expect(page.locator("#level-moves")).to_have_count(0)
    enter(page, {k: v for k, v in READINGS.items() if k.startswith("sweeps")})
    expect(page.locator("#level-lacking")).to_contain_text("lay a level across the loader")
    enter(page, {k: v for k, v in READINGS.items() if k.startswith("levels")})
    expect(page.locator("#level-verdict")).to_have_text("✗ Not in line")
    expect(page.locator("#half-told")).to_have_count(0)
    told = told_by_the_command(page, paper)
    assert page.locator("#spoken").inner_text() in told
    for name in ("front left", "front right", "rear left", "rear right"):
        words = row(page, "#level-moves", name).split("\t")
        assert f"{name}: {words[1].strip()}" in told
        expect(page.locator("#level-above .only-wide svg")).to_contain_text(name)
    expect(page.locator("#level-axis")).to_contain_text("bracket whose sag is not known may hang")
    expect(page.locator("#level-asked")).to_have_count(0)
    type_into(page, "sweeps[0].bottom", "1.20 in")
    expect(page.locator("#level-asked")).to_contain_text("1.20 in is unusual (up to 10.00 mm is usual).")
    before = row(page, "#level-moves", "front left")
    type_into(page, "sweeps[0].bottom", "1.20 mm")
    expect(page.locator("#level-asked")).to_have_count(0)
    expect(page.locator("#level-news")).to_contain_text("up to date")
    assert row(page, "#level-moves", "front left") != before


def test_round_after_round(page: Page) -> None:
    """Begin the next round: same places, nothing read. What lacks is named, round 1 stands; then the new round counts."""
    level_page(page, LEVELLED)
    follow(page.get_by_role("button", name="Begin a round after moving"))
    expect(page.get_by_role("heading", name="Readings of round 2")).to_be_visible()
    expect(page.locator("#f-sweeps-2-top")).to_have_value("")
    expect(page.locator("#f-sweeps-2-name")).to_have_value("clamp bore")
    expect(page.locator("#f-sweeps-2-behind-clamp")).to_have_value("0 mm")
    expect(page.locator("#half-told")).to_contain_text("At the top (clamp bore)")
    # The round that is begun tells nothing yet; that of before is one link away, with its moves.
    expect(page.locator("#level-lacking")).to_contain_text("Round 2, moved does not tell")
    follow(page.get_by_role("link", name="Round 1, as found").first)
    expect(page.locator("#level-moves")).to_contain_text("front left")
    expect(page.locator("#level-earlier")).to_contain_text("What counts now is round 2, moved")
    follow(page.locator("#level-earlier").get_by_role("link"))
    enter(page, {"levels[1].reading": "0.1 mm/m", "levels[1].turned": Typed("0.1 mm/m", way="1")})
    for i in (2, 3):
        enter(page, {f"sweeps[{i}].{side}": "0 mm" for side in ("top", "left", "right")})
        type_into(page, f"sweeps[{i}].bottom", "0.10 mm")
    expect(page.locator("#level-lacking")).to_have_count(0)
    expect(page.locator(".choices [aria-current=true]")).to_contain_text("Round 2, moved")
    expect(page.locator("#level-order")).to_contain_text("done Set roll, pitch and height at the feet.")
    expect(page.locator("#half-told")).to_have_count(0)


def test_a_new_reading_belongs_to_the_round_being_read(page: Page) -> None:
    """Added in round 2, it stands with round 2; moved to round 1 by its number, it stands there."""
    level_page(page, MOVED)
    follow(page.get_by_role("button", name="Add a sweep"))
    expect(page.locator("#f-sweeps-4-round")).to_have_value("2")
    type_into(page, "sweeps[4].round", "1")
    expect(page.locator("#fold-readings-1 #f-sweeps-4-round")).to_be_visible()


@pytest.mark.parametrize(
    ("path", "text", "reason"),
    [
        ("sweeps[0].top", "0.3", '"0.3 in" or "0.3 mm"'),
        ("sweeps[0].top", "0", "mm"),
        ("sweeps[0].top", "0,300 mm", '"300 mm" or "0.300 mm"'),
        ("feet[0].up", "-2 mm", "0 or more"),
        ("feet[0].behind_clamp", "200", '"200 in" or "200 mm"'),
        ("levels[0].reading", "0.6", "mm/m"),
        ("levels[0].reading", "0.6 deg", "mm/m"),
        ("frame.shim_step", "0 mm", "above 0"),
        ("sweeps[0].round", "two", "digits alone"),
        ("level_tolerances.roll", "-0.5 mm/m", "above 0"),
    ],
)
def test_wrong_entries_stay_with_their_reason(page: Page, path: str, text: str, reason: str) -> None:
    """What cannot be used stands in its field beside the reason, also after a reload; the answer uses the value of before."""
    level_page(page, LEVELLED)
    before = page.locator("#spoken").inner_text()
    unfold(page)
    type_into(page, path, text)
    for _ in range(2):
        expect(page.locator(f"#f-{slug(path)}")).to_have_value(text)
        expect(field(page, path).locator(".said.wrong")).to_contain_text(reason)
        expect(page.locator("#level-answer")).to_contain_text("1 entry is not taken over yet")
        expect(page.locator("#spoken")).to_have_text(before)
        page.reload()


def test_a_decimal_comma_is_understood(page: Page) -> None:
    """0,31 mm is 0.31 mm."""
    level_page(page, LEVELLED)
    before = row(page, "#level-axis", "Nose clamp, loader standing")
    type_into(page, "sweeps[0].bottom", "0,90 mm")
    expect(page.locator("#level-news")).to_contain_text("up to date")
    assert row(page, "#level-axis", "Nose clamp, loader standing") != before


def test_what_is_half_told_is_one_link_away_even_folded(page: Page) -> None:
    """The link to a missing figure of an earlier round unfolds that round and shows the field."""
    level_page(page, MOVED)
    page.locator("#fold-readings-1 > summary").click()
    type_into(page, "sweeps[0].left", "")
    page.locator("#fold-readings-1 > summary").click()
    expect(page.locator("#f-sweeps-0-left")).to_be_hidden()
    page.locator("#half-told").get_by_role("link", name="At the left (clamp bore)").click()
    expect(page.locator("#f-sweeps-0-left")).to_be_visible()
    expect(page.locator("#f-sweeps-0-left")).to_be_in_viewport()


def test_the_four_readings_stand_as_the_indicator_goes_round(page: Page) -> None:
    """Top above, bottom below, left and right on their sides; on a phone below one another."""
    level_page(page, LEVELLED)
    box = {side: page.locator(f"#f-sweeps-0-{side}-box").bounding_box() for side in ("top", "left", "bottom", "right")}
    assert all(box.values())
    at = {side: (b["x"], b["y"]) for side, b in box.items() if b is not None}
    assert at["left"][0] < at["top"][0] == at["bottom"][0] < at["right"][0]
    assert at["top"][1] < at["left"][1] == at["right"][1] < at["bottom"][1]
    page.set_viewport_size({"width": 390, "height": 844})
    low = [page.locator(f"#f-sweeps-0-{side}-box").bounding_box() for side in ("top", "left", "bottom", "right")]
    ys = [b["y"] for b in low if b is not None]
    assert ys == sorted(ys)
    assert len(set(ys)) == 4


def test_by_touch_on_a_phone(entered: Callable[..., Page]) -> None:
    """Tapped, not clicked: the narrow pictures, a round begun, a reading taken; nothing scrolls sideways, long names included."""
    page = entered(viewport={"width": 390, "height": 844}, has_touch=True, is_mobile=True)
    level_page(page, LEVELLED)
    for part in ("level-above", "level-chart", "level-expected-chart", "level-side"):
        expect(page.locator(f"#{part} .only-narrow svg")).to_be_visible()
        expect(page.locator(f"#{part} .only-wide svg")).to_be_hidden()
    page.get_by_role("button", name="Begin a round after moving").tap()
    expect(page.get_by_role("heading", name="Readings of round 2")).to_be_visible()
    page.locator("#f-sweeps-2-top").tap()
    page.locator("#f-sweeps-2-top").fill("0.02 mm")
    with page.expect_response(lambda response: response.url.endswith("/field")):
        page.locator("#f-sweeps-2-left").tap()
    expect(field(page, "sweeps[2].top").locator(".saved")).to_be_visible()
    page.locator("#fold-frame > summary").tap()
    type_into(page, "feet[0].name", "W" * 120)
    expect(page.locator("#level-above .only-narrow svg")).to_contain_text("WWW")
    assert page.evaluate("document.documentElement.scrollWidth") <= 390


def test_another_window_is_told(page: Page) -> None:
    """What is typed elsewhere is said on this page too."""
    level_page(page, LEVELLED)
    other = second(page)
    type_into(other, "sweeps[0].bottom", "0.90 mm")
    expect(page.locator("#elsewhere")).to_contain_text("At the bottom (clamp bore): now “0.90 mm”")
    page.get_by_role("link", name="Show it as it is now").click()
    expect(page.locator("#f-sweeps-0-bottom")).to_have_value("0.90 mm")


def test_by_keyboard_alone(page: Page) -> None:
    """Choose the first round, go back, unfold the feet, let a screw out, read the indicator let out; no pointer is used."""
    level_page(page, MOVED)
    tab_to(page, "nav.choices a[href*='round=1']")
    with page.expect_navigation():
        page.keyboard.press("Enter")
    expect(page.locator("#level-earlier")).to_be_visible()
    tab_to(page, "#level-earlier a")
    with page.expect_navigation():
        page.keyboard.press("Enter")
    tab_to(page, "#level-method summary")
    page.keyboard.press("Enter")
    expect(page.locator("#level-method")).to_contain_text("JCGM 106:2012")
    tab_to(page, "#fold-frame > summary")
    page.keyboard.press("Enter")
    tab_to(page, "#f-feet-0-up")
    type_here(page, "9 mm")
    with page.expect_response(lambda response: response.url.endswith("/field")):
        page.keyboard.press("Tab")
    expect(field(page, "feet[0].up").locator(".saved")).to_be_visible()
    tab_to(page, "#f-sweeps-2-top")
    type_here(page, "0.01 mm")
    with page.expect_response(lambda response: response.url.endswith("/field")):
        page.keyboard.press("Tab")
    tab_to(page, "#f-sweeps-2-top-way")
    with page.expect_response(lambda response: response.url.endswith("/field")):
        choose(page, "1")
    expect(page.locator("#level-news")).to_contain_text("up to date")
    expect(page.locator("#level-method")).to_contain_text("JCGM 106:2012")
    expect(page.locator("#level-method > p").first).to_be_visible()
    exported = page.request.get(address(page, f"/jobs/{job_of(page)}/export")).text()
    assert "-0.01 mm" in exported


def every_state(page: Page) -> dict[str, Callable[[], object]]:
    """The page in its states, each by how one gets there."""

    def of(text: str, query: str = "", *, opened: bool = False) -> Callable[[], object]:
        def reach() -> None:
            level_page(page, text, query)
            if opened:
                for summary in page.locator("details > summary").all():
                    if summary.is_visible():
                        summary.click()

        return reach

    def with_faults() -> None:
        level_page(page, MOVED)
        for path, text in (("sweeps[2].top", "0.3"), ("levels[1].reading", "0.6"), ("line_readings[0].above", "")):
            if page.locator(f"#f-{slug(path)}").count():
                type_into(page, path, text)
        follow(page.get_by_role("button", name="Add a reading from a line"))

    def blank() -> None:
        begin(page, "Empty cell")
        page.goto(address(page, f"/jobs/{job_of(page)}/level"))

    inches = SLIDING.replace('units = "mm"', 'units = "in"') + LEVELLED.removeprefix(SLIDING)
    return {
        "no placement yet": blank,
        "nothing read yet": of(SLIDING),
        "feet alone": of(SLIDING + FRAME),
        "not in line": of(LEVELLED, opened=True),
        "in inches": of(inches),
        "an earlier round": of(MOVED, "?round=1"),
        "tightened": of(TIGHTENED),
        "in line": of(text_of("shell-cell")),
        "with faults": with_faults,
    }


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_every_state_is_accessible(entered: Callable[..., Page], scheme: Scheme) -> None:
    """axe finds no violation of WCAG 2.0 to 2.2, levels A and AA, in any state of the page."""
    page = entered(bypass_csp=True, color_scheme=scheme, reduced_motion="reduce")
    assert violations(page, every_state(page)) == {}


@pytest.mark.parametrize("width", [768, 390])
def test_every_state_fits_the_screen(entered: Callable[..., Page], width: int) -> None:
    """Nothing scrolls sideways, what can be touched is at least 44 px, and no chosen word is cut off."""
    page = entered(viewport={"width": width, "height": 900})
    assert misfits(page, every_state(page), width=width) == {}


def test_what_is_printed(page: Page) -> None:
    """On paper is no navigation, no button and no field; sentence, pictures, moves and cautions are there."""
    level_page(page, LEVELLED)
    put_on_paper(page, "nav", "button", ".button", ".field")
    expect(page.locator("#spoken")).to_be_visible()
    for picture in ("#level-above", "#level-chart", "#level-expected-chart", "#level-side"):
        expect(page.locator(f"{picture} .only-wide svg")).to_be_visible()
    expect(page.locator("#level-moves")).to_contain_text("down 0.44 mm")
    expect(page.locator("#level-cautions")).to_contain_text("are no release")
    expect(page.locator(".only-print").first).to_contain_text("levelling")


def test_a_new_job_from_the_demonstration_begins_without_readings(page: Page) -> None:
    """Feet and instruments go along, what was read does not."""
    copy_of(page, "Axle cell")
    page.goto(address(page, f"/jobs/{job_of(page)}/level"))
    expect(page.locator("#spoken")).to_contain_text("Nothing is read yet")
    expect(page.locator("#level-above .only-wide svg")).to_contain_text("rear left")
