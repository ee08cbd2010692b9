"""Stock and money in words, each figure with how it follows; in the units and the currency of the job."""

from __future__ import annotations

from collections.abc import Iterator

from standoff.job.amounts import bar_at_least, bar_length, hours, many, mass, money, seconds, stated_money, thin
from standoff.job.costs import Longer, Loss, bar_change_s
from standoff.job.economy import (
    BARS_TOO_LONG,
    REMNANT_MAY_BE_TOO_LONG,
    REMNANT_TOO_LONG,
    Shared,
    Stock,
    StockSheet,
)
from standoff.job.job import Job
from standoff.job.speech import exact_length, fine_length, length, listed, small_length
from standoff.model.state import FIXED
from standoff.units import ON_STEP_MM, Units, step_up

CAUTION = (
    "These figures count bars and hours, nothing else. Whether a cell may run with nobody there is decided by its chips, tools"
    " and coolant, its protection against fire, and the risk assessment at the machine."
)

NOT_STATED = {
    "bars": "the bar's size and metal ([[bars]])",
    "price_per_bar": "what a bar costs (stock.price_per_bar or price_per_kg)",
    "per_order": "parts in an order (per_order)",
    "per_year": "parts in a year (per_year)",
    "shortest_to_buy": "the shortest bar to be had (stock.shortest_to_buy)",
    "bars_in_magazine": "what the magazine holds (stock.bars_in_magazine or magazine_width)",
    "seconds": "time for one part (seconds)",
    "bar_change": "time for changing a bar (cycle.bar_change)",
    "price_per_hour": "what an hour of the lathe costs (stock.price_per_hour)",
}
"""What a key that is not stated is called, and where it goes."""


_NO_PART = 0.005
"""A loss of fewer parts per bar would be shown as none."""


def where_line(sheet: StockSheet) -> str:
    """At which standoff these figures hold, and whether the pair does."""
    at = f"At a standoff of {length(sheet.placement.standoff_mm, sheet.job.units)}"
    return f"{at}." if sheet.placed else f"{at}, where the pair does not fit: these figures are for judging changes only."


def title(stock: Stock) -> str:
    """The part, its bar and its mode."""
    part = stock.supply.part
    mode = "" if part.mode.name == FIXED else f", {part.mode.name} mode"
    return f"{part.name} from {part.bar_name}{mode}"


def sentence(stock: Stock, units: Units) -> str:
    """A bar of this part in one sentence."""
    supply, part = stock.supply, stock.supply.part
    left, share = length(part.remnant_mm, units), float(supply.yields.yield_share)
    return (
        f"{many(supply.count, 'part')} from a bar of {bar_length(part.bar_mm, units)}; {left} are left,"
        f" and {share:.1%} of the bar becomes parts."
    )


def alarm_lines(stock: Stock, job: Job) -> tuple[str, ...]:
    """What is wrong with the bars of a part, with its figures."""
    return tuple(f"Mind: {_alarm(alarm, stock, job)}." for alarm in stock.alarms)


def _alarm(alarm: str, stock: Stock, job: Job) -> str:
    units, supply, cycle, reach = job.units, stock.supply, job.tables.cycle, stock.supply.part.reach
    drops = length(cycle.longest_remnant[0].value_mm, units) if cycle is not None and cycle.longest_remnant else ""
    if alarm == BARS_TOO_LONG:
        longest = bar_length(supply.longest_bar_mm, units)
        return f"bars may come as long as {longest}, and that is more than this job allows: order them shorter"
    if alarm == REMNANT_TOO_LONG:
        left = length(supply.part.remnant_mm, units)
        return f"the remnant, {left}, is longer than the loader can drop, {drops}: it has to come out another way"
    if alarm == REMNANT_MAY_BE_TOO_LONG:
        left = length(supply.longest_remnant_mm, units)
        return f"some bars leave a remnant of up to {left}, longer than the loader can drop, {drops}"
    least = length(cycle.gripped_at_least[0].value_mm, units) if cycle is not None and cycle.gripped_at_least else ""
    return f"the main collet holds {length(reach.gripped_mm, units)} of bar at the last cut-off, and must hold {least}"


def remnant_lines(stock: Stock, units: Units) -> tuple[str, ...]:
    """The shortest remnant with the figures it follows from."""
    reach = stock.supply.part.reach
    if reach.shortfall_mm > 0.0:
        sets = f"the pusher sets it: it ends {fine_length(reach.shortfall_mm, units)} short of C + p"
    else:
        spare_mm = reach.tip_limit_mm - reach.collet_mm - reach.into_collet_mm
        sets = f"the collet sets it: the pusher could go {fine_length(spare_mm, units)} farther"
    taken = "" if reach.insertion_stated else "; i is not stated and taken as 0: the remnant is longer by as much as it is"
    return (
        f"shortest remnant {exact_length(reach.remnant_mm, units)} = K - min(C + p, X) + i; {sets}{taken}",
        f"K {exact_length(reach.cut_off_mm, units)}: cut-off plane, from the adapter's rear face with the headstock fully back",
        f"C {exact_length(reach.collet_mm, units)}: back of the main collet at the last cut-off",
        f"p {exact_length(reach.into_collet_mm, units)}: how far the pusher may enter the collet",
        f"X {exact_length(reach.tip_limit_mm, units)}: the pusher's tip at its forward limit",
        f"i {exact_length(reach.insertion_mm, units)}: how deep the bar's end sits in the pusher collet",
    )


def bar_lines(stock: Stock, units: Units) -> tuple[str, ...]:
    """Where a bar's length and mass go."""
    supply, part = stock.supply, stock.supply.part
    cutting = part.cutting
    bar = bar_length(part.bar_mm, units)
    unused = f"{exact_length(part.facing_mm, units)} facing - {exact_length(cutting.remnant_mm, units)} remnant"
    if part.picked_off:
        gain_mm = cutting.held_mm - cutting.unused_mm
        unused += f" + {exact_length(gain_mm, units)} saved by the sub-spindle"
    each = f"{exact_length(part.length_mm, units)} part + {exact_length(part.cut_mm, units)} cut-off"
    advances = (part.bar_mm - cutting.unused_mm) / cutting.advance_mm
    fits = many(supply.count + 1, "part")
    lines = [
        f"{many(supply.count, 'part')}: ({bar} - {unused}) / ({each}) = {advances:.2f}, rounded down",
        f"left over {exact_length(part.remnant_mm, units)}: {bar} less facing, parts and cut-offs",
        f"the saw-tooth: {bar_at_least(stock.teeth.same_mm, units)} gives as many parts,"
        f" {fits} need {bar_at_least(stock.teeth.more_mm, units)}",
    ]
    masses = supply.masses
    if masses is not None:
        bar_kg, parts_kg, chips_kg, remnant_kg = (
            mass(float(kg), units) for kg in (masses.bar_kg, masses.parts_kg, masses.chips_kg, masses.remnant_kg)
        )
        lines.append(f"a bar weighs {bar_kg}: {parts_kg} parts as cut off, {chips_kg} facing and cut-offs, {remnant_kg} remnant")
    return tuple(lines)


def expected_lines(stock: Stock, units: Units) -> tuple[str, ...]:
    """What bars yield on the average over the mill's tolerance; nothing where they come as ordered."""
    supply, mean = stock.supply, stock.supply.expected
    if not supply.scatters:
        return ()
    span = f"{bar_length(supply.part.bar_mm, units)} to {bar_length(supply.longest_bar_mm, units)}"
    return (
        f"bars of {span}, each length as likely as any other: {supply.parts_per_bar:.2f} parts per bar"
        f" ({int(mean.fewest)} to {int(mean.most)}), remnant {length(float(mean.remnant_mm), units)},"
        f" {float(mean.yield_share):.1%} of the length becomes parts",
    )


def need_lines(stock: Stock) -> tuple[str, ...]:
    """Bars for an order and for a year."""
    supply = stock.supply
    per_bar = f"{supply.parts_per_bar:.2f}" if supply.scatters else f"{supply.count}"
    lines = []
    for wanted, bars, what in (
        (supply.per_order, supply.bars_per_order, "an order"),
        (supply.per_year, supply.bars_per_year, "a year"),
    ):
        if wanted is not None and bars is not None:
            lines.append(f"{what} of {many(wanted, 'part')}: {many(bars, 'bar')} ({wanted} / {per_bar}, rounded up)")
    surely = supply.bars_per_order_surely
    if surely is not None and surely != supply.bars_per_order:
        lines[0] += f"; {surely} if all come at their shortest"
    return tuple(lines)


def cost_lines(stock: Stock, job: Job, currency: str) -> tuple[str, ...]:
    """What bars cost, as far as prices and counts are stated."""
    return tuple(_cost_lines(stock, job, currency))


def _cost_lines(stock: Stock, job: Job, currency: str) -> Iterator[str]:
    supply, costs, prices = stock.supply, stock.costs, job.tables.stock
    if prices is not None and costs.bar_cost is not None and costs.part_cost is not None and costs.remnant_cost is not None:
        one, per_bar = money(costs.bar_cost, currency), f"{supply.parts_per_bar:.2f}" if supply.scatters else f"{supply.count}"
        if prices.price_per_bar is not None:
            one = stated_money(prices.price_per_bar, currency)
            yield f"a bar: {one}, as stated"
        elif prices.price_per_kg is not None and supply.mean_bar_kg is not None:
            per_kg = stated_money(prices.price_per_kg, currency)
            weight = f"{mass(supply.mean_bar_kg, 'mm')}{' on average' if supply.scatters else ''}"
            yield f"a bar: {one} ({weight} at {per_kg} a kilogram)"
        yield f"the bar for a part: {money(costs.part_cost, currency)} ({one} / {per_bar} parts)"
        yield f"the remnant of a bar: {money(costs.remnant_cost, currency)} (its share of the length)"
        for what, cost, bars in (
            ("an order", costs.order_cost, supply.bars_per_order),
            ("a year", costs.year_cost, supply.bars_per_year),
        ):
            if cost is not None and bars is not None:
                yield f"{what}: {money(cost, currency)} ({many(bars, 'bar')} at {one})"
        if len({part.bar or "" for part in job.tables.parts}) > 1:
            yield "one price is stated for every bar of this job, and taken for this one too"
    change_s = bar_change_s(job)
    if prices is not None and prices.price_per_hour is not None and change_s is not None and costs.changes_cost is not None:
        hour = stated_money(prices.price_per_hour, currency)
        how = f"{many(supply.bars_per_year or 0, 'bar change')} of {seconds(change_s)} at {hour} an hour"
        yield f"the lathe's hours for bar changes: {money(costs.changes_cost, currency)} a year ({how})"


def longer_lines(stock: Stock, job: Job, currency: str) -> tuple[str, ...]:
    """What the pusher's shortfall costs, and an inch (25 mm) more remnant: on the average, and of these bars."""
    lines: list[str] = []
    if stock.shortfall is not None:
        short = small_length(stock.shortfall.longer_mm, job.units)
        lines += _longer(f"the pusher's shortfall of {short}", stock.shortfall, stock, job, currency)
    if stock.step is not None:
        step = "an inch" if job.units == "in" else "25 mm"
        lines += _longer(f"{step} more remnant", stock.step, stock, job, currency)
    return tuple(lines)


def _longer(what: str, longer: Longer, stock: Stock, job: Job, currency: str) -> Iterator[str]:
    yield f"{what} costs {_loss(longer.mean, job, currency)}, on the average over bar lengths"
    bars = "within this tolerance" if stock.supply.scatters else "of bars of just this length"
    if longer.here is None:
        yield f"{what}, {bars}: no part is left"
    elif longer.here.parts < _NO_PART:
        yield f"{what}, {bars}: nothing, what is left over covers it"
    else:
        yield f"{what}, {bars}: {_loss(longer.here, job, currency)}"


def _loss(loss: Loss, job: Job, currency: str) -> str:
    """Parts per bar; bars, mass and money a year."""
    said = [f"{loss.parts:.2f} parts per bar"]
    if loss.yearly_bars is not None:
        said.append(f"{loss.yearly_bars:.1f} bars a year")
    if loss.yearly_kg is not None:
        said.append(f"{mass(loss.yearly_kg, job.units)} a year")
    if loss.yearly_cost is not None:
        said.append(f"{money(loss.yearly_cost, currency)} a year")
    return listed(said)


def purchase_lines(stock: Stock, job: Job, currency: str) -> tuple[str, ...]:
    """The bar length to buy."""
    purchase, units, part = stock.purchase, job.units, stock.supply.part
    if purchase is None:
        return ()
    if purchase.best is None:
        least, greatest = bar_at_least(purchase.least_mm, units), bar_length(purchase.greatest_mm, units)
        return (f"none: the shortest to be had that gives a part is {least}, the longest allowed {greatest}",)
    best = purchase.best
    nominal_mm = float(best.nominal_mm)
    least, greatest = bar_length(purchase.least_mm, units), bar_length(purchase.greatest_mm, units)
    waste, now = (thin(float(bars.wasted_per_part_mm), units) for bars in (best, stock.supply.expected))
    lines = [
        f"{_to_buy(units, best_mm=nominal_mm, greatest_mm=purchase.greatest_mm)} wastes least between {least} and {greatest}:"
        f" {float(best.parts):.4g} parts per bar, {waste} of bar for each part beyond the part itself, now {now}"
    ]
    if purchase.saved_share >= 0.0005:
        saved = f", {money(purchase.saved_cost, currency)} a year" if purchase.saved_cost is not None else ""
        lines.append(f"it takes {purchase.saved_share:.1%} less bar for the same parts{saved}")
    else:
        lines.append("it saves nothing against the bars of this job")
    if nominal_mm > part.bar_mm + 0.5:
        lines.append("it is longer than the bar of this job: place, cycle and speed have to be judged for it first")
    return tuple(lines)


def _to_buy(units: Units, *, best_mm: float, greatest_mm: float) -> str:
    """The best length up to the next step of the tape; as it is where that would be too long."""
    too_long = step_up(best_mm, units) > greatest_mm + ON_STEP_MM
    return exact_length(best_mm, units) if too_long else bar_at_least(best_mm, units)


def alone_lines(stock: Stock, job: Job) -> tuple[str, ...]:
    """What the magazine holds and how long it lasts."""
    supply, magazine, units = stock.supply, stock.magazine, job.units
    if magazine is None:
        return ()
    if magazine.width_mm is None or magazine.size_mm is None:
        holds = "as stated"
    else:
        holds = f"{length(magazine.width_mm, units)} wide, side by side, {exact_length(magazine.size_mm, units)} a bar"
    lines = [f"the magazine holds {many(magazine.bars, 'bar')} ({holds})"]
    if magazine.bars and stock.unattended_h is not None and supply.part.seconds is not None:
        change_s = bar_change_s(job)
        per_bar = f"{supply.parts_per_bar:.2f}" if supply.scatters else f"{supply.count}"
        change = "bar changes not counted" if change_s is None else f"{seconds(change_s)} bar change"
        joint = ", " if change_s is None else " + "
        lines.append(
            f"they last {hours(stock.unattended_h)}: {magazine.bars} x ({per_bar} parts x {seconds(supply.part.seconds)}"
            f"{joint}{change})"
        )
    return tuple(lines)


def not_stated_line(stock: Stock) -> str:
    """What the job does not state, so that its figures are left out; empty where it states everything."""
    named = [NOT_STATED[field.rpartition(".")[2]] for field in stock.not_stated]
    return f"Left out, since the job does not state it: {'; '.join(named)}." if named else ""


def shared_line(shared: Shared, units: Units) -> str:
    """The best mix of parts on one bar."""
    mode = "" if shared.mode == FIXED else f", {shared.mode} mode"
    counts = listed(f"{count} {name}" for name, count in zip(shared.parts, shared.mix.counts, strict=True) if count)
    used = f"{shared.mix.yield_share:.1%} of the bar becomes parts, {length(shared.mix.remnant_mm, units)} are left"
    alone = f"{shared.alone} alone: {shared.alone_share:.1%}"
    gain = "" if shared.mix.yield_share > shared.alone_share + 0.0005 else "; mixing gains nothing"
    return f"{shared.bar}{mode}: {counts} make the most of a bar: {used} ({alone}){gain}"
