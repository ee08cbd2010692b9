"""Find, begin, copy, archive, import and export a job."""

from __future__ import annotations

from pathlib import Path

from playwright.sync_api import Page, expect

from tests.browser.conftest import Watch
from tests.browser.errands import begin, copy_of
from tests.texts import SLIDING


def test_the_demonstrations_are_there_with_their_verdicts(page: Page) -> None:
    """The first start shows the five demonstration jobs, each with its state in words."""
    expect(page.locator(".card h2")).to_contain_text(
        ["Axle cell", "Spoke-nipple cell", "Shell cell", "Spacer cell", "Moved cell"]
    )
    card = page.locator(".card").filter(has_text="Spoke-nipple cell")
    expect(card.locator(".verdict")).to_have_text("✗ Does not fit")


def test_a_job_is_found_by_its_place(page: Page) -> None:
    """The search finds by title and place, and says so when nothing is found."""
    page.get_by_label("Title or place").fill("spacer bay 2")
    page.get_by_role("button", name="Find").click()
    expect(page.locator(".card h2")).to_have_text(["Spacer cell"])
    page.get_by_label("Title or place").fill("no such place")
    page.keyboard.press("Enter")
    expect(page.get_by_text("No job has “no such place”")).to_be_visible()


def test_a_blank_job_begins_with_the_survey(page: Page) -> None:
    """A new job opens at its survey and says how much is wanted."""
    begin(page, "Hub line", units="mm")
    expect(page.locator("#survey-state .verdict")).to_contain_text("of")
    expect(page.get_by_role("navigation", name="Steps of the job")).to_contain_text("Hub line")


def test_a_job_is_begun_from_another_survey(page: Page) -> None:
    """A copy carries the readings over and leaves the first job as it was."""
    copy_of(page, "Axle cell")
    expect(page.locator("#f-loader-pusher-reach")).to_have_value("44 1/2 in")
    expect(page.locator("#f-job-title")).to_have_value("Axle cell (copy)")


def test_a_job_is_archived_and_brought_back(page: Page) -> None:
    """An archived job leaves the list, stands in the archive, and comes back."""
    begin(page, "To be put away")
    page.get_by_role("link", name="All jobs").click()
    page.get_by_role("button", name="Archive To be put away").click()
    expect(page.get_by_role("link", name="To be put away", exact=True)).to_have_count(0)
    page.get_by_role("link", name="Archived jobs").click()
    page.get_by_role("button", name="Bring back To be put away").click()
    page.get_by_role("link", name="Jobs at hand").click()
    expect(page.get_by_role("link", name="To be put away", exact=True)).to_be_visible()


def test_a_job_file_goes_in_and_comes_out_unchanged(page: Page, paper: Path) -> None:
    """What is taken in as a file is handed out with the same text."""
    file = paper / "pedal.toml"
    file.write_text(SLIDING, encoding="utf-8")
    page.get_by_label("Job file").set_input_files(file)
    page.get_by_role("button", name="Take it in").click()
    expect(page.locator("#spoken")).to_contain_text("behind the adapter")
    page.get_by_role("link", name="All jobs").click()
    with page.expect_download() as download:
        page.get_by_role("link", name="Save as file (Pedal cell)").first.click()
    assert download.value.suggested_filename == "pedal-cell.toml"
    assert Path(download.value.path()).read_text(encoding="utf-8") == SLIDING


def test_a_file_that_is_none_is_refused_with_every_reason(page: Page, watch: Watch, paper: Path) -> None:
    """A job file with two faults is refused on a page that names both, with field and line."""
    watch.expected = ("422",)
    file = paper / "wrong.toml"
    file.write_text(SLIDING.replace('"600 mm"', '"600"').replace('"1120 mm"', '"1,120 mm"', 1), encoding="utf-8")
    page.get_by_label("Job file").set_input_files(file)
    page.get_by_role("button", name="Take it in").click()
    expect(page.locator(".note.clash")).to_have_count(2)
    expect(page.locator(".note.clash").first).to_contain_text("lathe.adapter_to_collet")
