"""Files gone wrong at random: whatever is in them, they are read, or refused with problems that can be told; nothing else."""

from __future__ import annotations

import json
from collections.abc import Callable

from hypothesis import given, settings
from hypothesis import strategies as st

from standoff.errors import CODES, JobFileError, UsageError
from standoff.job.demonstration import NAMES, text_of
from standoff.job.file import parse_job
from standoff.job.keys import keys
from standoff.job.placement import place
from standoff.job.refusal import as_json, refusal
from standoff.job.revision import revised
from standoff.job.speech import headline, spoken, why
from standoff.job.tables import JobFile
from tests.texts import FIXED, SLIDING, problems

TEXTS = [SLIDING, FIXED, *map(text_of, NAMES)]
JUNK = [
    *(
        '""',
        '" "',
        '"22"',
        '"22 in"',
        '"-3 mm"',
        '"0 mm"',
        '"1e3 mm"',
        '"1,200 mm"',
        '"12 ft 6 1/2 in"',
        '"½″"',
        '"8 in ± 1/16 in"',
    ),
    *('"999 m"', '"inf mm"', '"a\\u0000b"', "'''\n44 mm'''", '"""44 mm"""', '"sliding"', '"fixed"', '"negative"', '"telescopic"'),
    *("0", "-1", "22", "1_000", "0xff", f"1{'0' * 400}", "1.5", "1e999", "-inf", "nan", "true", "false"),
    *("2024-05-01", "08:30:00", "2024-05-01T08:30:00Z", "2024-02-30"),
    *("[]", "[[]]", '["22 in"]', '["22 in", "23 in"]', '["22 in", 23]', "[1, 2]", "[{}]", '[{ value = "22 in" }, "23 in"]'),
    *(
        "{}",
        '{ value = "22 in" }',
        "{ value = 22 }",
        '{ value = "22 in", source = "tape", uncertainty = "1 mm" }',
        "{ a.b.c = 1 }",
    ),
    *('{ value = "22 in", sauce = "tape" }', '{ value = "22 in", uncertainty = "0 mm" }', '{ name = "x", length = "1 in" }'),
    *("", "nothing", '"', "[", "{", "# comment"),
]
HEADERS = ["[job]", "[[job]]", "[lathe]", "[lathe.modes]", "[[lathe.modes]]", "[nose]", "[[nose]]", "[[fittings]]", "[fittings]"]
HEADERS += ["[rules]", "[[check]]", "[[remedy]]", "[[return_reading]]", "[[symptom]]", "[prices]", "[x.y.z]", "[]", "[[", "x"]

Edit = Callable[[list[str], int, str, str], None]


def swap_value(lines: list[str], at: int, junk: str, _: str) -> None:
    """Another value behind the key of a line."""
    key, found, _ = lines[at].partition(" = ")
    if found:
        lines[at] = f"{key} = {junk}"


def delete(lines: list[str], at: int, _: str, __: str) -> None:
    """A line less."""
    del lines[at]


def repeat(lines: list[str], at: int, _: str, __: str) -> None:
    """A line twice."""
    lines.insert(at, lines[at])


def head(lines: list[str], at: int, _: str, header: str) -> None:
    """A header in the midst of a table."""
    lines.insert(at, header)


def rename(lines: list[str], at: int, junk: str, _: str) -> None:
    """A key with a letter more, or quoted junk for a key."""
    key, found, value = lines[at].partition(" = ")
    if found:
        lines[at] = f"{key}s = {value}" if len(junk) % 2 else f"{json.dumps(junk)} = {value}"


def move(lines: list[str], at: int, _: str, __: str) -> None:
    """A line at the end of the file."""
    lines.append(lines.pop(at))


def truncate(lines: list[str], at: int, _: str, __: str) -> None:
    """A file that ends in the midst of a line."""
    lines[at] = lines[at][: len(lines[at]) // 2]
    del lines[at + 1 :]


EDITS: list[Edit] = [swap_value, swap_value, swap_value, delete, repeat, head, rename, move, truncate]
ONE_EDIT = st.tuples(st.sampled_from(EDITS), st.integers(0, 200), st.sampled_from(JUNK), st.sampled_from(HEADERS))


def mutilated(text: str, edits: list[tuple[Edit, int, str, str]]) -> str:
    """The text after these edits."""
    lines = text.split("\n")
    for edit, at, junk, header in edits:
        if lines:
            edit(lines, at % len(lines), junk, header)
    return "\n".join(lines)


def judge(text: str) -> None:
    """A text is a job that can be placed and spoken of, or its problems can be told, each once."""
    found = problems(text)
    for problem in found:
        assert problem.code in CODES
        assert problem.line is None or 1 <= problem.line <= text.count("\n") + 1
        assert problem.found
        assert problem.sentence().endswith(".")
    assert len({(problem.code, problem.field) for problem in found}) == len(found)
    assert as_json(refusal(found))
    if found:
        return
    placement = place(parse_job(text))
    assert headline(placement)
    assert spoken(placement).endswith(".")
    assert why(placement).endswith("." if not placement.window.empty else "")


@settings(max_examples=400)
@given(st.sampled_from(TEXTS), st.lists(ONE_EDIT, min_size=1, max_size=6))
def test_a_mutilated_file_is_read_or_refused(text: str, edits: list[tuple[Edit, int, str, str]]) -> None:
    """Lines deleted, doubled, moved and cut off, keys and values swapped for junk of every type of TOML."""
    judge(mutilated(text, edits))


@settings(max_examples=150)
@given(st.text(alphabet="ab=\"[]{}.,#'\\ \n\r\t\ufeff½0-9", max_size=60), st.integers(0, 2000))
def test_characters_strewn_in_are_read_or_refused(strewn: str, at: int) -> None:
    """Any characters at any place."""
    judge(SLIDING[:at] + strewn + SLIDING[at:])


JSON = st.recursive(
    st.none() | st.booleans() | st.integers(-(10**30), 10**30) | st.floats() | st.text(max_size=8),
    lambda inner: (
        st.lists(inner, max_size=3) | st.dictionaries(st.sampled_from(["value", "name", "source", "x"]), inner, max_size=3)
    ),
    max_leaves=6,
)


def toml(value: object) -> str:
    """A value as TOML would have it; nothing is an empty text."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, str):
        return json.dumps(value).replace("\\ud", "\\u0d")
    if isinstance(value, list):
        return f"[{', '.join(map(toml, value))}]"
    if isinstance(value, dict):
        return f"{{ {', '.join(f'{key} = {toml(inner)}' for key, inner in value.items())} }}"
    return '""' if value is None else str(value)


@settings(max_examples=200)
@given(st.sampled_from([key for key, _, _ in keys(JobFile)]), JSON)
def test_any_value_at_the_top_is_read_or_refused(key: str, value: object) -> None:
    """A table or list of the file replaced by anything at all."""
    kept = [block for block in SLIDING.split("\n\n") if not block.startswith((f"[{key}]", f"[[{key}"))]
    judge(f"{key} = {toml(value)}\n" + "\n\n".join(kept))


@settings(max_examples=200)
@given(
    st.lists(ONE_EDIT, max_size=3),
    st.text(alphabet="lathe.modes[01]xnrq_ ", max_size=20)
    | st.sampled_from(["nose.collapsed", "lathe.modes[1].z_front", "rules.x"]),
    st.sampled_from([None, "1 mm", {"value": "1 mm"}, ["1 mm", "2 mm"], {"value": "a ½\n"}]),
)
def test_a_mutilated_file_is_revised_or_refused(edits: list[tuple[Edit, int, str, str]], field: str, value: object) -> None:
    """Writing back refuses what it cannot do with the package's own errors, and what it writes can be read again."""
    text = mutilated(SLIDING, edits)
    try:
        result = revised(text, {field: value})
    except (JobFileError, UsageError):
        return
    judge(result)
