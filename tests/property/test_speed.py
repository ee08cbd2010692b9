"""Random pairs with random bars: what must hold of every speed, whatever the machines and the bars are like."""

from __future__ import annotations

import json
import math
from dataclasses import dataclass
from functools import cache
from random import Random

import numpy as np
import pytest

from standoff.bar.whip import HIGHEST_RATIO
from standoff.errors import UsageError
from standoff.job.bars import Bar, bars_of
from standoff.job.file import parse_job
from standoff.job.job import Job
from standoff.job.placement import place
from standoff.job.refusal import as_json
from standoff.job.spans import Spans, spans, turning_states
from standoff.job.speed import MODEL, SpeedAnswer, Verdict, bar_speed
from standoff.job.speed_answer import speed_contents
from tests.jobs import Case, mode_name, random_case
from tests.texts import altered
from tests.written import numbers

CASES = 200
ANSWERED = 24
PROVED = 400


@dataclass(frozen=True)
class Turning:
    """A random job with bars: its case and the text."""

    case: Case
    text: str


def turning(seed: int, **changed: str) -> Turning:
    """A random pair of the tests with bars, supports and limits drawn beside it; `changed` replaces what was drawn."""
    case = random_case(seed)
    draw = Random(seed + 10_000)
    mm = numbers(case)
    pusher_mm = mm.get("bar_path.pusher_od", float(draw.randint(20, 60)))
    size_mm = round(draw.uniform(3.0, min(pusher_mm - 1.0, 50.0)), 1)
    bore_mm = pusher_mm + draw.randint(8, 20)
    drawn = {
        "cutoff": f"{draw.randint(450, 700)} mm",
        "mass": f"{draw.uniform(0.2, 6.0):.2f} kg",
        "insertion": f"{draw.randint(0, 60)} mm",
        "shape": draw.choice(("round", "hexagon", "square")),
        "size": f"{size_mm} mm",
        "material": draw.choice(("steel", "brass C36000", "aluminium 6061-T6", "titanium Ti-6Al-4V", "acetal POM")),
        "speed": f"{draw.randint(50, 6000)} rpm",
        "push": f"{draw.randint(1, 400)} N",
        "limit": f"{draw.randint(500, 9000)} rpm",
        "stiffness": f"{draw.uniform(0.1, 100.0):.3f} kN/mm",
    } | changed
    more = _tables(draw, case, drawn, mm["loader.bar_capacity"], bore_mm)
    path: dict[str, str | None] = {
        "lathe.collet_to_cutoff": f'"{drawn["cutoff"]}"',
        "bar_path.pusher_mass": f'"{drawn["mass"]}"',
        "bar_path.insertion": f'"{drawn["insertion"]}"',
    }
    if "bar_path.pusher_od" not in mm:
        path |= {"bar_path.pusher_od": f'"{pusher_mm} mm"'}
    if "bar_path.pusher_collet_od" not in mm:
        path |= {"bar_path.pusher_collet_od": f'"{pusher_mm} mm"'}
    return Turning(case, altered(case.text(), path, more=more))


def _tables(draw: Random, case: Case, drawn: dict[str, str], capacity_mm: float, bore_mm: float) -> str:
    """The tables of bars, supports and limits."""
    collet = ["[[supports]]", 'name = "main collet"', 'kind = "collet"', 'station = "main-collet"']
    collet += [
        f'ahead = "{draw.randint(40, 100)} mm"',
        f'length = "{draw.randint(20, 60)} mm"',
        f'stiffness = "{drawn["stiffness"]}"',
    ]
    channel = ["[[supports]]", 'name = "the channel"', 'kind = "channel"', 'station = "clamp"', f'bore = "{bore_mm} mm"']
    channel += [f'ahead = "-{draw.randint(0, 60)} mm"', f'length = "{math.ceil(capacity_mm) + draw.randint(0, 400)} mm"']
    channel += [f'spacing = "{draw.randint(150, 900)} mm"'] if draw.random() < 0.4 else []
    channel += ["flooded = true"] if draw.random() < 0.3 else []
    rest = ["[[supports]]", 'name = "rest"', 'kind = "rest"', 'station = "clamp"', f'ahead = "{draw.randint(20, 200)} mm"']
    bushing = ["[[supports]]", 'name = "bushing"', 'kind = "guide-bushing"', 'station = "cut-off"', 'length = "25 mm"']
    bushing += [f'ahead = "{draw.randint(-10, 30)} mm"', *([f'mode = "{mode_name(0)}"'] if case.modes else [])]
    bar = [
        "[[bars]]",
        'name = "bar"',
        f'shape = "{drawn["shape"]}"',
        f'size = "{drawn["size"]}"',
        f'material = "{drawn["material"]}"',
    ]
    bar += [f'speed = "{drawn["speed"]}"', f'feed_force = "{drawn["push"]}"']
    limits = ["[[speed_limits]]", 'of = "lathe"', f'speed = "{drawn["limit"]}"', "[feed]", f'hold = "{draw.randint(1, 60)} N"']
    tables = [bar, collet, channel, limits, *([rest] if draw.random() < 0.6 else []), *([bushing] if draw.random() < 0.5 else [])]
    return "\n".join(line for table in tables for line in table) + "\n"


@cache
def job_of(seed: int) -> tuple[Job, Bar]:
    """A random job and its bar."""
    job = parse_job(turning(seed).text)
    return job, bars_of(job)[0]


def held(seed: int, standoff_mm: float) -> dict[str, Spans]:
    """What holds the bar in each state that leaves something to turn."""
    job, bar = job_of(seed)
    found = {}
    for state in turning_states(job):
        try:
            one = spans(job, bar, state, standoff_mm=standoff_mm, cut_mm=0.0)
        except UsageError:
            continue
        found[one.where] = one
    return found


@cache
def answered(seed: int, **changed: str) -> SpeedAnswer | None:
    """The answer of a random job; None where the pusher would leave no bar to turn."""
    try:
        return bar_speed(place(parse_job(turning(seed, **changed).text), asked_mm=350.0))
    except UsageError:
        return None


def test_more_standoff_never_shortens_the_gap() -> None:
    """Nor does it lengthen it by more than itself: the loader's supports go back with it, the lathe's stay."""
    grew = seen = 0
    for seed in range(CASES):
        for where, near in held(seed, 320.0).items():
            far = held(seed, 370.0).get(where)
            if far is None or near.gap.front.startswith("roller"):
                continue  # between two rollers a bar that ends there may have less to span
            seen += 1
            assert near.gap.length_mm - 1e-6 <= far.gap.length_mm <= near.gap.length_mm + 50.0 + 1e-6, (seed, where)
            grew += far.gap.length_mm > near.gap.length_mm + 49.0
            assert far.shortest_mm >= near.shortest_mm - 1e-6, (seed, where)
    assert seen > CASES
    assert grew > seen / 3


def test_the_shortest_bar_is_the_remnant_of_the_contract() -> None:
    """R = K - min(C, X) + i, from the case's own numbers, in each mode at its front limit."""
    seen = 0
    for seed in range(CASES):
        job, _ = job_of(seed)
        mm = {name: reading.value_mm for name, reading in job.readings.items()}
        sign = float(turning(seed).case.forward)
        for where, one in held(seed, 350.0).items():
            mode, _, state = where.partition(", ")
            index = [mode_name(i) for i in range(job.sliding * 3)].index(mode) if job.sliding else 0
            if job.sliding and state != "front limit":
                continue
            rear_mm = mm.get("lathe.modes[0].z_rear", 0.0)
            fronts = [sign * (mm.get(f"lathe.modes[{i}].z_front", rear_mm) - rear_mm) for i in (0, index)]
            k_mm = fronts[0] + mm["lathe.adapter_to_collet"] + mm["lathe.collet_to_cutoff"]
            c_mm = fronts[1] + mm["lathe.adapter_to_collet"]
            x_mm = mm["loader.pusher_reach"] + mm.get(f"lathe.modes[{index}].loader_shift", 0.0) - 350.0
            assert one.shortest_mm == pytest.approx(k_mm - min(c_mm, x_mm) + mm["bar_path.insertion"]), (seed, where)
            seen += 1
    assert seen > CASES / 2


def check(seed: int) -> Verdict | None:
    """Everything the contract promises of one answer; its verdict."""
    answer = answered(seed)
    if answer is None:
        return None
    text = as_json(speed_contents(answer, program="test"))
    assert "NaN" not in text, seed
    assert "Infinity" not in text, seed
    told = json.loads(text)["bars"][0]
    (one,) = answer.bars
    assert told["verdict"] == one.verdict.value
    if not one.passes:
        assert (one.limits, one.courses, told["speed"]) == ((), (), None), seed
        return one.verdict
    assert one.pushing is not None
    assert all(limit.speed_rpm >= one.lowest.speed_rpm >= 0.0 for limit in one.limits), seed
    assert one.share <= HIGHEST_RATIO
    for course in one.courses:
        life = course.life
        curves = np.stack([life.soft_rpm, life.whip_rpm, life.stiff_rpm])
        assert np.isfinite(curves).all(), seed
        assert np.isfinite(life.on_liner_rpm).all(), seed
        assert (np.diff(curves, axis=0) >= -1e-5 * curves[1:]).all(), seed
        assert (life.on_liner_rpm >= life.whip_rpm * (1.0 - 1e-5)).all(), seed
        model = next(limit.speed_rpm for limit in one.limits if limit.of == MODEL)
        assert model <= one.share * life.whip_rpm.min() + 1e-9, seed
        assert model <= HIGHEST_RATIO * life.soft_rpm.min() + 1e-9, seed
    ends = [edge for step in one.steps for edge in (step.longest_mm, step.shortest_mm)]
    assert ends == sorted(ends, reverse=True), seed
    assert ends[0] == max(course.spans.longest_mm for course in one.courses), seed
    assert ends[-1] == pytest.approx(min(course.spans.shortest_mm for course in one.courses)), seed
    assert all(before.shortest_mm == after.longest_mm for before, after in zip(one.steps, one.steps[1:], strict=False)), seed
    assert min(step.limit_rpm for step in one.steps) == pytest.approx(one.lowest.speed_rpm), seed
    assert (one.verdict is Verdict.TOO_FAST) <= (one.buckles or (one.used or 0.0) > 1.0), seed
    return one.verdict


def test_every_answer_keeps_the_contract() -> None:
    """Finite, ordered, never above the lowest limit, without a hole, fit to be written down; verdicts of several kinds."""
    verdicts = {check(seed) for seed in range(ANSWERED)}
    assert len(verdicts - {None}) >= 3


@pytest.mark.prove
def test_many_more_answers_keep_the_contract() -> None:
    """No random bar makes the program stumble."""
    verdicts = [check(seed) for seed in range(ANSWERED, PROVED)]
    assert {Verdict.NO_PASSAGE, Verdict.NO_FORCE, Verdict.TOO_FAST, Verdict.WITHIN} <= set(verdicts)
    assert sum(verdict is None for verdict in verdicts) < PROVED / 2


@pytest.mark.parametrize(("key", "low", "high"), [("mass", "0.5 kg", "5 kg"), ("push", "1 N", "300 N")])
def test_more_mass_or_push_never_raises_the_models_limit(key: str, low: str, high: str) -> None:
    """By Rayleigh's principle: mass at the end and a force along the bar lower every frequency."""
    fell = 0
    for seed in range(ANSWERED // 2):
        pair = [answered(seed, **{key: value}) for value in (low, high)]
        if any(answer is None or not answer.bars[0].courses for answer in pair):
            continue
        less, more = (answer.bars[0].courses for answer in pair if answer is not None)
        for a, b in zip(less, more, strict=True):
            assert b.life.worst.whip_rpm <= a.life.worst.whip_rpm * (1.0 + 1e-5), seed
            fell += b.life.worst.whip_rpm < a.life.worst.whip_rpm * 0.999
    assert fell > 0


def test_a_makers_limit_can_only_lower() -> None:
    """Whatever the model says, a lower figure of a maker governs, and a higher one changes nothing of the model."""
    for seed in range(ANSWERED // 3):
        slow, fast = (answered(seed, limit=f"{rpm} rpm") for rpm in (1, 900_000))
        if slow is None or fast is None or not slow.bars[0].courses:
            continue
        if not slow.bars[0].buckles:
            assert slow.bars[0].lowest.speed_rpm <= 1.0, seed
        assert fast.bars[0].lowest.of == MODEL, seed
        assert [limit for limit in slow.bars[0].limits if limit.of == MODEL] == [fast.bars[0].lowest], seed
