"""The floor in a browser: dragged by mouse, touch and keys, typed in, files in and out, wrong entries, axe, phone, print."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable, Iterator
from io import StringIO
from pathlib import Path

import ezdxf
import pytest
from ezdxf.disassemble import recursive_decompose
from playwright.sync_api import FilePayload, Locator, Page, expect

from tests.browser.conftest import Watch
from tests.browser.errands import address, begin, copy_of, field, fill_in, follow, job_of, slug, type_into
from tests.browser.looks import Scheme, misfits, put_on_paper, violations
from tests.browser.test_keyboard import tab_to, type_here
from tests.browser.test_windows import second
from tests.grounds import bay, saved
from tests.jobs_typed import PAPER

SLOW_MS = 30_000
"""So long the answer may take on a machine that is busy with other tests."""


@pytest.fixture(autouse=True)
def patience() -> Iterator[None]:
    """Expectations wait for an answer that is being worked out."""
    expect.set_options(timeout=SLOW_MS)
    yield
    expect.set_options(timeout=5_000)


def floor_page(page: Page, title: str) -> None:
    """The floor page of a new job made from a demonstration."""
    copy_of(page, title)
    page.goto(address(page, f"/jobs/{job_of(page)}/floor"))


def typed(page: Page, path: str, text: str) -> None:
    """Type into a field, unfolding the entry it belongs to."""
    fold = field(page, path).locator("xpath=ancestor::details[contains(@class, 'entry-folded')]")
    if fold.count() and fold.get_attribute("open") is None:
        fold.locator("> summary").click()
    type_into(page, path, text)


def row(page: Page, what: str) -> Locator:
    """The first row of the checks about some things."""
    return page.locator("#floor-checks").get_by_role("row").filter(has_text=what).first


def left_of(picture: Locator) -> float:
    """Where the loader's outline begins on the screen."""
    # In one step: the picture may be exchanged for a newer one at any moment.
    return float(picture.locator(".d-plan-loader").first.evaluate("one => one.getBoundingClientRect().x"))


def grip(picture: Locator) -> tuple[float, float]:
    """A place on the loader where nothing else lies."""
    box = picture.locator(".d-plan-loader").first.bounding_box()
    assert box is not None
    return box["x"] + 0.3 * box["width"], box["y"] + 0.25 * box["height"]


def told_by_the_command(page: Page, folder: Path, *options: str) -> str:
    """What `standoff floor` says of the job a page shows."""
    file = folder / "job.toml"
    file.write_bytes(page.request.get(address(page, f"/jobs/{job_of(page)}/export")).body())
    command = [sys.executable, "-m", "standoff", "floor", str(file), *options]
    done = subprocess.run(command, capture_output=True, text=True, check=False, encoding="utf-8")
    assert done.returncode in (0, 1, 3), done.stderr
    return done.stdout


def test_dragged_by_the_mouse_everything_follows(page: Page, paper: Path) -> None:
    """The outline follows at once, sentence and table a moment later, as the command says; reloaded, it is back at the aim."""
    floor_page(page, "Axle cell")
    picture = page.locator("#floor-wide")
    picture.scroll_into_view_if_needed()
    before, x0 = page.locator("#floor-where").inner_text(), left_of(picture)
    x, y = grip(picture)
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x - 6, y, steps=3)
    assert left_of(picture) < x0 - 2
    page.mouse.up()
    expect(page.locator("#floor-where")).not_to_have_text(before)
    expect(page.locator("#floor-slide-says")).to_contain_text("not the aim")
    says = page.locator("#floor-slide-says").inner_text().partition(" behind")[0]
    told = told_by_the_command(page, paper, "--at", says)
    assert page.locator("#floor-where").inner_text() in told
    assert page.locator("#spoken").inner_text() in told
    page.reload()
    expect(page.locator("#floor-where")).to_have_text(before)
    assert abs(left_of(picture) - x0) < 1.0


def test_dragged_by_a_finger_on_a_phone(entered: Callable[..., Page]) -> None:
    """Forward is up: a finger that draws the loader down moves it away from the lathe; nothing scrolls sideways."""
    page = entered(viewport={"width": 390, "height": 844}, has_touch=True, is_mobile=True)
    floor_page(page, "Axle cell")
    picture = page.locator("#floor-narrow")
    expect(picture.locator("svg")).to_be_visible()
    expect(page.locator("#floor-wide svg")).to_be_hidden()
    picture.scroll_into_view_if_needed()
    before = page.locator("#floor-where").inner_text()
    box = picture.locator(".d-plan-loader").first.bounding_box()
    assert box is not None
    x, y = box["x"] + 0.25 * box["width"], box["y"] + 0.3 * box["height"]
    line = page.context.new_cdp_session(page)
    line.send("Input.dispatchTouchEvent", {"type": "touchStart", "touchPoints": [{"x": x, "y": y}]})
    # Farther than the way after which a browser would begin to scroll, and longer than a new drawing takes to come.
    for step in range(2, 42, 2):
        line.send("Input.dispatchTouchEvent", {"type": "touchMove", "touchPoints": [{"x": x, "y": y + step}]})
        page.wait_for_timeout(30)
    line.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})
    expect(page.locator("#floor-where")).not_to_have_text(before)
    slide = page.locator("#floor-slide")
    assert slide.evaluate("slide => slide.value === slide.max")
    assert page.evaluate("document.documentElement.scrollWidth") <= 390


def test_by_keyboard_alone(page: Page) -> None:
    """The slide by its arrow keys, back to the aim, then to an entry that is folded away, and another figure typed."""
    floor_page(page, "Axle cell")
    before = page.locator("#floor-where").inner_text()
    tab_to(page, "#floor-slide")
    for _ in range(8):
        page.keyboard.press("ArrowRight")
    expect(page.locator("#floor-where")).not_to_have_text(before)
    expect(page.locator("#floor-slide-says")).to_have_text("11 15/16 in behind the adapter, not the aim")
    tab_to(page, "#floor-back")
    page.keyboard.press("Enter")
    expect(page.locator("#floor-where")).to_have_text(before)
    tab_to(page, "#fold-floor-items-6 > summary")
    page.keyboard.press("Enter")
    tab_to(page, "#f-floor-items-6-right")
    type_here(page, "8 in")
    with page.expect_response(lambda response: response.url.endswith("/field")):
        page.keyboard.press("Tab")
    expect(page.locator("#floor-verdict")).to_have_text("✗ Something is in the way")


def test_a_thing_in_the_way_is_told_drawn_and_lettered(page: Page) -> None:
    """The transformer in the loader's way: verdict, sentence, a letter in table and picture, heavy outlines; put back, gone."""
    floor_page(page, "Axle cell")
    expect(page.locator("#floor-verdict")).to_have_text("✓ Everything has its room")
    typed(page, "floor_items[6].right", "8 in")
    expect(page.locator("#floor-verdict")).to_have_text("✗ Something is in the way")
    expect(page.locator("#spoken")).to_contain_text("transformer")
    letter = row(page, "and transformer").locator(".letter").inner_text()
    picture = page.locator("#floor-wide svg")
    expect(picture.locator("text", has_text=letter).first).to_be_visible()
    assert picture.locator(".d-plan-struck").count() >= 2
    expect(row(page, "and transformer")).to_contain_text("✗ clash")
    typed(page, "floor_items[6].right", "-24 in")
    expect(page.locator("#floor-verdict")).to_have_text("✓ Everything has its room")
    assert picture.locator(".d-plan-struck").count() == 0


def test_a_height_decides(page: Page) -> None:
    """Low the loader passes above the tank; nobody says how high it is: not known; as high as the channel: in the way."""
    floor_page(page, "Axle cell")
    channel = "Loader's channel and frame and coolant tank"
    expect(row(page, channel)).to_contain_text("✓ holds")
    expect(row(page, channel)).to_contain_text("one above the other")
    typed(page, "floor_items[5].height", "")
    expect(row(page, channel)).to_contain_text("? not known")
    typed(page, "floor_items[5].height", "45 in")
    expect(row(page, channel)).to_contain_text("✗ clash")
    expect(page.locator("#floor-verdict")).to_have_text("✗ Something is in the way")


def test_a_blank_floor_is_filled_in(page: Page) -> None:
    """Without items the page says what to add; loader and lathe typed in, the plan is there, and the door swings."""
    begin(page, "Empty floor")
    fill_in(page, PAPER)
    follow(page.get_by_role("link", name="Floor", exact=True))
    expect(page.locator("#floor-answer")).to_contain_text("There is no floor plan yet.")
    page.get_by_role("link", name="The bar loader among what stands there").click()
    expect(page).to_have_url(f"{address(page, '')}/jobs/{job_of(page)}/floor#stop-items")
    for i, (name, kind, sides) in enumerate((("loader", "loader", {}), ("lathe", "lathe", {"ahead": "8 ft"}))):
        follow(page.get_by_role("button", name="Add an item"))
        for key, text in {"name": name, "kind": kind, "left": "12 in", "right": "14 in", **sides}.items():
            typed(page, f"floor_items[{i}].{key}", text)
    if page.locator("#floor-answer").get_by_text("Still wanted").count():
        for key, text in (("behind", "15 ft"), ("ahead", "1/2 in")):
            if page.locator(f"#floor-answer a[href='#f-floor-items-0-{key}-box']").count():
                typed(page, f"floor_items[0].{key}", text)
    expect(page.locator("#floor-wide svg .d-plan-loader")).to_be_visible()
    expect(page.locator("#floor-wide svg")).to_contain_text("lathe")
    page.reload()
    expect(page.locator("#fold-floor-items-0")).not_to_have_attribute("open", "")
    page.goto(address(page, f"/jobs/{job_of(page)}/floor#f-floor-items-0-left-box"))
    page.reload()
    expect(page.locator("#f-floor-items-0-left")).to_be_visible()


@pytest.mark.parametrize(
    ("path", "text", "reason"),
    [
        ("floor_items[5].left", "20", "without a unit"),
        ("floor_items[5].left", "1,250 mm", "comma"),
        ("floor_items[5].left", "2000 m", "1 km"),
        ("floor_items[5].height", "-3 in", "above 0"),
        ("floor_loads[0].mass", "2650", "unit"),
        ("floor.plan_turned", "1000", "360"),
    ],
)
def test_wrong_entries_stay_with_their_reason(page: Page, path: str, text: str, reason: str) -> None:
    """What cannot be used stands in its field beside the reason, and the answer says what it uses."""
    floor_page(page, "Axle cell")
    before = page.locator("#spoken").inner_text()
    typed(page, path, text)
    expect(page.locator(f"#f-{slug(path)}")).to_have_value(text)
    expect(field(page, path).locator(".said.wrong")).to_contain_text(reason)
    expect(page.locator("#floor-answer")).to_contain_text("1 entry is not taken over yet")
    expect(page.locator("#spoken")).to_have_text(before)


def test_extents_that_contradict_are_told_at_the_field(page: Page) -> None:
    """A left side right of the right side: said above the fields and in the answer, each with the way to the field."""
    floor_page(page, "Axle cell")
    typed(page, "floor_items[5].left", "-90 in")
    expect(page.locator("#floor-state .note.clash")).to_contain_text("26 in against left -90 in")
    expect(page.locator("#floor-answer a[href='#f-floor-items-5-right-box']")).to_be_visible()
    typed(page, "floor_items[5].left", "20 in")
    expect(page.locator("#floor-verdict")).to_have_text("✓ Everything has its room")


def plan_file(unit: str, *, stated: bool = True) -> FilePayload:
    """The bay as a file drawn in a unit."""
    code, unit_mm = {"mm": (4, 1.0), "in": (1, 25.4)}[unit]
    return {
        "name": "bay 3.dxf",
        "mimeType": "image/vnd.dxf",
        "buffer": saved(bay(insunits=code if stated else None, unit_mm=unit_mm)),
    }


def read_in(page: Page, file: FilePayload, *, unit: str = "", layers: str = "") -> None:
    """Read a building's plan in."""
    page.locator("#plan-file").set_input_files(file)
    page.locator("#plan-unit").select_option(unit)
    page.locator("#plan-layers").fill(layers)
    follow(page.get_by_role("button", name="Read it in"))


@pytest.mark.parametrize("unit", ["mm", "in"])
def test_a_buildings_plan_comes_in_at_its_size(page: Page, unit: str) -> None:
    """Columns of 400 mm are drawn so on the scale of the picture, whichever unit the file is in; layers can be left out."""
    floor_page(page, "Axle cell")
    read_in(page, plan_file(unit))
    expect(page.locator("#building + .sheet")).to_contain_text(f"bay 3.dxf, drawn in {unit}")
    expect(page.locator("#building + .sheet")).to_contain_text("not read: 2 texts")
    typed(page, "floor.plan_x", "107 m")
    typed(page, "floor.plan_y", "54.6 m")
    page.reload()
    lines = page.locator("#floor-wide svg path.d-plan-import")
    expect(lines.first).to_be_attached()
    scale = float(page.locator("#floor-wide").get_attribute("data-scale") or 0)
    widths = page.evaluate(
        """() => [...document.querySelectorAll("#floor-wide svg path.d-plan-import")].map(one => one.getBBox())
          .filter(box => Math.abs(box.width - box.height) < 1 && box.width < 100).map(box => box.width)"""
    )
    assert len(widths) >= 1
    assert all(abs(width / scale - 400.0) < 5.0 for width in widths)
    boxes = page.locator(".layers input")
    for i in range(boxes.count()):
        boxes.nth(i).evaluate("one => { one.checked = one.value === 'WALLS'; }")
    follow(page.get_by_role("button", name="Draw these layers"))
    expect(page.locator("#building + .sheet")).to_contain_text("1 line drawn")
    follow(page.get_by_role("button", name="Take the plan away"))
    expect(page.locator("#floor-wide svg path.d-plan-import")).to_have_count(0)


def test_plans_that_cannot_be_used_are_refused(page: Page, watch: Watch) -> None:
    """No unit, the wrong unit, broken, another kind: each with its reason on the page; nothing is kept."""
    watch.expected = ("422",)
    floor_page(page, "Axle cell")
    whole = plan_file("mm")["buffer"]
    cases: list[tuple[FilePayload, str, str]] = [
        (plan_file("in", stated=False), "", "say in which unit it was drawn"),
        (plan_file("in"), "mm", "states that it is in in, said to be in mm"),
        ({**plan_file("mm"), "buffer": whole[: len(whole) // 2]}, "", "breaks off"),
        ({**plan_file("mm"), "buffer": b"%PDF-1.7"}, "", "save the plan as a DXF text file"),
    ]
    for file, unit, reason in cases:
        read_in(page, file, unit=unit)
        expect(page.get_by_role("alert").filter(has_text=reason)).to_be_visible()
        expect(page.locator(".layers")).to_have_count(0)
    read_in(page, plan_file("in", stated=False), unit="in", layers="walls")
    expect(page.locator("#building + .sheet")).to_contain_text("drawn in in (as said when it was read in): 1 line drawn")


def test_the_cad_file_and_the_sheet_to_print(page: Page) -> None:
    """The DXF opens without a fault, the loader a block where it stands, also after it was dragged; the SVG has its scale."""
    floor_page(page, "Shell cell")
    with page.expect_download() as loaded:
        page.get_by_role("link", name="DXF file").click()
    document = ezdxf.read(StringIO(Path(loaded.value.path()).read_text(encoding="utf-8")))
    assert document.audit().errors == []
    insert = next(one for one in document.modelspace().query("INSERT") if one.dxf.name == "LOADER")
    assert insert.dxf.insert.x == pytest.approx(-410.0)
    assert len([one for one in recursive_decompose([insert]) if one.dxftype() == "LWPOLYLINE"]) >= 2
    page.locator("#floor-slide").focus()
    for _ in range(10):
        page.keyboard.press("ArrowRight")
    expect(page.locator("#floor-where")).to_contain_text("420 mm")
    with page.expect_download() as loaded:
        page.get_by_role("link", name="DXF file").click()
    moved = ezdxf.read(StringIO(Path(loaded.value.path()).read_text(encoding="utf-8")))
    insert = next(one for one in moved.modelspace().query("INSERT") if one.dxf.name == "LOADER")
    assert insert.dxf.insert.x == pytest.approx(-420.0)
    with page.expect_download() as loaded:
        page.get_by_role("link", name="SVG, 1:").click()
    assert "when printed at" in Path(loaded.value.path()).read_text(encoding="utf-8")


def test_another_window_is_told(page: Page) -> None:
    """What is typed elsewhere is said on this page too, and the way to see it leads back here."""
    floor_page(page, "Axle cell")
    other = second(page)
    typed(other, "floor_items[6].right", "8 in")
    expect(page.locator("#elsewhere")).to_contain_text("Right side (transformer)")
    page.get_by_role("link", name="Show it as it is now").click()
    expect(page.locator("#floor-verdict")).to_have_text("✗ Something is in the way")


def test_names_without_end(entered: Callable[..., Page]) -> None:
    """A thing whose name has no end is shortened in the picture and wrapped elsewhere; nothing scrolls sideways."""
    page = entered(viewport={"width": 390, "height": 844})
    floor_page(page, "Axle cell")
    typed(page, "floor_items[5].name", "W" * 200)
    page.reload()
    expect(page.locator("#floor-checks")).to_contain_text("W" * 100)
    assert page.evaluate("document.documentElement.scrollWidth") <= 390


def every_state(page: Page) -> dict[str, Callable[[], object]]:
    """The page in its states, each by how one gets there."""

    def of(title: str, *, opened: bool = False) -> Callable[[], object]:
        def reach() -> None:
            floor_page(page, title)
            if opened:
                for summary in page.locator("#floor-answer details > summary, details.entry-folded > summary").all()[:4]:
                    summary.click()

        return reach

    def with_faults() -> None:
        floor_page(page, "Axle cell")
        for path, text in (("floor_items[6].right", "8 in"), ("floor_items[5].height", ""), ("floor_items[5].left", "20")):
            typed(page, path, text)

    def with_a_plan() -> None:
        floor_page(page, "Axle cell")
        read_in(page, plan_file("mm"))

    def refused() -> None:
        floor_page(page, "Shell cell")
        read_in(page, plan_file("in", stated=False))

    def blank() -> None:
        begin(page, "Empty cell")
        page.goto(address(page, f"/jobs/{job_of(page)}/floor"))

    return {
        "no placement yet": blank,
        "nothing stands there yet": of("Spacer cell"),
        "everything has its room": of("Axle cell", opened=True),
        "simple": of("Shell cell"),
        "with faults": with_faults,
        "with a building's plan": with_a_plan,
        "a plan refused": refused,
    }


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_every_state_is_accessible(entered: Callable[..., Page], watch: Watch, scheme: Scheme) -> None:
    """axe finds no violation of WCAG 2.0 to 2.2, levels A and AA, in any state of the page."""
    watch.expected = ("422",)
    page = entered(bypass_csp=True, color_scheme=scheme, reduced_motion="reduce")
    assert violations(page, every_state(page)) == {}


@pytest.mark.parametrize("width", [768, 390])
def test_every_state_fits_the_screen(entered: Callable[..., Page], watch: Watch, width: int) -> None:
    """Nothing scrolls sideways, what can be touched is at least 44 px, and no chosen word is cut off."""
    watch.expected = ("422",)
    page = entered(viewport={"width": width, "height": 900})
    assert misfits(page, every_state(page), width=width) == {}


def test_what_is_printed(page: Page) -> None:
    """On paper is no navigation, no button and no field; sentence, plan, marks with room to write, and cautions are there."""
    floor_page(page, "Axle cell")
    put_on_paper(page, "nav", "button", ".button", ".field", "#floor-slide")
    expect(page.locator("#spoken")).to_be_visible()
    for picture in ("#floor-wide", "#floor-marks .only-wide"):
        expect(page.locator(f"{picture} svg")).to_be_visible()
    expect(page.locator(".only-print").first).to_contain_text("Axle cell (copy)")
    assert sum(box.is_visible() for box in page.locator("#floor-marks .box-to-write").all()) >= 6
    expect(page.get_by_text("no approval of a slab or an anchor")).to_be_visible()
