"""Write what is generated in the documentation: `python -m docs.make_reference` from the project's folder.

The reference pages are read off the declarations they describe, the validation page off the tests, the picture is what the
program draws, and every shown output is what the command prints now. A test fails while anything of it is out of date.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

from docs.commands import commands_page
from docs.examples import rewritten
from docs.job_file import job_file_page
from docs.published import validation_page
from standoff.cli import INTERNAL_STATUS, INTERRUPTED_STATUS
from standoff.desk.jobs import demonstration
from standoff.desk.placement import drawing, placement_of_text
from standoff.errors import CODES, JobFileError

ROOT = Path(__file__).resolve().parents[1]
WITH_EXAMPLES = (
    "README.md",
    "docs/tutorial/first-placement.md",
    "docs/how-to/measure-a-lathe.md",
    "docs/how-to/set-a-bar-speed.md",
    "docs/how-to/prove-the-cycle.md",
    "docs/how-to/plan-the-stock.md",
    "docs/how-to/run-off.md",
    "docs/how-to/plan-the-floor.md",
    "docs/how-to/level-and-align.md",
)
NOTICE = "<!-- Written by docs/make_reference.py: change what it reads, then run it. -->\n\n"


def pages() -> Iterator[tuple[str, str]]:
    """Every generated file by its path from the project's folder, with the text it should have."""
    yield "docs/reference/job-file.md", NOTICE + job_file_page()
    yield "docs/reference/commands.md", NOTICE + commands_page()
    yield "docs/reference/errors.md", NOTICE + errors_page()
    yield "docs/validation/index.md", NOTICE + validation_page(ROOT / "tests" / "published")
    yield "docs/pictures/axle-cell.svg", drawing(placement_of_text(demonstration("axle-cell")))
    for name in WITH_EXAMPLES:
        yield name, rewritten((ROOT / name).read_text(encoding="utf-8"))


def errors_page() -> str:
    """The page of error codes."""
    rows = "\n".join(f"| `{code}` | {meaning} |" for code, meaning in CODES.items())
    example = re.sub(r"pusher_reach = .*", "pusher_reach = 44", demonstration("axle-cell"))
    try:
        placement_of_text(example, file="axle-cell.toml")
    except JobFileError as error:
        told = str(error)
    return f"""\
# Errors

Every error is one sentence: where it is, what was found, what was expected, and what to do next.

    {told}

All errors of a job file come at once. With `--json` each carries its code, file, line and field; the codes below stay the same
from version to version. Unusable input ends with exit status 2, a fault of the program with {INTERNAL_STATUS}, a command that
was stopped with {INTERRUPTED_STATUS}. That a pair does not fit is an answer, not an error.

| code | what was found |
| --- | --- |
{rows}
"""


def main() -> None:
    """Write every page that is out of date."""
    for name, text in pages():
        path = ROOT / name
        if path.exists() and path.read_text(encoding="utf-8") == text:
            continue
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8", newline="\n")
        print(f"written: {name}")


if __name__ == "__main__":
    main()
