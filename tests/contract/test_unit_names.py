"""Every dimensioned number is named with its unit, and two numbers in one call cannot be swapped.

The rule reads the annotations of public functions, methods and class fields: whatever is annotated with `float` (also
inside `float | None`, a tuple or a mapping) ends in a unit, or in a word that says that it has none.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator

import pytest

from tests.contract.source import FUNCTIONS, AnyFunction, Module, modules, planted, public_definitions

UNITS = {
    *("mm", "mm2", "mm3", "mm4", "um"),
    *("n", "n_mm", "n_per_mm", "mpa"),
    *("kg", "kg_m", "kg_m3"),
    *("s", "min", "h", "hz", "rpm", "rad_per_s", "mm_per_s", "mm_per_min", "m_per_min"),
    *("rad", "deg", "mm_per_m"),
}
"""The units a name may end in; inside the house lengths are mm, forces N, stresses MPa, speeds rpm."""

DIMENSIONLESS = {
    *("coefficient", "coefficients", "correlation", "damping", "efficiency", "exponent", "factor", "fraction"),
    *("percent", "probability", "quantile", "ratio", "residual", "scale", "share", "sign", "significance", "weight"),
    *("chi_square", "cost", "costs", "price", "prices"),
}
"""Words for numbers without a unit, and for money (a job has one currency)."""

NAMES_OF_ALGEBRA: dict[str, set[str]] = {
    "standoff.model.form": {"terms", "pairs"},
    "standoff.units": {"value"},
}
"""Module -> names whose unit depends on what they are used for: sums of quantity times coefficient, a figure to be written."""


def says_its_unit(name: str) -> bool:
    """Whether a name ends in a unit or in a word for a number without one."""
    endings = "|".join(re.escape(word) for word in sorted(UNITS | DIMENSIONLESS))
    return re.search(rf"(?:^|_)(?:{endings})$", name) is not None


def is_number(annotation: ast.expr | None) -> bool:
    """Whether an annotation speaks of a float."""
    return annotation is not None and any(
        isinstance(node, ast.Name) and node.id in ("float", "floating", "float64") for node in ast.walk(annotation)
    )


def numbers(module: Module) -> Iterator[tuple[int, str]]:
    """The line and name of every number that a public function takes or a public class holds."""
    for _, node in public_definitions(module):
        if isinstance(node, ast.ClassDef):
            for field in node.body:
                if isinstance(field, ast.AnnAssign) and isinstance(field.target, ast.Name) and is_number(field.annotation):
                    yield field.lineno, field.target.id
        else:
            for argument in (*node.args.posonlyargs, *node.args.args, *node.args.kwonlyargs):
                if is_number(argument.annotation):
                    yield argument.lineno, argument.arg


def unnamed_units(module: Module) -> list[str]:
    """The numbers of a module whose names do not say their unit."""
    free = NAMES_OF_ALGEBRA.get(module.name, set())
    return [
        f"{module.name}:{line}: '{name}' ends in no known unit"
        for line, name in numbers(module)
        if not says_its_unit(name) and name not in free
    ]


def swappable(module: Module) -> list[str]:
    """The public functions of a module that take two plain floats by position."""
    found = []
    for name, node in public_definitions(module):
        if isinstance(node, FUNCTIONS) and len(positional_floats(node)) > 1:
            found.append(f"{module.name}:{node.lineno}: {name} takes {', '.join(positional_floats(node))} by position")
    return found


def positional_floats(function: AnyFunction) -> list[str]:
    """The plain float arguments that a call may give by position."""
    arguments = (*function.args.posonlyargs, *function.args.args)
    return [a.arg for a in arguments if isinstance(a.annotation, ast.Name) and a.annotation.id == "float"]


def test_every_number_says_its_unit() -> None:
    """No public number of the package is without unit in its name."""
    assert [offence for module in modules() for offence in unnamed_units(module)] == []


def test_two_numbers_are_given_by_name() -> None:
    """No public function takes two floats by position."""
    assert [offence for module in modules() for offence in swappable(module)] == []


@pytest.mark.parametrize(
    "text",
    [
        "def f(gap: float): ...",
        "def f(*, gap: float | None = None): ...",
        "class Row:\n    bound: tuple[float, ...]",
        "class Row:\n    def at(self, standoff: float): ...",
        "def f(alarm: float): ...",
    ],
)
def test_a_number_without_unit_is_found(text: str) -> None:
    """An argument or field whose name does not end in a unit is an offence, whatever letters it happens to end in."""
    assert len(unnamed_units(planted("planted", text))) == 1


@pytest.mark.parametrize("name", ["gap_mm", "density_kg_m3", "whip_rpm", "stiffness_n_per_mm", "probability", "wear_ratio"])
def test_a_number_with_unit_passes(name: str) -> None:
    """Units, and words for numbers without unit, are known."""
    assert unnamed_units(planted("planted", f"def f(*, {name}: float): ...")) == []


def test_two_floats_by_position_are_found() -> None:
    """Two floats by position are an offence, two by name are not, and texts may stand anywhere."""
    assert len(swappable(planted("planted", "def f(gap_mm: float, nose_mm: float): ..."))) == 1
    assert swappable(planted("planted", "def f(name: str, gap_mm: float, *, nose_mm: float): ...")) == []
