"""Levelling through the job file: what is typed of a loader turned and moved as a body in space, and what is promised of it.

The loader knows nothing of job files, small angles or unknowns. What instruments show of it is written as a technician would,
with limits of error as half-widths within which any error is as likely as another; the answer's moves are made at its feet and
screws, and where its axis then lies is compared with what was expected. Places are worked out here anew: with the clamp 300 mm
behind the adapter, a place b behind it lies at x = s - 300 - b, s being the shift; headstock 0 to 350, shift 0 to 170.
"""

from __future__ import annotations

import json
import math
from dataclasses import dataclass, replace

import numpy as np
import pytest

from standoff.desk.level import level_text
from standoff.errors import JobFileError
from standoff.job.file import parse_job
from standoff.job.level_answer import level_contents
from standoff.job.levels import Level, Outcome, level_of
from standoff.job.placement import place
from standoff.site.axis import ROLL, Station
from standoff.site.frame import Foot, Frame, Screw
from standoff.site.levelling import Plan
from standoff.units import INCH_MM
from tests.property.test_levelling import TWO_SIDED, Array, Body, Lathe, carried_out
from tests.texts import SLIDING

DAILY, PROVED = 250, 2500
STANDOFF_MM, SHIFT_MM, HEIGHT_MM = 300.0, 170.0, 1020.0
HEADSTOCK = {"rear limit": 0.0, "front limit": 190.0}
RADIUS_MM = 35.0
SWEPT_MM, LEVEL_MM_PER_M, LINE_MM, SAG_MM, SET_MM = 0.02, 0.05, 0.06, 0.03, 0.02
NOTE_HZ, NOTE_SHARE = 38.0, 0.02
"""The wire's note, and the half-width that the program takes of it."""


@dataclass(frozen=True)
class Site:
    """A loader, a lathe, the feet it stands on, and instruments with the errors they have today."""

    body: Body
    lathe: Lathe
    feet: tuple[tuple[float, float], ...]
    screws: tuple[float, ...]
    inches: bool
    step_mm: float | None
    hang_mm: float
    missed_mm: Array
    note_hz: float

    @classmethod
    def drawn(cls, random: np.random.Generator, *, step_mm: float | None = 0.1) -> Site:
        """Four to six feet, two or three places with screws, millimetres or inches."""
        count = int(random.integers(2, 4))
        feet = tuple(
            (float(b), float(side * random.uniform(250.0, 450.0)))
            for b in np.linspace(random.uniform(100.0, 400.0), 4300.0, count)
            for side in (1.0, -1.0)
        )
        return cls(
            body=Body.drawn(random),
            lathe=Lathe(random.normal(0.0, 5e-5, 2), random.normal(0.0, 3e-4, 2), 175.0, SHIFT_MM / 2.0),
            feet=feet,
            screws=(200.0, 4200.0, 2000.0)[: random.integers(2, 4)],
            inches=bool(random.integers(0, 2)),
            step_mm=step_mm,
            **errors(random),
        )


def errors(random: np.random.Generator) -> dict[str, float | Array]:
    """What the instruments are wrong by, the same in all their readings: the bracket's sag, the wire's places, its note."""
    return {
        "hang_mm": 0.07 + float(random.uniform(-SAG_MM, SAG_MM)) / 2.0,
        "missed_mm": random.uniform(-SET_MM, SET_MM, (2, 2)),
        "note_hz": NOTE_HZ * (1.0 + float(random.uniform(-NOTE_SHARE, NOTE_SHARE))),
    }


def typed(length_mm: float, site: Site) -> str:
    """A length as it is typed: to a thousandth of a millimetre, or to a hundred-thousandth of an inch."""
    return f'"{length_mm / float(INCH_MM):.5f} in"' if site.inches else f'"{length_mm:.3f} mm"'


def frame_text(site: Site) -> str:
    """Feet, screws and instruments."""
    lines = ["[frame]", f"axis_height = {typed(HEIGHT_MM, site)}"]
    lines += [f"shim_step = {typed(site.step_mm, site)}"] if site.step_mm is not None else []
    for i, (behind_mm, left_mm) in enumerate(site.feet):
        lines += ["[[feet]]", f'name = "foot {i}"', f"behind_clamp = {typed(behind_mm, site)}", f"left = {typed(left_mm, site)}"]
    for i, behind_mm in enumerate(site.screws):
        lines += ["[[side_screws]]", f'name = "screw {i}"', f"behind_clamp = {typed(behind_mm, site)}"]
    lines += ["[[brackets]]", 'name = "bracket"', 'sag = "0.14 mm"', f'within = "{SAG_MM} mm"']
    lines += ["[[reference_lines]]", 'name = "wire"', 'kind = "wire"', 'rear_set = "20 mm"', 'front_set = "620 mm"']
    lines += [f'set_within = "{SET_MM} mm"', 'rear_end = "4900 mm"', 'front_end = "900 mm"', f'note = "{NOTE_HZ} Hz"']
    return "\n".join(lines) + "\n"


def frame_of(site: Site) -> Frame:
    """Where the feet and screws are in space, whatever the program makes of what was typed."""
    feet = tuple(Foot(f"foot {i}", -STANDOFF_MM - b, left, 0.0, 0.0) for i, (b, left) in enumerate(site.feet))
    screws = tuple(Screw(f"screw {i}", -STANDOFF_MM - b, 0.0, 0.0) for i, b in enumerate(site.screws))
    return Frame(feet, HEIGHT_MM, screws)


def stood(behind_mm: float, headstock: str, loader: str) -> Station:
    """A place of the loader, with headstock and loader where they stand."""
    shift_mm = SHIFT_MM if loader == "shifted" else 0.0
    x_mm = shift_mm - STANDOFF_MM - behind_mm
    return Station(x_mm, headstock_mm=HEADSTOCK[headstock] - 175.0, loader_mm=shift_mm - SHIFT_MM / 2.0)


def round_text(random: np.random.Generator, site: Site, number: int) -> str:
    """A round of readings: a level both ways round, sweeps at every end of both travels, a wire."""
    zero, seat = random.normal(0.0, 0.3), random.uniform(-LEVEL_MM_PER_M, LEVEL_MM_PER_M)
    slope = site.body.roll_mm_per_m() + seat
    lines = [f"[[level_rounds]]\nround = {number}", 'standoff = "300 mm"']
    lines += [f'[[levels]]\nround = {number}\nway = "across"\nreading = "{slope + zero:.4f} mm/m"']
    lines += [f'turned = "{zero - slope:.4f} mm/m"', f'within = "{LEVEL_MM_PER_M} mm/m"']
    for behind_mm in (-150.0, 1500.0):
        for headstock in HEADSTOCK:
            for loader in ("standing", "shifted"):
                lines += swept(random, site, number, behind_mm, headstock, loader)
    for behind_mm in (2500.0, 4200.0):
        lines += wired(random, site, number, behind_mm)
    return "\n".join(lines) + "\n"


def swept(random: np.random.Generator, site: Site, number: int, behind_mm: float, headstock: str, loader: str) -> list[str]:
    """The indicator in a bore; plunger outwards, its tip hanging by the bracket's sag wherever it is turned to."""
    left_mm, high_mm = site.lathe.seen(site.body, stood(behind_mm, headstock, loader))
    high_mm += site.hang_mm
    beside, below = math.sqrt(RADIUS_MM**2 - high_mm**2), math.sqrt(RADIUS_MM**2 - left_mm**2)
    walls = {"top": high_mm + below, "left": left_mm + beside, "bottom": below - high_mm, "right": beside - left_mm}
    shown = {key: RADIUS_MM - wall + random.uniform(-SWEPT_MM, SWEPT_MM) for key, wall in walls.items()}
    return [
        f'[[sweeps]]\nround = {number}\nsurface = "bore"\nbehind_clamp = {typed(behind_mm, site)}',
        *(f"{key} = {typed(mm, site)}" for key, mm in shown.items()),
        f'within = "{SWEPT_MM} mm"\nbracket = "bracket"\nheadstock = "{headstock}"\nloader = "{loader}"',
    ]


def wired(random: np.random.Generator, site: Site, number: int, behind_mm: float) -> list[str]:
    """A wire through the spindle, not quite centred in it, hanging as its true note says."""
    station = stood(behind_mm, "rear limit", "standing")
    rear_mm, front_mm = -STANDOFF_MM - 4900.0, 900.0
    sag_mm = 9806.65 / (32.0 * site.note_hz**2)

    def hung_mm(x_mm: float) -> float:
        return 4.0 * sag_mm * (x_mm - rear_mm) * (x_mm - front_mm) / (front_mm - rear_mm) ** 2

    share = (station.x_mm - 20.0) / 600.0
    line_mm = site.missed_mm[0] * (1.0 - share) + site.missed_mm[1] * share
    line_mm[1] += hung_mm(station.x_mm) - hung_mm(20.0) * (1.0 - share) - hung_mm(620.0) * share
    left_mm, high_mm = site.lathe.seen(site.body, station) - line_mm + random.uniform(-LINE_MM, LINE_MM, 2)
    return [
        f'[[line_readings]]\nround = {number}\nline = "wire"\nbehind_clamp = {typed(behind_mm, site)}',
        f'above = {typed(high_mm, site)}\nleft = {typed(left_mm, site)}\nwithin = "{LINE_MM} mm"',
    ]


def answered(text: str) -> Level:
    """The answer to a job's text."""
    return level_of(place(parse_job(text)))


def planned(level: Level) -> Plan:
    """The moves of the last round, which tells where the loader lies."""
    assert level.last is not None
    assert level.last.lacking is None
    assert level.last.plan is not None
    return level.last.plan


@dataclass(frozen=True)
class Result:
    """What became of one site: promises kept, whether it was called in line after moving and was, surprises."""

    kept: tuple[bool, ...]
    consistent: bool
    outcome: Outcome
    truly_in_line: bool
    standoff_error_mm: float


def worked(seed: int, *, step_mm: float | None = 0.1) -> Result:
    """Read, move as told, see where the axis lies, read again."""
    random = np.random.default_rng(seed)
    site = Site.drawn(random, step_mm=step_mm)
    start = SLIDING + frame_text(site) + round_text(random, site, 1)
    level = answered(start)
    made = planned(level)
    body = carried_out(random, site.body, frame_of(site), made, level.ground.means)
    kept = []
    for residual in made.expected.residuals:
        point, offset = residual.offset.point, residual.offset
        there = Station(point.x_mm, headstock_mm=point.headstock_mm, loader_mm=point.loader_mm)
        left_mm, high_mm = site.lathe.seen(body, there)
        assert offset.sideways is not None
        kept.append(abs(high_mm - offset.upright.miss_mm) <= TWO_SIDED * offset.upright.u_mm)
        kept.append(abs(left_mm - offset.sideways.miss_mm) <= TWO_SIDED * offset.sideways.u_mm)
    kept.append(abs(body.roll_mm_per_m() - made.after.value(ROLL)) <= TWO_SIDED * made.after.u(ROLL))
    clamp = np.array([-STANDOFF_MM, 0.0, 0.0])
    came_mm = float(body.at(clamp)[0] - site.body.at(clamp)[0])
    moved = replace(site, body=body, **errors(random))
    again = answered(start + round_text(random, moved, 2))
    assert again.last is not None
    assert again.last.alignment is not None
    return Result(
        kept=tuple(kept),
        consistent=again.last.alignment.fit.consistent,
        outcome=again.outcome,
        truly_in_line=in_line(again, site.lathe, body),
        standoff_error_mm=-came_mm - made.standoff_change_mm,
    )


def in_line(level: Level, lathe: Lathe, body: Body) -> bool:
    """Whether a loader lies within the tolerances at every point, and is rolled by no more than is allowed."""
    tolerances = level.ground.tolerances
    if abs(body.roll_mm_per_m()) > tolerances.roll_mm_per_m:
        return False
    for point in level.ground.points:
        there = Station(point.x_mm, headstock_mm=point.headstock_mm, loader_mm=point.loader_mm)
        if np.max(np.abs(lathe.seen(body, there))) > tolerances.at_mm(point):
            return False
    return True


def check_promises(first: int, count: int, *, step_mm: float | None) -> None:
    """Residuals lie within 1.96 of their uncertainties as often as that says, and what is called in line is in line."""
    results = [worked(seed, step_mm=step_mm) for seed in range(first, first + count)]
    kept = np.mean([result.kept for result in results], axis=0)
    short = 4.0 * math.sqrt(0.95 * 0.05 / count)
    assert np.all(kept >= 0.95 - short), kept
    # Limits of error have no tails, so a little more than promised is kept; much more would be uncertainty put on for show.
    assert np.mean(kept) <= 0.985, kept
    assert np.mean([result.consistent for result in results]) >= 0.99 - 4.0 * math.sqrt(0.99 * 0.01 / count)
    called = [result for result in results if result.outcome is Outcome.IN_LINE]
    assert len(called) > count / 4, len(called)
    assert np.mean([result.truly_in_line for result in called]) >= 0.95
    # Second order: 3 mm/m over a metre of height.
    assert max(abs(result.standoff_error_mm) for result in results) < 0.03


def test_what_is_promised_with_shims_comes_true() -> None:
    """Sites drawn at random, typed into job files, moved by shims of 0.1 mm."""
    check_promises(0, DAILY, step_mm=0.1)


def test_what_is_promised_with_jacks_comes_true() -> None:
    """The same with feet that go to any height."""
    check_promises(5000, DAILY // 2, step_mm=None)


@pytest.mark.prove
def test_what_is_promised_comes_true_at_length() -> None:
    """The same for many more sites."""
    check_promises(100_000, PROVED, step_mm=0.1)
    check_promises(200_000, PROVED, step_mm=None)


@pytest.mark.parametrize("seed", range(8))
def test_without_a_level_nothing_is_told(seed: int) -> None:
    """Whatever else was read: the roll is asked for, and no move is given."""
    random = np.random.default_rng(seed)
    site = Site.drawn(random)
    whole = round_text(random, site, 1)
    start, end = whole.index("[[levels]]"), whole.index("[[sweeps]]")
    level = answered(SLIDING + frame_text(site) + whole[:start] + whole[end:])
    assert level.outcome is Outcome.UNTOLD
    assert level.last is not None
    assert level.last.lacking is not None
    assert level.last.lacking.given == "that do not tell: roll"
    assert level.last.plan is None


def check_covariance(count: int) -> None:
    """The stated uncertainties of the pose are those of readings typed over and over."""
    random = np.random.default_rng(17)
    site = Site.drawn(random)
    frame = SLIDING + frame_text(site)
    drawn = []
    for _ in range(count):
        level = answered(frame + round_text(random, replace(site, **errors(random)), 1))
        assert level.last is not None
        assert level.last.alignment is not None
        drawn.append(level.last.alignment.pose)
    estimates = np.array([pose.estimates for pose in drawn])
    stated = np.sqrt(np.diag(drawn[0].covariance))
    # The sag that is taken off grows with the note's square: its stated part differs a little from draw to draw.
    assert np.std(estimates, axis=0) == pytest.approx(stated, rel=4.5 / math.sqrt(2.0 * count) + 0.01)


def test_covariance_is_that_of_what_is_typed() -> None:
    """Three hundred draws through the job file."""
    check_covariance(300)


@pytest.mark.prove
def test_covariance_is_that_of_what_is_typed_at_length() -> None:
    """The same with five thousand."""
    check_covariance(5000)


LENGTHS = ("0 mm", "0.001 mm", "-0.3 mm", "25 mm", "-900 m", "900 m", "1/128 in", "12 ft", "0.3 mm ± 0.0001 mm", "0 mm ± 50 m")
SLOPES = ("0 mm/m", "-0.5 mm/m", "900000 mm/m", "-0.0001 um/m", "0.006 in/ft")


def typed_anyhow(random: np.random.Generator, site: Site) -> str:
    """A job whose lengths and slopes were typed without sense, row by row; every one of them is a length or a slope."""
    lines = (frame_text(site) + round_text(random, site, 1)).splitlines()
    for i in random.choice(len(lines), size=6, replace=False):
        key, _, value = lines[i].partition(" = ")
        if "mm/m" in value:
            lines[i] = f'{key} = "{random.choice(SLOPES)}"'
        elif value.rstrip('"').endswith((" mm", " in")):
            lines[i] = f'{key} = "{random.choice(LENGTHS)}"'
    return SLIDING + "\n".join(lines) + "\n"


def check_anyhow(first: int, count: int) -> int:
    """An answer in finite figures, or every problem with what to do; never another error. How many were answered."""
    answers, refused = 0, []
    for seed in range(first, first + count):
        random = np.random.default_rng(seed)
        text = typed_anyhow(random, Site.drawn(random))
        try:
            level = answered(text)
        except JobFileError as error:
            refused += error.problems
            continue
        answers += 1
        told = json.dumps(level_contents(level, program="test"), allow_nan=False)
        assert told.startswith("{")
        assert level_text(level, every_round=True)
    assert all(problem.action for problem in refused)
    return answers


def test_whatever_is_typed_is_answered_or_refused() -> None:
    """Kilometres, zeros, slopes like walls: three hundred jobs with six senseless entries each."""
    assert check_anyhow(0, 300) > 30


@pytest.mark.prove
def test_whatever_is_typed_is_answered_or_refused_at_length() -> None:
    """The same for ten thousand."""
    assert check_anyhow(50_000, 10_000) > 1000
