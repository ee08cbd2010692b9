"""The run-off as other programs read it: `standoff-runoff/1`, the same bytes for the same input."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from standoff.errors import Problem
from standoff.job.runoff import Runoff, RunStanding, SignalStanding
from standoff.job.runoff_measures import ChangeStanding, LengthStanding, Prediction, RemnantStanding
from standoff.job.runoff_plan import RunPlan, counted_causes, over_limits
from standoff.job.runoff_speech import CAUTION, PASSING_SHARES, headline
from standoff.job.runoff_times import moment_text
from standoff.site.acceptance import Plan, RowPlan, operating_characteristic
from standoff.site.control_chart import ControlChart

FORMAT = "standoff-runoff/1"


def runoff_contents(runoff: Runoff, *, program: str) -> dict[str, Any]:
    """The answer's contents: lengths in mm to 4 decimals, shares to 6, times in s to 2."""
    table = runoff.job.tables.runoff
    return {
        "format": FORMAT,
        "program": program,
        "standoff_mm": _mm(runoff.placement.standoff_mm),
        "decision": runoff.decision.name.lower().replace("_", "-"),
        "sentence": headline(runoff),
        "shown_share": _share(runoff.shown_share),
        "agreed_by": table.agreed_by if table is not None else None,
        "agreed_on": table.agreed_on if table is not None else None,
        "counted_causes": sorted(cause.value for cause in counted_causes(table)),
        "clauses": [{"id": c.id, "run": c.run, "decision": c.decision.name.lower().replace("_", "-")} for c in runoff.clauses],
        "runs": [_run(runoff, run) for run in runoff.runs],
        "stops": [{"cause": s.cause.value, "count": s.count, "counts": s.counts} for s in runoff.stops],
        "signals": [_signal(signal) for signal in runoff.signals],
        "alarms": [{"alarm": a.alarm, "result": a.result, "note": a.note, "by": a.by} for a in runoff.alarms],
        "not_run_off": list(runoff.left_out),
        "bars_before_agreement": runoff.early,
        "bars_taken_back": runoff.undone,
        "refused": [
            {"kind": r.line.kind, "key": r.line.key, "problems": [_problem(p) for p in r.problems]} for r in runoff.refused
        ],
        "cautions": [CAUTION],
    }


def _signal(signal: SignalStanding) -> dict[str, Any]:
    found = {"parts": list(signal.parts), "result": signal.result, "note": signal.note, "by": signal.by}
    return {**asdict(signal.row), **found}


def _problem(problem: Problem) -> dict[str, str]:
    return {key: getattr(problem, key) for key in ("code", "field", "found", "expected", "action")}


def _run(runoff: Runoff, run: RunStanding) -> dict[str, Any]:
    state, agreed = run.state, run.plan.agreed
    bar_limit_rpm = runoff.bar_limit_rpm(agreed)
    interval = state.interval
    return {
        "name": agreed.name,
        "mode": agreed.run.mode,
        "bar": agreed.run.bar,
        "part": None if agreed.part is None else agreed.part.name,
        "speed_rpm": agreed.speed_rpm,
        "over_limits": [{"of": whose, "speed_rpm": limit_rpm} for whose, limit_rpm in over_limits(runoff.job, agreed)],
        "bar_limit_rpm": None if bar_limit_rpm is None else round(bar_limit_rpm, 1),
        "plan": _plan_of(run.plan),
        "decision": state.judgement.decision.name.lower().replace("_", "-"),
        "decided_by": state.decided_by,
        "bars_to_go": state.judgement.bars_to_go,
        "clean": state.clean,
        "stopped": state.stopped,
        "void": state.void,
        "since_decided": dict(zip(("bars", "stopped"), run.since, strict=True)),
        "clean_in_row": state.clean_in_row,
        "interval": None
        if interval is None
        else {
            "least_share": _share(interval.least_share),
            "greatest_share": _share(interval.greatest_share),
            "confidence_share": interval.confidence_share,
        },
        "bars": [
            {"key": r.key, "at": moment_text(r.at), "stop": None if r.stop is None else r.stop.value} for r in state.records
        ],
        "predicted_remnant": None if run.prediction is None else _prediction(run.prediction),
        "remnant": None if run.remnants is None else _remnants(run.remnants),
        "first_parts": None if run.first_parts is None else _lengths(run.first_parts),
        "last_parts": None if run.end_parts is None else _lengths(run.end_parts),
        "last_less_first": None
        if run.end_of_bar is None
        else {
            "mean_mm": _mm(run.end_of_bar.mean_mm),
            "least_mm": _mm(run.end_of_bar.least_mm),
            "greatest_mm": _mm(run.end_of_bar.greatest_mm),
            "pairs": run.end_of_bar.pairs,
            "differs": run.end_of_bar.differs,
        },
        "bar_change": None if run.changes is None else _changes(run.changes),
        "lengths_not_used": list(run.too_short),
    }


def _plan_of(plan: RunPlan) -> dict[str, Any]:
    shift, short = plan.shift, plan.short_stock
    return {
        **_plan(plan.plan),
        "rule": plan.rule.value,
        "stated": plan.stated,
        "confidence_share": plan.confidence_share,
        "shown_share": _share(plan.shown_share),
        "wanted_share": plan.wanted_share,
        "wanted_plan": None if plan.wanted is None else _plan(plan.wanted),
        "passes": [
            {"clean_share": share, "passing_share": _share(passing)}
            for share, passing in operating_characteristic(plan.plan, PASSING_SHARES)
        ],
        "short_stock": None
        if short is None
        else {"clean_share": plan.short_stock_share, "changes": short.further, "run_h": round(short.run_h, 2)},
        "shift": None
        if shift is None
        else {
            "shift_s": round(shift.shift_s, 2),
            "bars": shift.bars,
            "chance_share": shift.chance_share,
            "needed_share": _share(shift.needed_share),
            "shown_chance_share": _share(shift.shown_chance_share),
        },
    }


def _plan(plan: Plan) -> dict[str, Any]:
    return {"bars": plan.bars, "in_a_row": isinstance(plan, RowPlan), "stops_allowed": plan.stops_allowed}


def _prediction(found: Prediction) -> dict[str, Any]:
    return {
        "mean_mm": _mm(found.mean_mm),
        "u_mm": _mm(found.u_mm),
        "shortest_mm": _mm(found.shortest_mm),
        "longest_mm": _mm(found.longest_mm),
        "shortest_u_mm": _mm(found.shortest_u_mm),
        "by_own_lengths": found.own_lengths,
    }


def _remnants(found: RemnantStanding) -> dict[str, Any]:
    judgement, limit = found.judgement, found.limit
    return {
        "measured_mm": [_mm(mm) for mm in found.remnants_mm],
        "at_bars": list(found.bars),
        "mean_mm": _mm(found.mean.mean_mm),
        "u_mm": _mm(found.mean.u_mm),
        "prediction": None if found.prediction is None else _prediction(found.prediction),
        "against_prediction": None
        if judgement is None
        else {"match": judgement.match.value, "difference_mm": _mm(judgement.difference_mm), "u_mm": _mm(judgement.u_mm)},
        "against_agreed": None
        if limit is None
        else {"compliance": limit.compliance.value, "slack_mm": _mm(limit.slack_mm), "guard_mm": _mm(limit.guard_mm)},
        "below_shortest": found.below,
        "above_longest": found.above,
        "chart": None if found.chart is None else _chart(found.chart, digits=4),
    }


def _chart(chart: ControlChart, *, digits: int) -> dict[str, Any]:
    """A control chart in the unit of its values."""
    return {
        "centre": round(chart.centre, digits),
        "lower": round(chart.lower, digits),
        "upper": round(chart.upper, digits),
        "provisional": chart.provisional,
        "findings": [{"place": found.place + 1, "signal": found.signal.value} for found in chart.findings],
    }


def _lengths(found: LengthStanding) -> dict[str, Any]:
    capability = found.capability
    return {
        "measured_mm": [_mm(mm) for mm in found.lengths_mm],
        "wanted_mm": None if found.wanted_mm is None else _mm(found.wanted_mm),
        "tolerance_mm": None if found.tolerance_mm is None else _mm(found.tolerance_mm),
        "outside": found.outside,
        "capability": None
        if capability is None
        else {
            "cp": round(capability.cp_ratio, 4),
            "cpk": round(capability.cpk_ratio, 4),
            "cp_at_least": round(capability.cp_least_ratio, 4),
            "cpk_at_least": round(capability.cpk_least_ratio, 4),
            "confidence_share": capability.confidence_share,
        },
    }


def _changes(found: ChangeStanding) -> dict[str, Any]:
    return {
        "measured_s": [round(change_s, 2) for change_s in found.changes_s],
        "mean_s": round(found.mean_s, 2),
        "longest_s": round(found.longest_s, 2),
        "agreed_s": found.agreed_s,
        "over": found.over,
        "chart": None if found.chart is None else _chart(found.chart, digits=2),
    }


def _mm(value_mm: float) -> float:
    return round(value_mm, 4) + 0.0


def _share(share: float | None) -> float | None:
    return None if share is None else round(share, 6) + 0.0
