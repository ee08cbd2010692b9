"""How a key of the job file is declared: its kind, meaning, examples, and whether it must be there."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from typing import Annotated, Any

from pydantic import BaseModel, ConfigDict, Field, PlainValidator, WithJsonSchema
from pydantic.fields import FieldInfo

from standoff.magnitude import Kind, read_magnitude
from standoff.reading import Reading, read_quantity

_SCHEMA = WithJsonSchema({"description": "a quantity", "anyOf": [{"type": t} for t in ("string", "object", "array")]})
Taped = Annotated[tuple[Reading, ...], PlainValidator(partial(read_quantity, default_source="tape")), _SCHEMA]
Shown = Annotated[tuple[Reading, ...], PlainValidator(partial(read_quantity, default_source="control")), _SCHEMA]
Exact = Annotated[tuple[Reading, ...], PlainValidator(partial(read_quantity, default_source=None)), _SCHEMA]
# One line that is not blank: names end up in sentences, tables and drawings.
Name = Annotated[str, Field(min_length=1, max_length=200, pattern=r"^\P{Cc}*[^\s\p{Cc}]\P{Cc}*$")]
Price = Annotated[float, Field(ge=0.0, allow_inf_nan=False)]
_TEXT = WithJsonSchema({"description": "a number with its unit", "type": "string"})
Rpm = Annotated[float, PlainValidator(partial(read_magnitude, kind=Kind.ROTATION)), _TEXT]
Force = Annotated[float, PlainValidator(partial(read_magnitude, kind=Kind.FORCE)), _TEXT]
Mass = Annotated[float, PlainValidator(partial(read_magnitude, kind=Kind.MASS)), _TEXT]
Stiffness = Annotated[float, PlainValidator(partial(read_magnitude, kind=Kind.STIFFNESS)), _TEXT]
CuttingSpeed = Annotated[float, PlainValidator(partial(read_magnitude, kind=Kind.CUTTING_SPEED)), _TEXT]
Frequency = Annotated[float, PlainValidator(partial(read_magnitude, kind=Kind.FREQUENCY)), _TEXT]
Modulus = Annotated[float, PlainValidator(partial(read_magnitude, kind=Kind.MODULUS)), _TEXT]
Time = Annotated[float, PlainValidator(partial(read_magnitude, kind=Kind.TIME)), _TEXT]
Density = Annotated[float, PlainValidator(partial(read_magnitude, kind=Kind.DENSITY)), _TEXT]
Slope = Annotated[float, PlainValidator(partial(read_magnitude, kind=Kind.SLOPE)), _TEXT]

POSITIVE, NOT_NEGATIVE, SIGNED = "positive", "not negative", "signed"


def needed(meaning: str, *examples: str, sign: str = POSITIVE, alias: str | None = None) -> Any:
    """A key that must be there; `examples` in inches and in millimetres, or one for both. `alias`: its name in the file."""
    extra: dict[str, Any] = {"required": True, "examples": examples, "sign": sign}
    return Field(default=None, description=meaning, json_schema_extra=extra, alias=alias)


def optional(meaning: str, *examples: str, sign: str = POSITIVE, alias: str | None = None) -> Any:
    """A key that may be left out."""
    extra: dict[str, Any] = {"required": False, "examples": examples, "sign": sign}
    return Field(default=None, description=meaning, json_schema_extra=extra, alias=alias)


def rule(meaning: str, default: str, *examples: str, sign: str = NOT_NEGATIVE) -> Any:
    """A key with a default, given as it would be typed."""
    extra: dict[str, Any] = {"required": False, "examples": (default, *examples), "sign": sign, "default_text": default}
    return Field(default=None, description=meaning, json_schema_extra=extra)


class Table(BaseModel):
    """What all tables share: unknown keys are refused, nothing is converted in silence."""

    model_config = ConfigDict(extra="forbid", strict=True, frozen=True, arbitrary_types_allowed=True)


def table_of(table: type[BaseModel], key: str) -> type[BaseModel]:
    """The table that a key of a table holds (the element's, for a list of tables); the table itself for any other key."""
    pending: list[Any] = [field.annotation for name, _, field in keys(table) if name == key]
    while pending:
        kind = pending.pop()
        if isinstance(kind, type) and issubclass(kind, BaseModel):
            return kind
        pending += getattr(kind, "__args__", ())
    return table


def keys(table: type[BaseModel]) -> Iterator[tuple[str, str, FieldInfo]]:
    """The keys of a table as the file names them, with the attribute that holds each and its declaration."""
    for attribute, field in table.model_fields.items():
        yield field.alias or attribute, attribute, field


def extra(field: FieldInfo) -> dict[str, Any]:
    """What the declaration says of a key beyond its kind: required, examples, sign, default."""
    return field.json_schema_extra if isinstance(field.json_schema_extra, dict) else {}


def defaulted_mm(table: BaseModel | None, kind: type[BaseModel], key: str) -> float:
    """A length as a table states it, or else the default its declaration gives. [mm]"""
    given = getattr(table, key) if table is not None else None
    series = given or read_quantity(extra(kind.model_fields[key])["default_text"], default_source=None)
    return float(series[0].value_mm)
