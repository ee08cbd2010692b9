"""What was measured and tested in the run-off, in words: remnants, parts, the bar's end, bar changes, signals, alarms."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator

from standoff.job.amounts import many
from standoff.job.runoff import NOT_OK, NOT_TESTED, OK, Runoff, RunStanding, SignalStanding
from standoff.job.runoff_measures import ChangeStanding, LengthStanding, RemnantStanding
from standoff.job.signals import BOTH
from standoff.job.speech import fine_length, listed, small_length
from standoff.site.capability import Capability
from standoff.site.control_chart import ControlChart, Finding
from standoff.site.remnant import Compliance, Match
from standoff.units import INCH_MM, Units

NOT_PREDICTED = "not predicted: no part is named for this run"
SHORT_STOCK = "short stock leaves no remnant of a whole bar"


def remnant_lines(run: RunStanding, units: Units) -> tuple[str, ...]:
    """Remnants as measured, as predicted and as agreed; what stands out."""
    return tuple(_remnants(run, units))


def _remnants(run: RunStanding, units: Units) -> Iterator[str]:
    found, prediction = run.remnants, run.prediction
    if prediction is None:
        yield SHORT_STOCK if run.plan.agreed.changes is not None else NOT_PREDICTED
    elif found is None:
        shortest, longest = (fine_length(mm, units) for mm in (prediction.shortest_mm, prediction.longest_mm))
        yield f"predicted {fine_length(prediction.mean_mm, units)} on the average, {shortest} to {longest} for any bar"
    if found is None:
        yield "none measured yet"
        return
    yield _remnant_verdict(found, units)
    if found.prediction is not None:
        yield from _outside(found, units)
    if found.limit is not None and run.plan.agreed.remnant_at_most_mm is not None:
        most = fine_length(run.plan.agreed.remnant_at_most_mm, units)
        yield f"agreed: at most {most} on the average: {_compliance(found.limit.compliance)}"
    if found.chart is not None:
        yield chart_line(found.chart, found.bars, [fine_length(mm, units) for mm in (found.chart.lower, found.chart.upper)])


def _remnant_verdict(found: RemnantStanding, units: Units) -> str:
    mean = f"{fine_length(found.mean.mean_mm, units)} on the average of {many(found.mean.bars, 'bar')}"
    judgement, prediction = found.judgement, found.prediction
    if judgement is None or prediction is None:
        return mean
    if judgement.match is Match.NO_LENGTHS:
        shortest, longest = (fine_length(mm, units) for mm in (prediction.shortest_mm, prediction.longest_mm))
        return f"{mean}; any bar may leave {shortest} to {longest}: measure the length of bars before they run to tell more"
    told = f"{mean}{_of_known(found, units)}, predicted {fine_length(prediction.mean_mm, units)}, each bar by its own length"
    if judgement.match is Match.TOO_FEW:
        return f"{told}: too few bars to tell"
    known = small_length(judgement.limit_ratio * judgement.u_mm, units)
    difference = small_length(abs(judgement.difference_mm), units)
    if judgement.match is Match.AGREES:
        return f"{told}: agrees ({difference} off, and {known} would still be chance)"
    word = "longer" if judgement.match is Match.LONGER else "shorter"
    return f"{told}: {difference} {word}, more than the {known} that chance explains: a dimension is not what the survey says"


def _of_known(found: RemnantStanding, units: Units) -> str:
    """The mean of those whose length was measured, where these are not all."""
    if found.judgement is None or found.judgement.measured.bars == found.mean.bars:
        return ""
    measured = found.judgement.measured
    return f"; of the {measured.bars} whose length is known {fine_length(measured.mean_mm, units)}"


def _outside(found: RemnantStanding, units: Units) -> Iterator[str]:
    prediction = found.prediction
    if prediction is None:
        return
    shortest, longest = fine_length(prediction.shortest_mm, units), fine_length(prediction.longest_mm, units)
    if found.below:
        told = "the standoff does not allow that, so a reading is wrong or a dimension has moved"
        yield f"{many(found.below, 'remnant')} shorter than {shortest}: {told}"
    if found.above:
        told = "one more part would have been made of it, so the pusher ends too early or the counter is wrong"
        yield f"{many(found.above, 'remnant')} longer than {longest}: {told}"


def _compliance(compliance: Compliance) -> str:
    words = {
        Compliance.KEEPS: "kept",
        Compliance.EXCEEDS: "not kept",
        Compliance.OPEN: "too close to tell",
        Compliance.TOO_FEW: "too few bars to tell",
    }
    return words[compliance]


def chart_line(chart: ControlChart, bars: tuple[int, ...], limits: list[str]) -> str:
    """Whether a series runs steadily; `bars` are the places of its values in the run, from 1."""
    few = ", from few bars yet" if chart.provisional else ""
    if chart.steady:
        return f"steady from bar to bar: all between {limits[0]} and {limits[1]}{few}"
    told = listed(dict.fromkeys(_finding(found, bars) for found in chart.findings))
    return f"not steady: {told} (usual are {limits[0]} to {limits[1]}{few}): look for what changed there"


def _finding(found: Finding, bars: tuple[int, ...]) -> str:
    return f"{found.signal.value} at bar {bars[found.place]}"


def length_lines(run: RunStanding, units: Units) -> tuple[str, ...]:
    """First parts and last parts against their limits, and against each other."""
    return tuple(_lengths(run, units))


def _lengths(run: RunStanding, units: Units) -> Iterator[str]:
    for word, lengths in (("first parts", run.first_parts), ("last parts", run.end_parts)):
        if lengths is not None:
            yield f"{word}: {_length_verdict(lengths, units)}"
    paired = run.end_of_bar
    if paired is not None:
        way = "longer" if paired.mean_mm >= 0.0 else "shorter"
        by = f"{_thou(abs(paired.mean_mm), units)} {way}"
        told = f"last part against first part of the same bar: {by} on the average of {paired.pairs} bars"
        limits = f"between {_thou(paired.least_mm, units)} and {_thou(paired.greatest_mm, units)}"
        shown = "a difference is shown" if paired.differs else "no difference is shown"
        yield f"{told} ({limits}): {shown}" if paired.scatters else f"{told}, by the same in each: read finer to tell more"


def _length_verdict(lengths: LengthStanding, units: Units) -> str:
    count, (least, most) = len(lengths.lengths_mm), (min(lengths.lengths_mm), max(lengths.lengths_mm))
    told = f"{count} measured, {_thou(least, units)} to {_thou(most, units)}"
    if lengths.outside is None or lengths.wanted_mm is None or lengths.tolerance_mm is None:
        return f"{told}; no tolerance is agreed"
    limits = f"{_thou(lengths.wanted_mm, units)} ± {_thou(lengths.tolerance_mm, units)}"
    inside = f"{told}; {count - lengths.outside} of {count} within {limits}"
    return inside if lengths.capability is None else f"{inside}; {_capability(lengths.capability)}"


def _capability(found: Capability) -> str:
    few = "so few lengths show nothing of it"
    least = f"so few lengths show {found.cpk_least_ratio:.2f} at least" if found.cpk_least_ratio > 0.0 else few
    return f"Cp {found.cp_ratio:.2f}, Cpk {found.cpk_ratio:.2f} ({least})"


def change_lines(run: RunStanding) -> tuple[str, ...]:
    """Bar changes: how long they took, against what was agreed."""
    return () if run.changes is None else (_change_verdict(run.changes), *_change_chart(run.changes))


def _change_verdict(changes: ChangeStanding) -> str:
    longest = f"{math.ceil(changes.longest_s * 10.0 - 1e-6) / 10.0:g} s"
    told = f"{changes.mean_s:.0f} s on the average of {len(changes.changes_s)}, the longest {longest}"
    if changes.agreed_s is None or changes.over is None:
        return told
    kept = "kept" if not changes.over else f"not kept by {changes.over}"
    return f"{told}; agreed at most {changes.agreed_s:g} s: {kept}"


def _change_chart(changes: ChangeStanding) -> tuple[str, ...]:
    chart = changes.chart
    if chart is None or chart.steady:
        return ()
    limits = [f"{max(value, 0.0):.0f} s" for value in (chart.lower, chart.upper)]
    return (chart_line(chart, tuple(range(1, len(changes.changes_s) + 1)), limits).replace("at bar", "at change"),)


def signal_sentence(runoff: Runoff) -> str:
    """How far the signal test sheet is."""
    if not runoff.signals:
        return "No signal test sheet: describe a part, and its cycle gives the rows."
    results = Counter(signal.result for signal in runoff.signals)
    told = f"{results[OK]} of {len(runoff.signals)} signals are ok"
    bad = f", {results[NOT_OK]} not ok" if results[NOT_OK] else ""
    left = f", {results[NOT_TESTED]} not tested yet" if results[NOT_TESTED] else ""
    return f"{told}{bad}{left}."


def signal_lines(runoff: Runoff) -> tuple[str, ...]:
    """Every row of the sheet with its result."""
    return tuple(_signal(signal) for signal in runoff.signals)


def _signal(signal: SignalStanding) -> str:
    row = signal.row
    seen = f" ({', '.join(word for word in (signal.note, signal.by) if word)})" if signal.note or signal.by else ""
    wait = "wait" if row.waits == BOTH else "waits"
    return f"[{signal.result}] {row.id}: {row.when}: {row.do}; {row.waits} {wait} for {row.signal}: {row.expected}{seen}"


def alarm_lines(runoff: Runoff) -> tuple[str, ...]:
    """Alarms to provoke, with what came of them."""
    return tuple(
        f"[{alarm.result or NOT_TESTED}] {alarm.alarm}"
        + (f" ({', '.join(word for word in (alarm.note, alarm.by) if word)})" if alarm.note or alarm.by else "")
        for alarm in runoff.alarms
    )


def _thou(mm: float, units: Units) -> str:
    """A length as a caliper shows it."""
    return f"{mm / float(INCH_MM):.4f} in" if units == "in" else f"{mm:.3f} mm"
