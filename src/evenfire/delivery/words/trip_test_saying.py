"""What is said of a trip test, a device, a drift and an interval, with its numbers filled in."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from math import isinf

from evenfire.delivery.units import Rounding
from evenfire.delivery.units.chance import show_chance
from evenfire.delivery.words import trip_tests as words
from evenfire.delivery.words.entry import Said, Show
from evenfire.delivery.words.names import name_of_key, printable
from evenfire.judgement.trip_test.abort import Abort, AbortAnswer, Bound, DoNotConnect, MustNotBeMade
from evenfire.judgement.trip_test.budget import Budget, Component
from evenfire.judgement.trip_test.devices import Device, DeviceResult, DeviceVerdict
from evenfire.judgement.trip_test.drift import Drift
from evenfire.judgement.trip_test.due import Interval
from evenfire.judgement.trip_test.planning import GaugePlan, TripPlan
from evenfire.judgement.trip_test.trip import TripResult, TripTest, Verdict
from evenfire.plant.known import Missing
from evenfire.si import Dimension, Quantity

_PRESSURE, _DIFFERENCE = Dimension.GAUGE_PRESSURE, Dimension.PRESSURE_DIFFERENCE


@dataclass(frozen=True, slots=True, kw_only=True)
class TripNumbers:
    """What the sentences of a trip test have places for; ``None`` is what is not known."""

    stopped: float | None
    """On the gauge, when a person stopped the burner [Pa gauge]"""
    highest_seen: float | None
    """[Pa gauge]"""
    trip: float | None
    """[Pa gauge]"""
    lower: float | None
    """Set less band [Pa gauge]"""
    upper: float | None
    """The most that it may act at: set and band, no higher than MAWP, earliest lift and abort pressure [Pa gauge]"""
    lowest: float | None
    """From here up it passes [Pa gauge]"""
    highest: float | None
    """Up to here it passes [Pa gauge]"""
    doubt: float | None
    """Expanded uncertainty [Pa]"""
    below_upper: float | None
    """Probability that it acts below its upper limit the next time [1]"""
    missing: tuple[str, ...]


def say_trip(test: TripTest | None, result: TripResult, show: Show, verdict: Verdict | None = None) -> Said:
    """How a trip test came out: what, why, what to do; ``verdict`` picks another of those that hold."""
    limits, budget = result.acceptance, result.budget
    upper = lower = None
    if test is not None and test.set_pressure is not None and test.band is not None:
        lower, upper = test.set_pressure - test.band, result.most
    numbers = TripNumbers(
        stopped=None if test is None else test.stopped_by_hand,
        highest_seen=result.highest_seen,
        trip=result.trip,
        lower=lower,
        upper=upper,
        lowest=None if limits is None else limits.lowest,
        highest=result.passes_up_to,
        doubt=None if budget is None else budget.expanded_uncertainty,
        below_upper=result.probability_below_upper,
        missing=result.missing,
    )
    return say_verdict(verdict or result.verdict, numbers, show)


def say_verdict(verdict: Verdict, numbers: TripNumbers, show: Show) -> Said:
    """A verdict with its numbers, wherever they come from: judged now, or signed long ago."""
    entry, stopped = words.VERDICTS[verdict], _pressure(numbers.stopped, show)
    doubt = numbers.doubt
    places = {
        "where": words.STOPPED_AT.format(stopped=stopped) if stopped else "",
        "highest_seen": _pressure(numbers.highest_seen, show),
        "trip": _pressure(numbers.trip, show),
        "upper": _pressure(numbers.upper, show, Rounding.DOWN),
        "lower": _pressure(numbers.lower, show, Rounding.UP),
        "lowest": _pressure(numbers.lowest, show, Rounding.UP),
        "highest": _pressure(numbers.highest, show, Rounding.DOWN),
        "doubt": "" if doubt is None else show(Quantity(doubt, _DIFFERENCE), rounding=Rounding.UP),
        "chance": _chance_of_late(numbers.below_upper),
        "missing": say_missing(numbers.missing),
    }
    return Said(what=entry.what.format(**places), why=entry.why.format(**places), do=entry.do)


def say_missing(keys: Iterable[str]) -> str:
    """What would have to be known, each with the key that holds it."""
    return "; ".join(f"{words.KEYS[key]} ({key})" if key in words.KEYS else name_of_key(key) for key in keys)


def budget_rows(budget: Budget, show: Show) -> tuple[tuple[str, ...], ...]:
    """The rows of a budget, under ``BUDGET_HEAD``."""
    return tuple(_row(each, show) for each in budget.components)


def say_budget(result: TripResult, show: Show) -> str:
    """What a budget comes to; empty where there is none."""
    budget, scatter = result.budget, result.repeatability
    if budget is None or scatter is None:
        return ""
    return words.BUDGET_SUM.format(
        standard=show(Quantity(budget.standard_uncertainty, _DIFFERENCE), rounding=Rounding.UP),
        freedom=_freedom(budget.whole_degrees_of_freedom),
        factor=f"{budget.coverage_factor:.2f}",
        expanded=show(Quantity(budget.expanded_uncertainty, _DIFFERENCE), rounding=Rounding.UP),
        repeatability=show(Quantity(scatter.standard_deviation, _DIFFERENCE), rounding=Rounding.UP),
        pool=words.POOLS[scatter.pool],
    )


def say_abort(answer: AbortAnswer, show: Show) -> tuple[str, ...]:
    """Where a true rise is broken off, or why none may be made."""
    match answer:
        case Missing(keys=keys):
            return (words.ABORT_NOT_KNOWN.format(missing=say_missing(keys)),)
        case DoNotConnect():
            ends = show(Quantity(answer.scale_ends, _PRESSURE), rounding=Rounding.DOWN)
            met = show(Quantity(answer.could_meet, _PRESSURE), rounding=Rounding.UP)
            return (words.DO_NOT_CONNECT.format(ends=ends, met=met),)
        case MustNotBeMade():
            highest = show(Quantity(answer.highest_abort, _PRESSURE), rounding=Rounding.DOWN)
            short = show(Quantity(answer.short_by, _DIFFERENCE), rounding=Rounding.UP)
            return (
                words.NO_TRUE_RISE.format(set=show(Quantity(answer.set_pressure, _PRESSURE)), highest=highest),
                words.ABORT_LIFT.format(**_after_lift(answer, show)),
                words.NO_TRUE_RISE_DO.format(short=short),
            )
        case Abort():
            reason = words.ABORT_BAND if answer.bound is Bound.BAND else words.ABORT_LIFT
            told = [
                words.ABORT.format(on_gauge=show(Quantity(answer.on_gauge, _PRESSURE), rounding=Rounding.DOWN)),
                reason.format(
                    at_boiler=show(Quantity(answer.at_boiler, _PRESSURE), rounding=Rounding.DOWN),
                    **_after_lift(answer, show),
                ),
            ]
            if answer.passes_downstream_rating is None:
                told.append(words.ABORT_DOWNSTREAM_UNKNOWN)
            elif answer.passes_downstream_rating:
                told.append(words.ABORT_DOWNSTREAM)
            return tuple(told)


def say_gauge(plan: GaugePlan, repeats: int, show: Show) -> str:
    """What one gauge can do for a test of so many repeats."""
    suits = words.SUITS[plan.suits].format(missing=say_missing(plan.missing))
    if plan.ends_too_low:
        ends = show(Quantity(plan.gauge.highest, _PRESSURE), rounding=Rounding.DOWN)
        suits = words.GAUGE_ENDS_TOO_LOW.format(ends=ends)
    gauge = printable(plan.gauge.serial)
    if plan.budget is None or plan.share_undecided is None:
        return words.GAUGE.format(gauge=gauge, suits=suits)
    fewest = plan.fewest_repeats
    return words.GAUGE_SHARE.format(
        gauge=gauge,
        suits=suits,
        doubt=show(Quantity(plan.budget.expanded_uncertainty, _DIFFERENCE), rounding=Rounding.UP),
        share=f"{100.0 * plan.share_undecided:.0f} %",
        repeats="" if fewest is None or fewest == repeats else words.GAUGE_REPEATS.format(fewest=fewest),
    )


def say_which_gauge(plan: TripPlan, repeats: int, show: Show) -> tuple[str, ...]:
    """Which gauge to take, or what one would have to be."""
    if plan.take is not None:
        return (words.TAKE.format(gauge=printable(plan.take.serial)),)
    if plan.widest is None:
        if "ASSUMED_REPEATABILITY" in plan.assumptions:
            return (words.TAKE_NONE_AS_ASSUMED,)
        return (words.TAKE_NONE, words.TAKE_NO_GAUGE)
    widest = show(Quantity(plan.widest, _DIFFERENCE), rounding=Rounding.DOWN)
    return (words.TAKE_NONE, words.TAKE_WIDEST.format(repeats=repeats, widest=widest))


def say_device(result: DeviceResult, show: Show) -> Said:
    """How a test of another safety device came out: its name and verdict, when it passes, what to do."""
    name = words.DEVICES[result.rule.device][0]
    observed = "" if result.observed is None else f" ({show(result.observed)})"
    passes = say_passes(result.rule.device, result.lowest, result.highest, show)
    return Said(
        what=f"{name}: {words.DEVICE_VERDICTS[result.verdict]}{observed}.",
        why=f"It passes when {passes}." if passes else "",
        do=say_after(result.verdict, result.lowest, result.missing, show),
    )


def say_passes(device: Device, lowest: Quantity | None, highest: Quantity | None, show: Show) -> str:
    """When a device passes its test; empty where its limits are not known."""
    passes = words.DEVICES[device][1]
    if lowest is None and highest is None and "{" in passes:
        return ""
    return passes.format(
        lowest="" if lowest is None else show(lowest, rounding=Rounding.UP),
        highest="" if highest is None else show(highest, rounding=Rounding.DOWN),
    )


def say_after(verdict: DeviceVerdict, lowest: Quantity | None, missing: Iterable[str], show: Show) -> str:
    """What a verdict on a device asks for."""
    least = "" if lowest is None else show(lowest, rounding=Rounding.UP)
    return words.DEVICE_DO[verdict].format(lowest=least, missing=say_missing(missing))


def say_drift(drift: Drift | Missing, show: Show) -> tuple[str, ...]:
    """How a trip point wanders, when it leaves its band, and when the next test is due."""
    if isinstance(drift, Missing):
        return (words.DRIFT_NOT_JUDGED, f"{say_missing(drift.keys)}.")
    lowest, highest = (show(Quantity(each, _DIFFERENCE)) for each in (drift.a_year_lowest, drift.a_year_highest))
    text = words.DRIFT if drift.is_shown else words.DRIFT_NOT_SHOWN
    told = [
        text.format(
            slope=show(Quantity(drift.a_year, _DIFFERENCE)),
            lowest=lowest,
            highest=highest,
        )
    ]
    for day, side in ((drift.leaves_above, words.DRIFT_ABOVE), (drift.leaves_below, words.DRIFT_BELOW)):
        if day is not None:
            told.append(words.DRIFT_LEAVES.format(side=side, day=day.isoformat()))
    if drift.leaves_above is None and drift.leaves_below is None:
        told.append(words.DRIFT_STAYS)
    return (*told, words.FOLLOWS[drift.follows].format(day=drift.next_due.isoformat()))


def say_interval(interval: Interval) -> str:
    """An interval, such as ``weekly`` or ``every 18 months``."""
    names = {
        (1, None): "daily",
        (7, None): "weekly",
        (None, 1): "monthly",
        (None, 3): "quarterly",
        (None, 12): "yearly",
    }
    named = names.get((interval.days, interval.months))
    if named is not None:
        return named
    return f"every {interval.days} days" if interval.days is not None else f"every {interval.months} months"


def say_due(day: date | None) -> str:
    """The day on which something is due."""
    return words.NEVER_DONE if day is None else day.isoformat()


def _pressure(value: float | None, show: Show, rounding: Rounding = Rounding.NEAREST) -> str:
    return "" if value is None else show(Quantity(value, _PRESSURE), rounding=rounding)


def _chance_of_late(below: float | None) -> str:
    return "" if below is None else words.CHANCE.format(chance=show_chance(1.0 - below, Rounding.UP))


def _row(component: Component, show: Show) -> tuple[str, ...]:
    half = Quantity(abs(component.sensitivity) * component.half_width, _DIFFERENCE)
    return (
        words.ORIGINS[component.origin],
        words.KINDS[component.kind],
        show(half, rounding=Rounding.UP),
        words.SHAPES[component.shape],
        show(Quantity(component.standard_uncertainty, _DIFFERENCE), rounding=Rounding.UP),
        _freedom(component.degrees_of_freedom),
    )


def _freedom(degrees: float) -> str:
    return words.ENDLESS if isinf(degrees) else f"{degrees:.0f}"


def _after_lift(answer: Abort | MustNotBeMade, show: Show) -> dict[str, str]:
    return {
        "lift": show(Quantity(answer.earliest_lift, _PRESSURE), rounding=Rounding.DOWN),
        "run_on": show(Quantity(answer.run_on.value, _DIFFERENCE), rounding=Rounding.UP),
        "allowance": show(Quantity(answer.allowance, _DIFFERENCE), rounding=Rounding.UP),
    }
