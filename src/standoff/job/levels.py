"""Levelling a job: round by round where the loader's axis lies, what each foot and screw is to do, and what comes next.

Readings of a round -> alignment (`site.levelling`) -> verdict now, and, where the feet are known, the plan of moves with what is
expected of it. A round that does not tell where the loader lies says what is wanted and is never guessed at. The last round is
the one that counts; the others show what was expected and what became of it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum

from standoff.errors import UsageError
from standoff.job.job import Job
from standoff.job.keys import defaulted_mm
from standoff.job.level_doubt import in_doubt
from standoff.job.level_readings import Taken, readings_of, rounds_of
from standoff.job.level_stand import Stand
from standoff.job.level_tables import FrameTable, LevelRoundTable, LevelTolerancesTable, Stage
from standoff.job.placement import Placement
from standoff.reading import Reading, rectangular_u_mm
from standoff.site.axis import (
    HEADSTOCK_DRIFT,
    HEADSTOCK_RISE,
    LOADER_DRIFT,
    LOADER_RISE,
    Point,
)
from standoff.site.frame import Foot, Frame, Screw
from standoff.site.levelling import Alignment, Means, Plan, Verdict, align, judge, plan
from standoff.site.order import Tightened, tightening
from standoff.site.tolerance import COMMON_PRACTICE, CentreHeight, Grade, Tolerances, centre_height

UNLIMITED_MM = 1e6
"""A travel that was not stated: nothing is checked against it."""

STATED = "as stated in the job"


class Outcome(Enum):
    """The answer in one word; the value is the contract's."""

    IN_LINE = "in-line"
    BETTER = "in-line-if-measured-better"
    UNDECIDED = "not-decided"
    NOT = "not-in-line"
    UNTOLD = "not-told"


@dataclass(frozen=True, slots=True, eq=False)
class Ground:
    """What every round is judged on: the pair as it stands, feet and screws, tolerances, and where the axis is judged."""

    stand: Stand
    frame: Frame | None
    means: Means
    tolerances: Tolerances
    height: CentreHeight | None
    points: tuple[Point, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Round:
    """One round of readings. `lacking`: why it does not tell where the loader lies, and what to read; empty where it does.

    `forecast`: the moves of the round before, where they were made.
    """

    number: int
    stage: Stage
    told: LevelRoundTable | None
    taken: tuple[Taken, ...]
    lacking: UsageError | None
    alignment: Alignment | None
    now: Verdict | None
    plan: Plan | None
    forecast: Plan | None

    @property
    def complete(self) -> bool:
        """Whether it tells where the loader lies."""
        return self.alignment is not None

    @property
    def sideways_read(self) -> bool:
        """Whether it tells how far aside the loader lies."""
        return self.alignment is not None and self.alignment.pose.has_sideways

    @property
    def unclosed(self) -> tuple[Taken, ...]:
        """The sweeps whose four readings do not agree with a round surface."""
        return tuple(taken for taken in self.taken if not taken.closes)

    @property
    def standoff(self) -> Reading | None:
        """The standoff as it was read in this round."""
        return self.told.standoff[0] if self.told is not None and self.told.standoff else None


@dataclass(frozen=True, slots=True, eq=False)
class Level:
    """The answer: the pair as it stands, what it is judged by, every round, and what tightening did."""

    placement: Placement
    ground: Ground
    standoff_from: str
    rounds: tuple[Round, ...]
    tightened: tuple[Tightened, ...]

    @property
    def job(self) -> Job:
        """The job."""
        return self.placement.job

    @property
    def last(self) -> Round | None:
        """The round that counts."""
        return self.rounds[-1] if self.rounds else None

    @property
    def grade(self) -> Grade | None:
        """How the axis lies now; None where nothing tells it."""
        return self.last.now.grade if self.last is not None and self.last.now is not None else None

    @property
    def outcome(self) -> Outcome:
        """The answer in one word.

        A centre height out of range stands in the way only where the axis was not found in line; a change on tightening beyond
        its tolerance means that the frame was forced. What was not read, or contradicts itself, is never called in line; a travel
        read at one end only leaves the answer undecided.
        """
        last = self.last
        if last is None or last.alignment is None:
            return Outcome.UNTOLD
        changes = [change.grade for one in self.tightened for change in (one.upright, one.sideways) if change is not None]
        if self.grade == "outside" or "outside" in changes:
            return Outcome.NOT
        sure = self.grade == "within" and last.sideways_read and last.alignment.fit.consistent and not last.unclosed
        if not sure and self.ground.height is not None and self.ground.height.grade == "outside":
            return Outcome.NOT
        if self.grade == "not decided":
            return Outcome.UNDECIDED
        return Outcome.IN_LINE if sure else Outcome.BETTER

    def read_at_one_position(self, one: Round) -> tuple[str, ...]:
        """What travels, headstock or loader, and was read at one position of its travel only."""
        seen = set(one.alignment.at_one_position) if one.alignment is not None else set()
        stand = self.ground.stand
        ways = {
            "headstock": stand.slides and seen & {HEADSTOCK_RISE, HEADSTOCK_DRIFT},
            "loader": stand.shifts and seen & {LOADER_RISE, LOADER_DRIFT},
        }
        return tuple(name for name, untold in ways.items() if untold)


def level_of(placement: Placement) -> Level:
    """Where does the loader's axis lie, round by round, and what is to be done?

    Nothing is refused: a round that lacks readings says so in `Round.lacking`.
    """
    job = placement.job
    standoff_mm, standoff_from = _standoff(placement)
    stand = Stand(job, standoff_mm, placement.cut_mm)
    ground = Ground(stand, frame_of(stand), means_of(job), tolerances_of(job), height_of(job), stand.points())
    rounds: list[Round] = []
    for number in rounds_of(job):
        rounds.append(_round(ground, number, _moved_by(rounds[-1]) if rounds else None))
    return Level(placement, ground, standoff_from, tuple(rounds), _tightened(rounds, ground))


def moves_wanted(level: Level, one: Round) -> bool:
    """Whether a round is followed by moves: where it surely lies outside, or the last because tightening forced the frame."""
    if one.now is None or in_doubt(one.now):
        return False
    return one.now.grade == "outside" or (one is level.last and level.outcome is Outcome.NOT)


def _standoff(placement: Placement) -> tuple[float, str]:
    """Where the loader stands: as read last while levelling, as installed, or where it is to be placed. [mm]"""
    if placement.asked_mm is not None:
        return placement.asked_mm, "as asked"
    tables = placement.job.tables
    read = [row for row in sorted(tables.level_rounds, key=lambda row: row.round) if row.standoff]
    if read and read[-1].standoff:
        return read[-1].standoff[0].value_mm, f"as read in round {read[-1].round}"
    if tables.as_installed is not None and tables.as_installed.standoff:
        return tables.as_installed.standoff[0].value_mm, "as installed"
    return placement.standoff_mm, "the standoff aimed at, not read yet"


def frame_of(stand: Stand) -> Frame | None:
    """The feet and side screws where they stand; None without feet."""
    tables = stand.job.tables
    if not tables.feet:
        return None
    axis_height = tables.frame.axis_height if tables.frame is not None else None
    height_mm = axis_height[0].value_mm if axis_height else stand.job.readings["lathe.centre_height"].value_mm
    feet = tuple(
        Foot(
            name=foot.name,
            x_mm=stand.frame_x_mm(foot.behind_clamp[0].value_mm),
            y_mm=foot.left[0].value_mm,
            down_mm=_travel_mm(foot.down),
            up_mm=_travel_mm(foot.up),
        )
        for foot in tables.feet
    )
    screws = tuple(
        Screw(
            name=screw.name,
            x_mm=stand.frame_x_mm(screw.behind_clamp[0].value_mm),
            right_mm=_travel_mm(screw.right),
            left_mm=_travel_mm(screw.left),
        )
        for screw in tables.side_screws
    )
    return Frame(feet, height_mm, screws)


def _travel_mm(series: tuple[Reading, ...] | None) -> float:
    return series[0].value_mm if series else UNLIMITED_MM


def means_of(job: Job) -> Means:
    """What feet and screws are moved with, and how exactly."""
    table = job.tables.frame
    step = table.shim_step if table is not None else None
    return Means(
        step_mm=step[0].value_mm if step else None,
        foot_u_mm=rectangular_u_mm(defaulted_mm(table, FrameTable, "foot_setting")),
        screw_u_mm=rectangular_u_mm(defaulted_mm(table, FrameTable, "screw_setting")),
    )


def tolerances_of(job: Job) -> Tolerances:
    """What is allowed: as the job states it, the rest by common practice, and where it is from."""
    table = job.tables.level_tolerances
    usual = Tolerances()
    if table is None:
        return usual
    stated = [key for key in LevelTolerancesTable.model_fields if key != "basis" and getattr(table, key) is not None]
    basis = table.basis or STATED
    if len(stated) < len(LevelTolerancesTable.model_fields) - 1:
        basis = f"{basis}; the rest {COMMON_PRACTICE}" if stated else COMMON_PRACTICE
    return Tolerances(
        spindle_mm=table.spindle[0].value_mm if table.spindle else usual.spindle_mm,
        axis_mm=table.axis[0].value_mm if table.axis else usual.axis_mm,
        roll_mm_per_m=table.roll if table.roll is not None else usual.roll_mm_per_m,
        rock_mm=table.rock[0].value_mm if table.rock else usual.rock_mm,
        tightening_mm=table.tightening[0].value_mm if table.tightening else usual.tightening_mm,
        basis=basis,
    )


def height_of(job: Job) -> CentreHeight | None:
    """The spindle's height in the loader's range; None where the survey does not say both."""
    spindle = job.readings.get("lathe.centre_height")
    ends = job.tables.loader.centre_height
    if spindle is None or ends is None:
        return None
    least, greatest = (series[0] for series in ends)
    # Each end of the range is as unsure as its source: the worse of the two goes with the spindle's height.
    u_mm = (spindle.u_mm**2 + max(least.u_mm, greatest.u_mm) ** 2) ** 0.5
    return centre_height(spindle_mm=spindle.value_mm, least_mm=least.value_mm, greatest_mm=greatest.value_mm, u_mm=u_mm)


def _moved_by(one: Round) -> Plan | None:
    """The moves that a round is followed by; none where it found nothing outside, or was not sure of it."""
    return one.plan if one.now is not None and one.now.grade == "outside" and not in_doubt(one.now) else None


def _round(ground: Ground, number: int, before: Plan | None) -> Round:
    told = next((row for row in ground.stand.job.tables.level_rounds if row.round == number), None)
    stage: Stage = (told.stage if told is not None else None) or ("as found" if number == 1 else "moved")
    taken: tuple[Taken, ...] = ()
    alignment, lacking = None, None
    try:
        taken = readings_of(ground.stand, number)
        alignment = align(observation for one in taken for observation in one.observations)
    except UsageError as error:
        lacking = error
    moves = None
    if alignment is not None and ground.frame is not None:
        moves = plan(
            alignment,
            ground.frame,
            points=ground.points,
            tolerances=ground.tolerances,
            means=ground.means,
            height=ground.height,
            weighed=ground.stand.weighed(),
        )
    return Round(
        number=number,
        stage=stage,
        told=told,
        taken=taken,
        lacking=lacking,
        alignment=alignment,
        now=None if alignment is None else judge(alignment.pose, ground.points, ground.tolerances),
        plan=moves,
        forecast=before if stage == "moved" else None,
    )


def _tightened(rounds: Sequence[Round], ground: Ground) -> tuple[Tightened, ...]:
    """What the last tightening changed, against the last round before it that tells where the loader lay."""
    after = next((one for one in reversed(rounds) if one.stage == "tightened" and one.alignment is not None), None)
    if after is None or after.alignment is None or after is not rounds[-1]:
        return ()
    loose = (one for one in reversed(rounds) if one.stage != "tightened" and one.alignment is not None)
    before = next(loose, None)
    if before is None or before.alignment is None:
        return ()
    return tightening(before.alignment.pose, after.alignment.pose, ground.points, ground.tolerances)
