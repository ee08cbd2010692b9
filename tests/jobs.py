"""Random job files: a case holds exact values (fractions of a millimetre) and writes itself as text in either unit.

Every value lies on a lattice (1/32 in, or 0.635 mm, which holds the defaults of the trade too), so that a scan over the
lattice is exact; a `fine` case leaves the lattice. Each limit is drawn near one standoff, so that windows are narrow, open
or empty alike, and any requirement may be the one that binds. What a case leaves out, the file leaves out.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from random import Random

INCH_MM = Fraction(254, 10)
LATTICE_MM = {"in": INCH_MM / 32, "mm": Fraction(635, 1000)}


@dataclass(frozen=True)
class Quantity:
    """A value and how its uncertainty is written: a half-width, a standard uncertainty, a source, or nothing at all."""

    mm: Fraction
    half_width_mm: Fraction | None = None
    standard_mm: Fraction | None = None
    source: str | None = None

    def text(self, units: str) -> str:
        """The quantity as a value of TOML, in these units."""
        value = f'"{length_text(self.mm, units)}"'
        if self.half_width_mm is not None:
            return f'"{length_text(self.mm, units)} ± {length_text(self.half_width_mm, units)}"'
        if self.standard_mm is not None:
            return f'{{ value = {value}, standard_uncertainty = "{length_text(self.standard_mm, units)}" }}'
        return value if self.source is None else f'{{ value = {value}, source = "{self.source}" }}'


def length_text(mm: Fraction, units: str) -> str:
    """A length without any loss: decimals where they end, else a fraction."""
    amount = mm / INCH_MM if units == "in" else mm
    scaled = amount * 10**6
    if scaled.denominator != 1:
        return f"{'-' if amount < 0 else ''}{abs(amount.numerator)}/{amount.denominator} {units}"
    whole, rest = divmod(abs(scaled.numerator), 10**6)
    digits = f"{whole}.{rest:06d}".rstrip("0").rstrip(".")
    return f"{'-' if amount < 0 else ''}{digits} {units}"


@dataclass(frozen=True)
class Case:
    """A job: `quantities` by their place in the file; `modes` is 0 for a fixed headstock; `forward` is the sign of Z."""

    units: str
    modes: int
    forward: int
    telescopic: bool
    quantities: Mapping[str, Quantity]

    def text(self, units: str | None = None) -> str:
        """The job file, its lengths written in `units` (default: those in which the answer is shown)."""
        written = {path: quantity.text(units or self.units) for path, quantity in self.quantities.items()}
        lathe = [f'headstock = "{"sliding" if self.modes else "fixed"}"']
        if self.modes:
            lathe.append(f'z_forward = "{"positive" if self.forward > 0 else "negative"}"')
        lines = ['format = "standoff-job/1"']
        lines += ["[job]", 'title = "A random pair"', f'units = "{self.units}"']
        lines += ["[lathe]", 'name = "lathe"', *lathe, *_keys(written, "lathe")]
        for i in range(self.modes):
            lines += ["[[lathe.modes]]", f'name = "{mode_name(i)}"', *_keys(written, f"lathe.modes[{i}]")]
        lines += ["[loader]", 'name = "loader"', *_keys(written, "loader"), *_range(written)]
        lines += ["[nose]", f'kind = "{"telescopic" if self.telescopic else "fixed"}"', *_keys(written, "nose")]
        for table in ("fittings", "passage"):
            for i in range(sum(path.startswith(f"{table}[") for path in written)):
                lines += [f"[[{table}]]", f'name = "{table} {i}"', *_keys(written, f"{table}[{i}]")]
        for table in ("bar_path", "rules"):
            lines += [f"[{table}]", *_keys(written, table)]
        return "\n".join(lines) + "\n"

    def changed(self, change: Callable[[str, Fraction], Fraction], *, forward: int | None = None) -> Case:
        """The case with every value replaced by what `change` makes of its place and value [mm]."""
        quantities = {path: replace(q, mm=change(path, q.mm)) for path, q in self.quantities.items()}
        return replace(self, quantities=quantities, forward=self.forward if forward is None else forward)

    def with_values(self, **values_mm: Fraction | float | int) -> Case:
        """The case with single values replaced [mm]; a place is written with `__` for the point."""
        quantities = dict(self.quantities)
        for name, mm in values_mm.items():
            path = name.replace("__", ".")
            quantities[path] = replace(quantities.get(path, Quantity(Fraction(0))), mm=Fraction(mm))
        return replace(self, quantities=quantities)


def mode_name(index: int) -> str:
    """The name of a mode in a random job."""
    return ("guide-bushing", "chucker", "third")[index]


def _keys(written: Mapping[str, str], table: str) -> list[str]:
    prefix = f"{table}."
    keys = [(path.removeprefix(prefix), text) for path, text in written.items() if path.startswith(prefix)]
    return [f"{key} = {text}" for key, text in keys if "." not in key and "[" not in key]


def _range(written: Mapping[str, str]) -> list[str]:
    ends = [written.get(f"loader.centre_height[{i}]") for i in range(2)]
    return [f"centre_height = [{ends[0]}, {ends[1]}]"] if all(ends) else []


class _Draw:
    """A random case in the making; lengths are counted in lattice steps until they are written down."""

    def __init__(self, seed: int) -> None:
        self.random = Random(seed)
        self.units = self.random.choice(("in", "mm"))
        self.step_mm = LATTICE_MM[self.units]
        self.steps: dict[str, int] = {}

    def chance(self, probability: float) -> bool:
        return self.random.random() < probability

    def between(self, low_mm: float, high_mm: float) -> int:
        """A number of steps between two lengths [mm]."""
        return self.random.randint(round(low_mm / self.step_mm), round(high_mm / self.step_mm))

    def rule(self, key: str, default_mm: str, low_mm: float, high_mm: float) -> int:
        """A rule that is stated in two of three files; its value in steps either way."""
        default = Fraction(default_mm) / self.step_mm
        assert default.denominator == 1
        if self.chance(0.65):
            self.steps[f"rules.{key}"] = self.between(low_mm, high_mm)
        return self.steps.get(f"rules.{key}", default.numerator)


@dataclass(frozen=True)
class _Travel:
    """One mode in steps: headstock travel z at its limits and at bar change, and the loader's shift."""

    rear: int
    front: int
    change: int
    shift: int


def random_case(seed: int, *, fine: bool = False, spread: float = 40.0) -> Case:
    """The case of a seed. `spread` [mm] is how far its limits lie from one another; `fine` leaves the lattice."""
    draw = _Draw(seed)
    forward = draw.random.choice((1, -1))
    modes = draw.random.choices((0, 1, 2, 3), weights=(2, 2, 5, 1))[0]
    travels = _modes(draw, modes, forward)
    target = draw.between(300, 450)

    def near() -> int:
        return draw.between(-spread / 4, spread)

    telescopic = draw.chance(0.5)
    _nose(draw, telescopic, travels, target, near)
    _loader(draw, travels, target, near)
    _surroundings(draw, travels, target, near)
    _passage(draw)
    quantities = {path: _quantity(draw, path, steps, fine) for path, steps in draw.steps.items()}
    if draw.chance(0.1):  # a job in which everything is exact
        exact = {path: replace(q, half_width_mm=Fraction(0), standard_mm=None, source=None) for path, q in quantities.items()}
        quantities = exact | {"rules.setting_uncertainty": Quantity(Fraction(0))}
    return Case(draw.units, modes, forward, telescopic, quantities)


def _modes(draw: _Draw, count: int, forward: int) -> list[_Travel]:
    setback = draw.rule("bar_change_setback", "76.2", 30, 90)
    origin = draw.between(-200, 200)
    travels: list[_Travel] = []
    for i in range(count):
        rear = draw.between(-80, 200) if i else 0
        front = rear + draw.between(95, 220)
        change, shift = front - setback, 0
        key = f"lathe.modes[{i}]"
        draw.steps[f"{key}.z_rear"] = origin + forward * rear
        draw.steps[f"{key}.z_front"] = origin + forward * front
        if draw.chance(0.5):
            change = rear + draw.random.randint(1, front - rear - 1)
            draw.steps[f"{key}.z_bar_change"] = origin + forward * change
        if draw.chance(0.75 if i else 0.15):
            alike = front - travels[0].front if i else 0  # the trade's rule of thumb, missed on purpose
            shift = draw.steps[f"{key}.loader_shift"] = (alike + draw.between(-40, 40)) or 1
        travels.append(_Travel(rear, front, change, shift))
    return travels or [_Travel(0, 0, 0, 0)]


def _nose(draw: _Draw, telescopic: bool, travels: list[_Travel], target: int, near: Callable[[], int]) -> None:
    for i in range(draw.random.choices((0, 1, 2), weights=(2, 3, 1))[0]):
        draw.steps[f"fittings[{i}].length"] = draw.between(5, 30)
    fittings = sum(steps for path, steps in draw.steps.items() if path.startswith("fittings"))
    clearance = draw.rule("nose_clearance", "6.35", 1, 12)
    draw.steps["rules.nose_clearance_preferred"] = clearance + draw.between(0, 20)
    behind = max(t.shift - t.rear for t in travels)
    ahead = min(t.shift - t.front for t in travels)
    entry = kept = 0
    if draw.chance(0.3 if telescopic else 0.6):
        kept = draw.between(1, 20) if draw.chance(0.7) else 0
        needed = 0 if telescopic else behind - ahead + clearance
        entry = draw.steps["nose.entry_depth"] = max(kept + needed + near(), kept, 1)
        if kept:
            draw.steps["nose.least_engagement"] = kept
    shortest = max(target - near() - fittings - clearance + entry - behind, 20)
    if telescopic:
        draw.steps["nose.collapsed"] = shortest
        overlap = draw.steps["nose.overlap"] = draw.between(0, 40)
        longest = max(target + near() - fittings + kept - ahead, shortest + 1)
        draw.steps["nose.extended"] = longest + overlap
        if draw.chance(0.3):
            draw.steps["nose.may_be_cut"] = draw.between(0, 12)
        return
    most = draw.between(0, 25)
    draw.steps["nose.length"] = shortest + draw.random.randint(0, most)
    if draw.chance(0.75):
        draw.steps["nose.may_be_cut"] = most
    if "nose.entry_depth" not in draw.steps and draw.chance(0.8):
        draw.steps["rules.fixed_nose_end_gap"] = max(behind - ahead + clearance + near(), 0)


def _loader(draw: _Draw, travels: list[_Travel], target: int, near: Callable[[], int]) -> None:
    collet = draw.steps["lathe.adapter_to_collet"] = draw.between(300, 800)
    draw.steps["loader.pusher_reach"] = target + near() + collet - min(t.shift - t.front for t in travels)
    capacity = draw.steps["loader.bar_capacity"] = draw.between(1800, 3700)
    bar = capacity
    if draw.chance(0.3):
        bar = draw.steps["rules.longest_bar"] = capacity - draw.between(0, 600)
    margin = draw.rule("bar_margin", "152.4", 0, 200)
    asked = max(t.shift - t.change for t in travels) + bar + margin - collet
    draw.steps["loader.gripper_behind_clamp"] = max(asked - target + near(), 10)


def _surroundings(draw: _Draw, travels: list[_Travel], target: int, near: Callable[[], int]) -> None:
    cover_room = draw.rule("cover_clearance", "25.4", 0, 60)
    service = draw.rule("rear_service", "914.4", 300, 1000)
    if draw.chance(0.3):
        draw.steps["rules.setting_uncertainty"] = draw.random.randint(0, 8)
    if not draw.chance(0.6):
        return
    cover = draw.steps["lathe.cover_to_adapter"] = draw.between(-60, 60)
    if draw.chance(0.7):
        body = target - near() - cover - cover_room - max(t.shift for t in travels)
        draw.steps["loader.body_ahead_of_clamp"] = body
    if draw.chance(0.6):
        length = draw.steps["loader.length_behind_clamp"] = draw.between(2500, 4800)
        wall = target + near() - cover + length + service - min(0, *(t.shift for t in travels))
        draw.steps["lathe.cover_to_wall"] = max(wall, 10)


def _passage(draw: _Draw) -> None:
    if draw.chance(0.4):
        axis = draw.steps["lathe.centre_height"] = draw.between(900, 1200)
        draw.steps["loader.centre_height[0]"] = axis - draw.between(2, 60)
        draw.steps["loader.centre_height[1]"] = axis + draw.between(2, 60)
    if draw.chance(0.4):
        pusher = draw.steps["bar_path.pusher_od"] = draw.between(20, 60)
        draw.steps["bar_path.running_clearance"] = draw.random.randint(0, 2)
        if draw.chance(0.5):
            draw.steps["bar_path.pusher_collet_od"] = pusher + draw.random.randint(0, 4)
        for i in range(draw.random.randint(1, 3)):
            draw.steps[f"passage[{i}].bore"] = pusher + draw.random.randint(6, 14)


_EXACT_KEYS = ("rules.", "loader.bar_capacity", "nose.may_be_cut", "nose.overlap", "nose.least_engagement", "bar_path.running")
_KEPT_ON_LATTICE = ("passage", "bar_path", "fittings", "nose.entry_depth")
_SOURCES = ("tape", "sighted", "rule", "caliper", "laser", "control", "manual", "drawing")


def _quantity(draw: _Draw, path: str, steps: int, fine: bool) -> Quantity:
    mm = steps * draw.step_mm
    exact = path.startswith(_EXACT_KEYS)
    # Where a value could leave its sign or its order behind, it stays on the lattice.
    if fine and not exact and not path.startswith(_KEPT_ON_LATTICE) and not path.endswith("z_bar_change"):
        mm += Fraction(draw.random.randint(-30, 30), 100)
    how = 9 if exact and draw.chance(0.85) else draw.random.randrange(10)
    if how < 2:
        return Quantity(mm, half_width_mm=Fraction(draw.random.randint(0, 40), 10))
    if how == 2:
        return Quantity(mm, standard_mm=Fraction(draw.random.randint(0, 25), 10))
    if how < 5:
        # A tape's limits grow with the length: not for Z, whose origin is arbitrary.
        return Quantity(mm, source=draw.random.choice(_SOURCES[2:] if ".z_" in path else _SOURCES))
    return Quantity(mm)
