"""The documentation is true: generated pages are fresh, shown outputs are real, links lead somewhere, nothing is left out."""

from __future__ import annotations

import re
from collections.abc import Iterator
from importlib import import_module
from pathlib import Path

import click
import pytest

from docs.examples import rewritten
from docs.make_reference import pages
from standoff.cli import COMMANDS
from standoff.errors import CODES
from standoff.job.demonstration import text_of
from standoff.job.file import parse_job
from standoff.job.guide import STOPS
from standoff.job.keys import keys, table_of
from standoff.job.names import STATION_NAMES
from standoff.job.placement import place
from standoff.job.tables import JobFile
from standoff.reading import SOURCES
from tests.contract.source import ROOT

OUR_WORDS = {
    *("standoff", "carrier", "station", "state", "requirement", "slack", "window", "aim", "remedy", "survey", "as-installed"),
    *("reading", "source", "guard band", "verdict", "sure window"),
}
"""The words of our own: each has one meaning, and the glossary says it."""

TRADE_WORDS = {
    "adapter",
    "main collet",
    "cut-off",
    "cover",
    "clamp",
    "nose",
    "pusher",
    "gripper",
    "fittings",
    "passage",
    "remnant",
}

LINK = re.compile(r'!?\[(?P<text>[^\]]*)\]\((?P<to>[^)\s]+)\)|<img src="(?P<src>[^"]+)"(?P<rest>[^>]*)>')
FENCE = re.compile(r"^```.*?^```$", re.MULTILINE | re.DOTALL)
CODE = re.compile(r"`[^`\n]*`")


def texts() -> dict[str, str]:
    """Every page written for people, by its path from the project's folder."""
    found = [*ROOT.glob("*.md"), *(ROOT / "docs").rglob("*.md"), *(ROOT / "changes").glob("*.md")]
    return {path.relative_to(ROOT).as_posix(): path.read_text(encoding="utf-8") for path in sorted(found)}


def page(name: str) -> str:
    """One page of the documentation."""
    return (ROOT / "docs" / name).read_text(encoding="utf-8")


def anchors(text: str) -> set[str]:
    """The headings of a page as links name them."""
    headings = re.findall(r"^#+ (.+)$", FENCE.sub("", text), re.MULTILINE)
    return {re.sub(r"[^\w\- ]", "", heading.lower()).strip().replace(" ", "-") for heading in headings}


def broken(name: str, text: str, folder: Path = ROOT) -> Iterator[str]:
    """The links and pictures of a page that lead nowhere, and the pictures that nobody is told of who cannot see them."""
    for found in LINK.finditer(CODE.sub("", FENCE.sub("", text))):
        target, _, anchor = (found["to"] or found["src"]).partition("#")
        picture = found[0].startswith(("!", "<"))
        if picture and not (found["text"] or re.search(r'alt="[^"]{20,}"', found["rest"] or "")):
            yield f"{name}: {target} has no text for those who cannot see it"
        if "://" in target:
            continue
        path = folder / Path(name).parent / target if target else folder / name
        if not path.is_file():
            yield f"{name}: {target} is not there"
        elif anchor and anchor not in anchors(path.read_text(encoding="utf-8")):
            yield f"{name}: {target} has no heading #{anchor}"


def test_generated_pages_are_fresh() -> None:
    """Reference, validation table, picture and shown outputs are as the program has them now."""
    stale = [name for name, text in pages() if (ROOT / name).read_text(encoding="utf-8") != text]
    assert stale == [], "run: python -m docs.make_reference"


@pytest.mark.parametrize(
    "block",
    [
        "```console\n$ standoff check standoff-demo/shell-cell.toml\nall is well\n```",
        "```console\n$ standoff place standoff-demo/shell-cell.toml\nShell cell\n...\n```",
        "```console\n$ standoff check nothing.toml\n...\n$ echo $?\n0\n```",
    ],
)
def test_an_output_that_is_not_real_is_found(block: str) -> None:
    """A shown line, a first line before what is left out, or a status that the command does not give is put right."""
    assert rewritten(block) != block
    assert rewritten(rewritten(block)) == rewritten(block)


def test_examples_build_up_a_file() -> None:
    """A block that names a file is added to it; other programs' commands are left alone."""
    text = "```toml a.toml\nformat = 1\n```\n\n```console\n$ py dev.py demo\nanything\n$ standoff check a.toml\n```\n"
    told = rewritten(text)
    assert "anything\n$ standoff" in told
    assert "a.toml:1 format" in told


def test_every_error_code_is_documented() -> None:
    """The page of errors lists every code with its meaning, and no other."""
    listed = re.findall(r"^\| `([a-z-]+)` \| (.+) \|$", page("reference/errors.md"), re.MULTILINE)
    assert dict(listed) == dict(CODES)


def test_every_command_and_option_is_documented() -> None:
    """Each command has its heading, each option its line."""
    sections = dict(re.findall(r"^## standoff (\w+)$(.*?)(?=^## |\Z)", page("reference/commands.md"), re.MULTILINE | re.DOTALL))
    assert list(sections) == list(COMMANDS)
    for name, (module, _) in COMMANDS.items():
        for parameter in import_module(module).command.params:
            if isinstance(parameter, click.Option):
                assert all(
                    f"`{option}" in sections[name] or f"/ {option}" in sections[name] for option in option_names(parameter)
                )


def option_names(option: click.Option) -> list[str]:
    """What an option is called on the command line."""
    return [*option.opts, *option.secondary_opts]


def test_every_key_source_and_station_is_documented() -> None:
    """The page of the job file has a row for each key of each table, each source and each station."""
    text = page("reference/job-file.md")
    every = [key for table in tables(JobFile) for key, _, _ in keys(table) if table_of(table, key) is table]
    assert len(every) > 60
    assert [key for key in (*every, *SOURCES, *STATION_NAMES) if f"| `{key}` |" not in text] == []


def tables(table: type) -> Iterator[type]:  # type: ignore[type-arg]
    """A table and all below it."""
    yield table
    for key, _, _ in keys(table):
        if table_of(table, key) is not table:
            yield from tables(table_of(table, key))


def test_links_and_pictures_lead_somewhere() -> None:
    """No relative link, anchor or picture of any page is broken."""
    found = texts()
    assert {"README.md", "CONTRIBUTING.md", "docs/glossary.md"} <= set(found)
    assert [offence for name, text in found.items() for offence in broken(name, text)] == []


@pytest.mark.parametrize(
    "text",
    [
        "see [this](nowhere.md)",
        "see [this](b.md#no-such-heading)",
        "see [this](#not-here)",
        "![](p.svg)",
        '<img src="p.svg" width="640">',
        "![a picture that is not there](q.svg)",
    ],
)
def test_a_broken_link_is_found(text: str, tmp_path: Path) -> None:
    """A missing file, heading, picture or text for a picture is an offence."""
    (tmp_path / "a.md").write_text(text)
    (tmp_path / "b.md").write_text("# A heading\n")
    (tmp_path / "p.svg").write_text("<svg/>")
    assert len(list(broken("a.md", text, tmp_path))) == 1
    assert list(broken("a.md", "[b](b.md#a-heading) ![a picture](p.svg) `[no](link.md)`", tmp_path)) == []


def test_glossary_has_our_words() -> None:
    """Our words and the trade's stand in the glossary, in order, one line and one meaning each."""
    ours, trade = (
        re.findall(r"^- \*\*(.+?)\*\*: (.+)$", part, re.MULTILINE) for part in page("glossary.md").split("## The trade's")
    )
    for words in (ours, trade):
        assert [word for word, _ in words] == sorted({word for word, _ in words})
    assert {word for word, _ in ours} >= OUR_WORDS
    assert {word for word, _ in trade} >= TRADE_WORDS
    assert page("glossary.md").count("\n- ") == len(ours) + len(trade)


def test_measuring_asks_for_everything_in_the_surveys_order() -> None:
    """The how-to names every dimension of the guided survey, in the order in which the survey asks for them."""
    chapters = re.split(r"^## \d\. ", page("how-to/measure-a-lathe.md"), flags=re.MULTILINE)[1:]
    assert len(chapters) == len(STOPS)
    for stop, chapter in zip(STOPS, chapters, strict=True):
        fields = dict.fromkeys(re.sub(r"\[i\]", "[]", re.sub(r"\[\d\]", "", step.field)) for step in stop.steps)
        assert [field for field in fields if f"`{field}`" not in chapter] == [], stop.title


def test_tutorial_describes_the_demonstration_job() -> None:
    """The file that the tutorial builds up has the window and the aim of the demonstration job of the same name."""
    blocks = re.findall(r"^```toml axle-cell\.toml\n(.*?)^```$", page("tutorial/first-placement.md"), re.MULTILINE | re.DOTALL)
    built, own = (place(parse_job(text)) for text in ("\n".join(blocks), text_of("axle-cell")))
    assert (built.window, built.aim_mm) == (own.window, own.aim_mm)


def test_invented_examples_say_so() -> None:
    """A page that names the works of the examples says that they are invented."""
    naming = [name for name, text in texts().items() if "Tramshed" in text]
    assert naming
    assert [name for name in naming if "invented" not in texts()[name]] == []
