"""Everything that can be typed wrong stays on screen beside its reason, also after a reload; nothing fails at the server."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, expect

from tests.browser.errands import copy_of, field, slug, type_into
from tests.unit.test_job_file import LENGTHS
from tests.unit.test_units import REFUSED

REACH = "loader.pusher_reach"
BAD = list(
    dict.fromkeys(text.strip() for text in (*LENGTHS.values(), *(text for text, _ in REFUSED)) if text.strip(" \u00a0\ufeff"))
)
VALID_WHEN_TRIMMED = ("22 in", "1 ± 1 mm")
"""Blanks around a length are taken off by the form, and with ± it is a length with its limits of error."""
ODD = (
    "1120 mm ±",
    "1120 mm ± -1 mm",
    "-1120 mm",
    "0",
    "'; DROP TABLE job; --",
    "<script>alert(1)</script>",
    "{{ 7 * 7 }}",
    '"44 in"',
    "44 in\\n[job]",
    "9" * 180 + " mm",
    "-99999999 in",
    "四十四 in",
    "🪛",
)
IN_OTHER_FIELDS = {
    "lathe.modes[1].name": "guide-bushing",
    "lathe.modes[1].z_front": "6 in",
    "lathe.modes[0].z_bar_change": "99 in",
    "rules.longest_bar": "13 ft",
    "loader.centre_height[0]": "60 in",
    "nose.extended": "9 in",
    "lathe.centre_height": "-41 in",
    "fittings[0].length": "-1 in",
    "nose.may_be_cut": "1",
    "lathe.modes[0].loader_shift": "x in",
}
"""What the checks between fields refuse, typed into a job that was right before."""


def test_every_bad_length_stays_with_its_reason(page: Page) -> None:
    """Each text of the tests of lengths and job files, and odd ones besides, stands in the field with a reason to act on."""
    copy_of(page, "Axle cell")
    box, control = field(page, REACH), page.locator(f"#f-{slug(REACH)}")
    for text in (*(text for text in BAD if text not in VALID_WHEN_TRIMMED), *ODD):
        type_into(page, REACH, text)
        expect(control).to_have_value(text)
        expect(control).to_have_attribute("aria-invalid", "true")
        said = box.locator(".said.wrong")
        expect(said).to_contain_text("Not taken over: ")
        expect(said).to_contain_text("The answer uses the last value that was right.")
        expect(page.locator("#survey-state")).to_contain_text("is not taken over")
    page.reload()
    expect(control).to_have_value(ODD[-1])
    expect(box.locator(".said.wrong")).to_be_visible()
    page.get_by_role("link", name="Placement").click()
    expect(page.get_by_text("this answer uses the last value that was right")).to_be_visible()


@pytest.mark.parametrize("path", IN_OTHER_FIELDS)
def test_what_contradicts_another_field_stays_too(page: Page, path: str) -> None:
    """A value that another field forbids stays on screen with its reason, and the answer stays what it was."""
    copy_of(page, "Axle cell")
    type_into(page, path, IN_OTHER_FIELDS[path])
    expect(page.locator(f"#f-{slug(path)}")).to_have_value(IN_OTHER_FIELDS[path].removeprefix("-" if "shift" in path else ""))
    expect(field(page, path).locator(".said.wrong")).to_contain_text("Not taken over: ")
    page.get_by_role("link", name="Placement").click()
    expect(page.locator("#verdict")).to_have_text("✓ Fits")


def test_limits_of_error_that_are_none_stay(page: Page) -> None:
    """An uncertainty that cannot be read, and one stated twice, stay with the reason."""
    copy_of(page, "Axle cell")
    field(page, REACH).locator("summary").click()
    off = page.locator(f"#f-{slug(REACH)}-off")
    for text in ("abc", "-1 mm", "1/16"):
        off.fill(text)
        off.press("Enter")
        expect(field(page, REACH).locator(".said.wrong")).to_be_visible()
        expect(off).to_have_value(text)


def test_very_long_names_break_nothing(page: Page) -> None:
    """A title of 200 characters without a blank is kept, and no page grows wider than the screen."""
    copy_of(page, "Axle cell")
    type_into(page, "job.title", "W" * 200)
    type_into(page, "lathe.name", "sliding-headstock lathe with a name that never ends " * 3)
    page.set_viewport_size({"width": 390, "height": 844})
    for name in ("Survey", "Placement", "Move it", "History"):
        link = page.get_by_role("navigation", name="Steps of the job").get_by_role("link", name=name)
        link.click()
        expect(link).to_have_attribute("aria-current", "page")
        assert page.evaluate("document.documentElement.scrollWidth") <= 390, name
    page.get_by_role("link", name="All jobs").click()
    expect(page.get_by_role("heading", name="Jobs", exact=True)).to_be_visible()
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
