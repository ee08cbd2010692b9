"""The job file: every mistake once, all of them in one run, each with its place and what to do; and what is accepted."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path

import pytest

from standoff.desk.level import level_of_file
from standoff.desk.papers import write_whole
from standoff.errors import CODES, JobFileError, MissingFileError, Problem, StandoffError
from standoff.job.demonstration import text_of
from standoff.job.file import LARGEST_BYTES, field_path, file_text, parse_job, read_draft, read_job
from tests.floors import MISTAKES as FLOOR_MISTAKES
from tests.levelling import MISTAKES as LEVEL_MISTAKES
from tests.runoffs import OTHER_CODES, RUNOFF_MISTAKES
from tests.texts import FIXED, SLIDING, altered, named, problems, without_table
from tests.turning import BAR_MISTAKES, PART_MISTAKES

REACH = "loader.pusher_reach"
CHECK = '[[check]]\nfrom = "{start}"\nto = "{end}"\nstate = "front limit"\nvalue = "{value}"\n'
AGAIN = '[as_installed]\nstandoff = "300 mm"\n\n[[return_reading]]\n{keys}\nvalue = "300 mm"\n'

Changes = Mapping[str, str | None]

# Code -> the keys that provoke it, the field it names, and tables that have to be there besides.
MISTAKES: dict[str, tuple[Changes, str, str]] = {
    "file-syntax": ({"job.title": "Pedal cell"}, "", ""),
    "file-format": ({"format": '"standoff-answer/1"'}, "format", ""),
    "file-newer": ({"format": '"standoff-job/2"'}, "format", ""),
    "key-missing": ({REACH: None}, REACH, ""),
    "key-unknown": ({"loader.colour": '"grey"'}, "loader.colour", ""),
    "value-kind": ({"loader.name": "12"}, "loader.name", ""),
    "value-choice": ({"job.units": '"inches"'}, "job.units", ""),
    "value-sign": ({REACH: '"-1120 mm"'}, REACH, ""),
    "name-twice": ({"lathe.modes[1].name": '"guide-bushing"'}, "lathe.modes[1].name", ""),
    "headstock-modes": ({"lathe.headstock": '"fixed"'}, "lathe.modes", ""),
    "z-forward-missing": ({"lathe.z_forward": None}, "lathe.z_forward", ""),
    "z-order": ({"lathe.modes[1].z_front": '"150 mm"'}, "lathe.modes[1].z_front", ""),
    "bar-change-outside": ({"lathe.modes[0].z_bar_change": '"191 mm"'}, "lathe.modes[0].z_bar_change", ""),
    "bar-too-long": ({"rules.longest_bar": '"3661 mm"'}, "rules.longest_bar", ""),
    "range-reversed": ({"loader.centre_height": '["1120 mm", "960 mm"]'}, "loader.centre_height", ""),
    "nose-lengths": ({"nose.extended": '"252 mm"'}, "nose.extended", ""),
    "nose-kind": ({"nose.length": '"355 mm"'}, "nose.length", ""),
    "nose-entry": ({"nose.least_engagement": '"12 mm"'}, "nose.entry_depth", ""),
    "rule-order": ({"rules.nose_clearance_preferred": '"5 mm"'}, "rules.nose_clearance_preferred", ""),
    "quantity-form": ({REACH: "2024-05-01"}, REACH, ""),
    "quantity-list-empty": ({REACH: "[]"}, REACH, ""),
    "quantity-key-unknown": ({REACH: '{ value = "1120 mm", sauce = "tape" }'}, REACH, ""),
    "quantity-value-missing": ({REACH: '{ source = "tape" }'}, REACH, ""),
    "uncertainty-form": ({REACH: '"1120 mm ±"'}, REACH, ""),
    "uncertainty-twice": ({REACH: '{ value = "1120 mm ± 1 mm", uncertainty = "1 mm" }'}, REACH, ""),
    "uncertainty-negative": ({REACH: '"1120 mm ± -1 mm"'}, REACH, ""),
    "source-unknown": ({REACH: '{ value = "1120 mm", source = "tap" }'}, f"{REACH}.source", ""),
    "station-unknown": ({}, "check[0].to", CHECK.format(start="adapter", end="spindle", value="600 mm")),
    "station-twice": ({}, "check[0].to", CHECK.format(start="adapter", end="adapter", value="600 mm")),
    "standoff-missing": ({}, "check[0].standoff", CHECK.format(start="clamp", end="adapter", value="300 mm")),
    "reading-exact": ({}, "check[0].value", CHECK.format(start="adapter", end="main-collet", value="600 mm ± 0 mm")),
    "mode-unknown": ({}, "remedy[0].mode", '[[remedy]]\nkind = "front-limit"\nmode = "turning"\n'),
    "fitting-unknown": ({}, "remedy[0].fitting", '[[remedy]]\nkind = "fitting"\nfitting = "plate"\nlength = "6 mm"\n'),
    "currency-missing": ({}, "remedy[0].cost", '[[remedy]]\nkind = "cut-nose"\ncost = 180.0\n'),
    "reading-of-what": ({}, "return_reading[0]", AGAIN.format(keys='note = "x"').replace('note = "x"\n', "")),
    "field-unknown": ({}, "return_reading[0].quantity", AGAIN.format(keys='quantity = "loader.reach"')),
}

# Code -> a length that provokes it.
LENGTHS = {
    "length-empty": "",
    "length-too-long": f"{'1' * 70} mm",
    "length-too-large": "1001 m",
    "length-not-finite": "inf mm",
    "length-exponent": "1e3 mm",
    "length-without-number": "mm",
    "length-without-unit": "1120",
    "length-character": "1120 mm; cold",
    "length-sign-inside": "11-20 mm",
    "length-unit-unknown": "44 inn",
    "length-unit-ambiguous": "1.1 M",
    "length-mixed-systems": "3 ft 20 mm",
    "length-parts": "44 in 2 in",
    "length-two-numbers": "44 2 in",
    "length-separators": "1.120.5 mm",
    "length-comma-ambiguous": "1,120 mm",
    "length-number": "1/2/4 in",
    "length-decimal-with-fraction": "44.5 1/2 in",
    "length-fraction-improper": "44 3/2 in",
    "length-zero-denominator": "44 1/0 in",
    "length-feet-not-whole": "3.5 ft 2 in",
    "length-inches-beside-feet": "3 ft 12 in",
}


def too_large(folder: Path) -> None:
    """Read a file that is larger than any job file."""
    (folder / "large.toml").write_bytes(b"#" * (LARGEST_BYTES + 1))
    read_job(folder / "large.toml")


def of_another_encoding(folder: Path) -> None:
    """Read a file that an old editor wrote."""
    (folder / "old.toml").write_bytes(SLIDING.replace("Pedal", "Pédale").encode("latin-1"))
    read_job(folder / "old.toml")


def nothing_read(folder: Path) -> None:
    """Ask how the loader lies where nothing was read of it."""
    (folder / "cell.toml").write_text(SLIDING)
    level_of_file(folder / "cell.toml")


def internal(folder: Path) -> None:
    """Raise what no child of the root stands for."""
    raise StandoffError(found="nothing", expected="something", action=f"look into {folder.name}")


# Code -> what provokes it, where it is no mistake inside a job file.
OTHERS: dict[str, Callable[[Path], object]] = {
    "internal": internal,
    "usage": lambda folder: text_of(folder.name),
    "layout-question": lambda folder: parse_job(SLIDING).layout.mode(folder.name),
    "job-file-invalid": lambda folder: parse_job(folder.name),
    "file-missing": lambda folder: read_job(folder / "none.toml"),
    "file-unwritable": lambda folder: write_whole(folder, "a folder is no file"),
    "file-exists": lambda folder: write_whole(folder, "", overwrite=False),
    "file-too-large": too_large,
    "file-encoding": of_another_encoding,
    "level-open": nothing_read,
}


# The store's errors are provoked where the store is tested.
OF_THE_STORE = ("store-", "revision-", "job-unknown")

# The errors of a building's plan are provoked where it is read.
OF_A_PLAN = ("plan-kind", "plan-large", "plan-broken", "plan-unit", "plan-layer", "plan-empty")

# Provoked by a floor that is put together, not by a change of one key.
OF_WALLS = {"wall-twice"}


def test_every_code_is_provoked() -> None:
    """A code of files, keys and values that neither a test of this file nor one of the bars provokes is new or of no use."""
    tables = [set(MISTAKES), set(LENGTHS), set(OTHERS), set(BAR_MISTAKES)]
    assert sum(map(len, tables)) == len(set().union(*tables))
    mistakes = (*PART_MISTAKES, *LEVEL_MISTAKES, *FLOOR_MISTAKES, *RUNOFF_MISTAKES)
    of_parts = {code for code, _, _ in mistakes} | set(OTHER_CODES) | OF_WALLS
    elsewhere = (*OF_THE_STORE, *OF_A_PLAN)
    assert set().union(*tables) | of_parts == {code for code in CODES if not code.startswith(elsewhere)}


def test_the_texts_of_the_tests_are_jobs() -> None:
    """What the mistakes are planted into has none itself."""
    assert named(SLIDING) == named(FIXED) == []


@pytest.mark.parametrize("code", MISTAKES)
def test_one_mistake_gives_one_message(code: str) -> None:
    """Each mistake gives one message with its code, its field and its line, and nothing else."""
    changes, field, more = MISTAKES[code]
    (problem,) = problems(altered(SLIDING, changes, more=more))
    assert (problem.code, problem.field, problem.file) == (code, field, "cell.toml")
    assert problem.line is not None
    assert_speaks(problem)


@pytest.mark.parametrize("code", LENGTHS)
def test_one_bad_length_gives_one_message(code: str) -> None:
    """Each way to write a length wrong is refused once, at the field and line where it stands."""
    text = altered(SLIDING, {REACH: f'"{LENGTHS[code]}"'})
    (problem,) = problems(text)
    assert (problem.code, problem.field) == (code, REACH)
    assert text.splitlines()[(problem.line or 0) - 1].startswith("pusher_reach")
    assert_speaks(problem)


def assert_speaks(problem: Problem) -> None:
    """A problem says what was found, what was expected, and ends in what to do."""
    assert problem.found
    assert problem.expected
    assert problem.action
    told = problem.sentence()
    assert told.startswith(f"cell.toml:{problem.line}")
    assert told.endswith(f"; {problem.action.rstrip('.')}.")
    assert "None" not in told
    assert "datetime" not in told.replace("datetime.date(2024, 5, 1)", "")


@pytest.mark.parametrize("code", OTHERS)
def test_the_other_codes(code: str, tmp_path: Path) -> None:
    """Files that cannot be read or written, and misuse, have their codes too."""
    with pytest.raises(StandoffError) as caught:
        OTHERS[code](tmp_path)
    error = caught.value
    inside = error.problems[0].code if isinstance(error, JobFileError) else error.code
    assert code in (error.code, inside)


TWELVE: dict[str, str | None] = {
    "job.units": '"inch"',
    "lathe.adapter_to_collet": '"600"',
    "lathe.cover_to_wall": '"22 ft 14 in"',
    "lathe.modes[0].z_bar_change": '"300 mm"',
    "lathe.modes[1].name": '"guide-bushing"',
    "lathe.modes[1].z_rear": "150",
    "loader.pusher_reech": '"1120 mm"',
    "loader.pusher_reach": None,
    "loader.gripper_behind_clamp": '"-3020 mm"',
    "nose.collapsed": '{ value = "220 mm", source = "guess" }',
    "nose.length": '"355 mm"',
    "fittings[0].length": None,
    "rules.crush_part": '"elbow"',
}


def test_twelve_mistakes_give_twelve_messages_in_file_order() -> None:
    """All mistakes of a file are named in one run, each once, in the order in which they stand."""
    found = problems(altered(SLIDING, TWELVE))
    assert [(p.code, p.field) for p in found] == [
        ("value-choice", "job.units"),
        ("length-without-unit", "lathe.adapter_to_collet"),
        ("length-inches-beside-feet", "lathe.cover_to_wall"),
        ("bar-change-outside", "lathe.modes[0].z_bar_change"),
        ("name-twice", "lathe.modes[1].name"),
        ("length-without-unit", "lathe.modes[1].z_rear"),
        ("key-unknown", "loader.pusher_reech"),
        ("value-sign", "loader.gripper_behind_clamp"),
        ("nose-kind", "nose.length"),
        ("source-unknown", "nose.collapsed.source"),
        ("key-missing", "fittings[0].length"),
        ("value-choice", "rules.crush_part"),
    ]
    lines = [problem.line or 0 for problem in found]
    assert lines == sorted(lines)
    assert len(set(lines)) == 12


SILENT: list[tuple[Changes, list[tuple[str, str]]]] = [
    ({"lathe.z_forward": "1"}, [("value-choice", "lathe.z_forward")]),
    ({"lathe.headstock": "1"}, [("value-choice", "lathe.headstock")]),
    ({"lathe.z_forward": None, "lathe.z_forwrd": '"positive"'}, [("key-unknown", "lathe.z_forwrd")]),
    ({"nose.overlap": "{ value = 32 }"}, [("length-without-unit", "nose.overlap.value")]),
    ({"nose.collapsed": '["220 mm", "221"]'}, [("length-without-unit", "nose.collapsed[1]")]),
    ({"nose.extended": '"-560 mm"'}, [("value-sign", "nose.extended")]),
    ({"nose.kind": '"rubber"'}, [("value-choice", "nose.kind")]),
    ({"nose.kind": None, "nose.knid": '"telescopic"'}, [("key-unknown", "nose.knid")]),
    ({"nose.least_engagement": '"12 mm"', "nose.entry_depth": "{ value = 20 }"},
     [("length-without-unit", "nose.entry_depth.value")]),
    ({"nose.least_engagement": "12"}, [("length-without-unit", "nose.least_engagement")]),
    ({"rules.nose_clearance": "6", "rules.nose_clearance_preferred": '"5 mm"'},
     [("length-without-unit", "rules.nose_clearance")]),
    ({"rules.bar_change_setback": "75", "lathe.modes[1].z_front": '"210 mm"'},
     [("length-without-unit", "rules.bar_change_setback")]),
    ({"loader.bar_capacity": '"-3660 mm"', "rules.longest_bar": '"3660 mm"'}, [("value-sign", "loader.bar_capacity")]),
    ({"loader.centre_height": '["1200", "1120 mm"]'}, [("length-without-unit", "loader.centre_height[0]")]),
    ({"loader.centre_height": '["-1 mm", "-2 mm"]'},
     [("value-sign", "loader.centre_height[0]"), ("value-sign", "loader.centre_height[1]")]),
    ({"lathe.modes[0].z_bar_change": "{ value = 300 }"}, [("length-without-unit", "lathe.modes[0].z_bar_change.value")]),
    ({"lathe.modes[1].z_rear": '"400"'}, [("length-without-unit", "lathe.modes[1].z_rear")]),
    ({"lathe.modes[1].name": "[]"}, [("value-kind", "lathe.modes[1].name")]),
]  # fmt: skip


@pytest.mark.parametrize(("changes", "expected"), SILENT)
def test_a_refused_value_gives_no_second_message(changes: Changes, expected: list[tuple[str, str]]) -> None:
    """What was refused is neither missing besides nor held against another value or a default."""
    assert named(altered(SLIDING, changes)) == expected


def test_an_unknown_key_beside_the_right_one_hides_nothing() -> None:
    """Only a key that stands for a missing one speaks for it; the checks of a key that is there go on."""
    changes: Changes = {"lathe.modes[1].z_fronts": '"1 mm"', "lathe.modes[1].z_front": '"100 mm"'}
    assert sorted(named(altered(SLIDING, changes))) == [
        ("key-unknown", "lathe.modes[1].z_fronts"),
        ("z-order", "lathe.modes[1].z_front"),
    ]


@pytest.mark.parametrize(
    ("field", "near"),
    [
        ("lathes", "lathe"),
        ("job.Title", "title"),
        ("lathe.cover_to_wal", "cover_to_wall"),
        ("lathe.modes[1].loader_shif", "loader_shift"),
        ("loader.gripper_behind_clam", "gripper_behind_clamp"),
        ("nose.overlaps", "overlap"),
        ("fittings[0].lenght", "length"),
        ("passage[1].bores", "bore"),
        ("bar_path.pusher_id", "pusher_od"),
        ("rules.bar_margins", "bar_margin"),
    ],
)
def test_an_unknown_key_is_told_its_nearest(field: str, near: str) -> None:
    """At every level an unknown key names the nearest known one and the others."""
    found = [p for p in problems(altered(SLIDING, {field: '"1 mm"'})) if p.code == "key-unknown"]
    assert [p.field for p in found] == [field]
    assert found[0].action.startswith(f'write "{near}" (known: ')


def test_a_key_near_to_nothing_is_told_them_all() -> None:
    """Where no key is near, all of the table's are listed."""
    (problem,) = problems(altered(SLIDING, {"job.colour": '"red"'}))
    assert problem.action == "write one of title, site, units"


@pytest.mark.parametrize("table", ["job", "lathe", "loader", "nose"])
def test_a_missing_table_is_one_message(table: str) -> None:
    """A missing table is named once, not with each of its keys."""
    text = without_table(FIXED, f"[{table}]")
    (problem,) = problems(text)
    assert (problem.code, problem.field, problem.expected) == ("key-missing", table, f"a table [{table}]")


def test_an_empty_file_lacks_the_format_and_four_tables() -> None:
    """An empty file is told what every job file has."""
    assert named("") == [("key-missing", name) for name in ("format", "job", "lathe", "loader", "nose")]


def test_a_missing_format_is_told_how_to_write() -> None:
    """The format's message holds the line to write."""
    (problem,) = problems(altered(SLIDING, {"format": None}))
    assert problem.action == 'write format = "standoff-job/1" at the top'


@pytest.mark.parametrize("newer", ["standoff-job/2", "standoff-job/10", f"standoff-job/{'9' * 5000}"])
def test_a_newer_format_is_all_that_is_said(newer: str) -> None:
    """A file of a newer version may hold anything: nothing else of it is judged."""
    (problem,) = problems(altered(SLIDING, {**TWELVE, "format": f'"{newer}"'}))
    assert problem.code == "file-newer"
    assert "newer version of the program" in problem.action


@pytest.mark.parametrize("other", ['"standoff-job/0"', '"standoff-job/²"', '"standoff-job/2.0"', '"toml"', "1", "[]"])
def test_another_format_is_named_beside_the_rest(other: str) -> None:
    """A format that is none of ours is one message, and the rest is judged all the same."""
    found = named(altered(SLIDING, {"format": other, "job.units": '"inch"'}))
    assert found == [("file-format", "format"), ("value-choice", "job.units")]


@pytest.mark.parametrize(
    ("text", "line", "told"),
    [
        ('format = "standoff-job/1"\n[job]\ntitle = Axle\n', 3, "invalid value"),
        ('format = "standoff-job/1"\n[job\n', 2, ""),
        ('[job]\ntitle = "a"\ntitle = "b"\n', 3, "overwrite"),
        ('[job]\ntitle = "a"\n[job]\n', 3, "twice"),
        ('[job]\ntitle = "a', 2, "unterminated"),
        ("a = 2024-02-30\n", 1, "date"),
    ],
)
def test_a_syntax_error_names_its_line(text: str, line: int, told: str) -> None:
    """What TOML cannot read is one message with the line."""
    (problem,) = problems(text)
    assert (problem.code, problem.line) == ("file-syntax", line)
    assert told in problem.found


@pytest.mark.parametrize("text", [f"a = 1{'0' * 5000}", f"a = {'[' * 5000}{']' * 5000}", f"a = {'[' * 900}{']' * 900}"])
def test_text_without_end_is_refused_too(text: str) -> None:
    """Numbers and brackets beyond all measure end in a message as anything else."""
    assert {problem.code for problem in problems(text)} & {"file-syntax", "key-unknown"}


@pytest.mark.parametrize(
    "value",
    [f"1{'0' * 400}", f"0x{'f' * 5000}", "1e999", "-inf", "nan", f"{'[' * 60}{']' * 60}", f"{{ a.{'b.' * 2000}c = 1 }}"],
)
def test_values_without_end_are_refused_once(value: str) -> None:
    """Numbers that no message could show, and tables in tables, are refused at their field."""
    for field in (REACH, "loader.name", "loader.centre_height", "job.units"):
        (problem,) = problems(altered(SLIDING, {field: value}))
        assert problem.field.startswith(field)
        assert len(problem.found) < 200


KINDS = [
    ("loader.name", "12", "12", "text", "write it in quotes"),
    ("loader.name", "true", "true", "text", "write it in quotes"),
    ("loader.name", "2024-05-01", "2024-05-01", "text", "write it in quotes"),
    ("loader.name", '["a"]', "a list of 1", "text", "write it in quotes"),
    ("loader.name", '""', "''", "text that is not empty", "write a name"),
    ("loader.name", f'"{"a" * 201}"', "'aaa", "at most 200 characters", "shorten it"),
    ("loader.name", '"   "', "'   '", "one line of text", "write a name"),
    ("loader.name", '"a\\nb"', "'a\\nb'", "one line of text", "write a name"),
    ("loader.name", '"a\\u0000b"', "'a\\x00b'", "one line of text", "write a name"),
    ("job.units", "false", "false", '"in" or "mm"', "write one of these"),
    ("job.units", '"IN"', "'IN'", '"in" or "mm"', "write one of these"),
    ("loader.centre_height", '"38 in"', "'38 in'", "a list of lengths", 'such as ["38 in", "44 in"]'),
    ("loader.centre_height", '["38 in"]', "a list of 1", "two values", 'such as ["38 in", "44 in"]'),
    ("loader.centre_height", '["1 in", "2 in", "3 in"]', "a list of 3", "two values", 'such as ["38 in", "44 in"]'),
    ("rules", '"none"', "'none'", "a table", "write it as [rules] with its keys below it"),
    ("passage", "{}", "a table", "a list of tables", "write it as [[passage]] with its keys below it"),
    ("fittings", '["plate"]', "'plate'", "a table", "write it as"),
]


@pytest.mark.parametrize(("field", "value", "found", "expected", "action"), KINDS)
def test_a_value_of_another_kind(field: str, value: str, found: str, expected: str, action: str) -> None:
    """What was found is told as it stands in the file, and the advice fits the key."""
    (problem,) = problems(altered(FIXED if "." not in field and field != "rules" else bare(field), {field: value}))
    assert problem.code in ("value-kind", "value-choice")
    assert problem.found.startswith(found)
    assert problem.expected == expected
    assert action in problem.action


REMEDY = '[[remedy]]\nkind = "pusher-extension"\nlengths = ["2 in"]\n'
FURTHER = [
    ("remedy[0].lengths", '"2 in"', "a list of lengths", "write it in square brackets"),
    ("remedy[0].cost", '"180 USD"', "a number", "without quotes and without a unit"),
    ("remedy[0].cost", "-1", "a number of 0 or more", "check its sign"),
    ("remedy[0].cost", "inf", "a number", "write the amount"),
    ("remedy[0].available", '"no"', "true or false", "without quotes"),
]


@pytest.mark.parametrize(("field", "value", "expected", "action"), FURTHER)
def test_a_value_of_another_kind_in_the_further_tables(field: str, value: str, expected: str, action: str) -> None:
    """Prices, truth values and lists of lengths are told what they are."""
    (problem,) = problems(altered(SLIDING + REMEDY + '[prices]\ncurrency = "USD"\n', {field: value}))
    assert (problem.code, problem.field, problem.expected) == ("value-kind", field, expected)
    assert action in problem.action


def test_what_several_tables_lack_is_told_once() -> None:
    """Two checks that use a station without its dimension are one mistake."""
    text = altered(SLIDING, {"lathe.cover_to_adapter": None}, more=2 * CHECK.format(start="cover", end="adapter", value="40 mm"))
    assert named(text) == [("key-missing", "lathe.cover_to_adapter")]


def bare(field: str) -> str:
    """The sliding job, without the table that is to be given as something else."""
    return SLIDING if "." in field else without_table(SLIDING, f"[{field}]")


def test_a_table_written_as_a_list_and_a_list_as_a_table() -> None:
    """Single and double brackets mixed up are told apart, each at its header's line."""
    doubled = SLIDING.replace("[loader]", "[[loader]]")
    (problem,) = problems(doubled)
    assert (problem.code, problem.field, problem.line) == ("value-kind", "loader", line(doubled, "[[loader]]"))
    assert "write it as [loader]" in problem.action
    single = SLIDING.replace("[[fittings]]", "[fittings]")
    (problem,) = problems(single)
    assert (problem.code, problem.field, problem.line) == ("value-kind", "fittings", line(single, "[fittings]"))
    assert "write it as [[fittings]]" in problem.action


def line(text: str, start: str) -> int:
    """The number of the first line of a text that begins so."""
    return next(number for number, each in enumerate(text.split("\n"), start=1) if each.startswith(start))


def test_lines_are_counted_as_an_editor_counts_them() -> None:
    """Windows line ends and separators inside a comment move no line."""
    text = altered(SLIDING, {REACH: "44"}).replace("\n", "\r\n").replace("[job]", "# \u2028 \x85\r\n[job]", 1)
    (problem,) = problems(text)
    assert problem.line == line(text, "pusher_reach")


@pytest.mark.parametrize("key", ['"a]"', '""', '"."', '"a.b"', '"[0]"', '"é"'])
def test_odd_keys_are_unknown_and_end_no_search(key: str) -> None:
    """Keys of brackets, points or nothing at all are refused as any unknown key."""
    assert [p.code for p in problems(f"{key} = 1\n{SLIDING}")] == ["key-unknown"]
    assert [p.code for p in problems(SLIDING.replace("[job]\n", f"[job]\n{key} = 1\n"))] == ["key-unknown"]


def test_thousands_of_unknown_keys_are_all_named() -> None:
    """Four thousand mistakes are four thousand messages, in reasonable time."""
    many = "".join(f"k{i} = 1\n" for i in range(4000))
    assert len(problems(many + SLIDING)) == 4000


def test_a_byte_order_mark_is_accepted(tmp_path: Path) -> None:
    """Some editors put a mark before the text, in the file or in what is pasted."""
    path = tmp_path / "cell.toml"
    path.write_bytes(b"\xef\xbb\xbf" + SLIDING.encode())
    assert read_job(path).title == parse_job("\ufeff" + SLIDING).title == "Pedal cell"
    assert file_text(path) == SLIDING


def test_another_encoding_is_told_where(tmp_path: Path) -> None:
    """The place of the first byte that is not UTF-8 is told, and how to mend it."""
    with pytest.raises(JobFileError, match=r"byte 44 of the file\), expected UTF-8 text; save the file as UTF-8") as caught:
        of_another_encoding(tmp_path)
    assert caught.value.problems[0].line == 4


@pytest.mark.parametrize("name", ["none.toml", ".", "none/none.toml", "nul\0.toml"])
def test_what_is_no_file_is_missing(tmp_path: Path, name: str) -> None:
    """A file that is not there, a folder, and a name no file can have."""
    with pytest.raises(MissingFileError, match="check the name and the folder"):
        read_job(tmp_path / name)


def test_a_huge_file_is_not_read_to_its_end() -> None:
    """An endless file is refused after the first million bytes."""
    endless = Path("/dev/zero")
    if not endless.exists():
        pytest.skip("this system has no endless file")
    with pytest.raises(JobFileError, match="at most 1000000 bytes"):
        read_job(endless)


def test_the_first_of_several_readings_is_used_and_the_others_are_kept() -> None:
    """A list holds readings of the same thing: the placement takes the first as it stands."""
    job = parse_job(altered(SLIDING, {REACH: '["1120 mm", { value = "1122 mm", source = "laser" }, "1121 mm ± 2 mm"]'}))
    assert job.readings[REACH].value_mm == 1120.0
    assert [reading.value_mm for reading in job.repeats[REACH]] == [1122.0, 1121.0]
    assert job.repeats[REACH][0].source == "laser"
    assert set(job.repeats) == {REACH}


def test_lengths_in_any_notation_are_the_same_job() -> None:
    """Inches, feet, typographic marks, a decimal comma and plus-minus are read for what they are."""
    changes: Changes = {
        REACH: '"3′ 8 ½″ ± 1/16 in"',
        "loader.gripper_behind_clamp": '"3020,5 mm"',
        "lathe.cover_to_wall": "'22 ft'",
        "lathe.modes[0].z_front": '"7 1/2 in"',
    }
    readings = parse_job(altered(SLIDING, changes)).readings
    assert readings[REACH].value_mm == pytest.approx(44.5 * 25.4)
    assert readings[REACH].half_width_mm == pytest.approx(25.4 / 16)
    assert readings["loader.gripper_behind_clamp"].value_mm == 3020.5
    assert readings["lathe.cover_to_wall"].value_mm == pytest.approx(22 * 304.8)
    assert readings["lathe.modes[0].z_front"].value_mm == pytest.approx(190.5)


def test_sources_and_defaults_of_the_readings() -> None:
    """Z is the control's, the rest a tape's unless stated; rules and capacities are exact unless an uncertainty is given."""
    stated = {"loader.bar_capacity": '"3660 mm ± 3 mm"', "lathe.cover_to_wall": '{ value = "6700 mm", source = "laser" }'}
    readings = parse_job(altered(SLIDING, stated)).readings
    assert readings["lathe.modes[0].z_rear"].source == "control"
    assert readings["lathe.modes[1].loader_shift"].source == "tape"
    assert (readings["lathe.cover_to_wall"].source, readings["lathe.cover_to_wall"].source_stated) == ("laser", True)
    assert readings["loader.bar_capacity"].half_width_mm == pytest.approx(3.0)
    assert readings["rules.bar_margin"].u_mm == readings["nose.overlap"].u_mm == 0.0
    assert readings["rules.fixed_nose_end_gap"].value_mm == pytest.approx(12.7)


def test_a_job_knows_what_it_is() -> None:
    """Names, units and kinds of a file stand in its job."""
    job = parse_job(SLIDING)
    assert (job.title, job.site, job.units) == ("Pedal cell", "bay 6", "mm")
    assert (job.lathe, job.loader) == ("sliding-headstock lathe, 20 mm", "12-foot loader, 20 mm")
    assert (job.sliding, job.telescopic, job.crush_part) == (True, True, "body")
    assert job.fittings == ("guide plate",)
    assert [mode.name for mode in job.layout.modes] == ["guide-bushing", "chucker"]
    fixed = parse_job(FIXED)
    assert (fixed.sliding, fixed.telescopic, fixed.site, fixed.fittings) == (False, False, "", ())
    assert [mode.name for mode in fixed.layout.modes] == ["fixed"]


def test_a_draft_holds_what_could_be_read() -> None:
    """Of a file with mistakes the readable part is there, for a form to show."""
    draft, found = read_draft(altered(SLIDING, TWELVE))
    assert len(found) == 12
    assert draft is not None
    assert draft.job is not None
    assert draft.job.title == "Pedal cell"
    assert draft.loader is not None
    assert draft.loader.pusher_reach is None
    assert read_draft("a =")[0] is None


def test_field_paths() -> None:
    """A place in nested tables is written as it is in messages."""
    assert field_path(("lathe", "modes", 1, "z_front")) == "lathe.modes[1].z_front"
    assert field_path(("format",)) == "format"
