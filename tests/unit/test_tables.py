"""The declaration of the job file: complete, explained, and its examples are what it takes."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from typing import Any

import pytest
from pydantic import BaseModel, ValidationError
from pydantic.fields import FieldInfo

from standoff.job.file import parse_job
from standoff.job.keys import NOT_NEGATIVE, POSITIVE, SIGNED, extra, keys, table_of
from standoff.job.tables import JobFile, LatheTable, ModeTable, NoseTable, default_readings, flat
from standoff.job.template import template
from standoff.reading import read_quantity
from standoff.units import parse_length
from tests.texts import SLIDING

# The contract's keys, each table's in its order. `!` marks those that must be there.
CONTRACT = {
    "job": "title! site units!",
    "lathe": "name! headstock! adapter_to_collet! cover_to_adapter cover_to_wall collet_to_cutoff centre_height z_forward modes",
    "lathe.modes": "name! z_rear! z_front! z_bar_change loader_shift",
    "loader": "name! bar_capacity! pusher_reach! gripper_behind_clamp! body_ahead_of_clamp length_behind_clamp centre_height",
    "nose": "kind! collapsed extended overlap length may_be_cut entry_depth least_engagement",
    "fittings": "name! length!",
    "passage": "name! bore!",
    "bar_path": "pusher_od pusher_collet_od running_clearance",
    "rules": "nose_clearance nose_clearance_preferred fixed_nose_end_gap bar_margin bar_change_setback longest_bar"
    " cover_clearance rear_service crush_part setting_uncertainty",
}

# The contract's defaults, as they are printed there: common practice, no published source.
DEFAULTS = {
    "rules.nose_clearance": "1/4 in",
    "rules.nose_clearance_preferred": "1/2 in",
    "rules.fixed_nose_end_gap": "1/2 in",
    "rules.bar_margin": "6 in",
    "rules.bar_change_setback": "3 in",
    "rules.cover_clearance": "1 in",
    "rules.rear_service": "36 in",
    "rules.setting_uncertainty": "1/8 in",
    "loader.body_ahead_of_clamp": "0 in",
}


def tables(table: type[BaseModel] = JobFile, path: str = "") -> Iterator[tuple[str, type[BaseModel]]]:
    """Every table below a table, by its path without indices."""
    for key, _, _ in keys(table):
        inner = table_of(table, key)
        if inner is not table:
            here = f"{path}.{key}" if path else key
            yield here, inner
            yield from tables(inner, here)


def declared() -> Iterator[tuple[str, type[BaseModel], str, FieldInfo]]:
    """Every key of every table that holds a value, with its path, its table, its attribute and what is declared."""
    for path, table in tables():
        for key, attribute, field in keys(table):
            if table_of(table, key) is table:
                yield f"{path}.{key}", table, attribute, field


@pytest.mark.parametrize("path", CONTRACT)
def test_the_keys_of_the_contract_are_there(path: str) -> None:
    """Nothing of the contract is renamed or removed, and what must be there is the same."""
    table = dict(tables())[path]
    fields = {key: field for key, _, field in keys(table)}
    for word in CONTRACT[path].split():
        assert word.rstrip("!") in fields
        assert bool(extra(fields[word.rstrip("!")]).get("required")) is word.endswith("!")


@pytest.mark.parametrize("path", DEFAULTS)
def test_the_defaults_are_the_contracts(path: str) -> None:
    """Each default is the printed one, exact."""
    (reading,) = default_readings()[path]
    assert reading.value_mm == float(parse_length(DEFAULTS[path]))
    assert (reading.u_mm, reading.source) == (0.0, None)


def test_every_key_is_explained_and_has_examples() -> None:
    """Forms, template and reference are read off the declaration: nothing in it may be empty."""
    for path, _, _, field in declared():
        assert field.description, path
        assert extra(field)["examples"], path
        assert extra(field)["sign"] in (POSITIVE, NOT_NEGATIVE, SIGNED), path


def as_toml(example: str) -> Any:
    """An example as a file would hold it: prices and truth values stand without quotes, ranges in brackets."""
    if re.fullmatch(r"true|false|[0-9.]+|\[.*\]", example):
        return tomllib.loads(f"value = {example}")["value"]
    return example


def test_every_example_is_accepted_by_its_key() -> None:
    """What the template shows is what the key takes, in inches and in millimetres."""
    for path, table, attribute, field in declared():
        for example in extra(field)["examples"]:
            value = as_toml(example)
            draft = table.model_validate({field.alias or attribute: value})
            assert getattr(draft, attribute) is not None, path


def test_examples_in_both_units_say_about_the_same() -> None:
    """Where a key has an example in inches and one in millimetres, they are of one size, so that both templates fit."""
    for path, _, _, field in declared():
        examples = extra(field)["examples"]
        if "default_text" in extra(field) or len(examples) != 2 or examples[0].startswith("["):
            continue
        lengths = [example for example in examples if example.endswith((" in", " ft", " mm", " m"))]
        if len(lengths) == 2:
            inches, metric = (float(parse_length(length)) for length in lengths)
            assert metric == pytest.approx(inches, rel=0.15), path


def test_table_of_names_the_table_below_a_key() -> None:
    """A key that holds tables leads to theirs, any other to its own."""
    assert table_of(JobFile, "lathe") is LatheTable
    assert table_of(LatheTable, "modes") is ModeTable
    assert table_of(NoseTable, "collapsed") is NoseTable


def test_flat_names_every_quantity_by_its_place() -> None:
    """Quantities of tables, of lists of tables and of ranges have their field path."""
    draft = parse_job(SLIDING).tables
    paths = dict(flat(draft))
    assert {"lathe.modes[1].loader_shift", "fittings[0].length", "loader.centre_height[1]", "rules.bar_margin"} <= set(paths)
    assert paths["passage[1].bore"] == read_quantity("30 mm", default_source="tape")
    assert all(isinstance(series, tuple) for series in paths.values())
    assert not any(path.endswith((".name", ".kind", ".units")) for path in paths)


def test_a_draft_cannot_be_changed() -> None:
    """Tables are values: what was read stays as it was read."""
    draft = parse_job(SLIDING).tables
    with pytest.raises(ValidationError):
        setattr(draft.job, "title", "another")  # noqa: B010  (as an assignment the type checker refuses it first)


def test_nothing_is_converted_in_silence() -> None:
    """A number is no text and a word is no truth value."""
    for table, key, value in ((LatheTable, "name", 12), (LatheTable, "name", True), (dict(tables())["symptom"], "only", "true")):
        with pytest.raises(ValidationError):
            table.model_validate({key: value})


def test_the_template_is_read_off_the_declaration() -> None:
    """Each explanation stands in the template as it is declared."""
    text = template("sliding", "in")
    for path, _, _, field in declared():
        if path.split(".")[0] in ("job", "lathe", "loader", "passage", "rules"):
            assert f"  # {field.description}\n" in text, path
