"""How a trip test came out: a limit has to be shown not to act too late (JCGM 106; decision 0016).

A fail is told from what is there; a pass needs everything.
"""

from dataclasses import dataclass, replace
from typing import Final

from evenfire.judgement.trip_test import components
from evenfire.judgement.trip_test.abort import Abort, AbortAnswer, MustNotBeMade
from evenfire.judgement.trip_test.budget import Budget, combined
from evenfire.judgement.trip_test.deciding import (
    acceptance_of,
    probability_below,
    probability_within,
    upper_limit_of,
)
from evenfire.judgement.trip_test.gauge import InDate, ReferenceGauge
from evenfire.judgement.trip_test.repeatability import Repeatability, repeatability_of
from evenfire.judgement.trip_test.trip import (
    Acceptance,
    Caution,
    Earlier,
    Method,
    Proved,
    TripResult,
    TripTest,
    Verdict,
)
from evenfire.plant.controls import Role
from evenfire.plant.known import Missing, NotKnownError, given, known
from evenfire.si import ROUNDING_PA, DiffPa, GaugePa

ASSUMED_SLOW_STOP: Final = 5.0
"""From the control's contact to flame out; a fuel valve closes faster [s].

Safety shut-off valves close within a second or a few; no figure for the whole way was found, so that this is a caution.
"""
_NEVER_PASSES: Final = frozenset({Verdict.MUST_NOT_BE_MADE, Verdict.UNDECIDED_HIGH})
END_OF_SCALE: Final = 0.10
"""What is better left unused at either end of a gauge's scale (common practice) [1]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Measured:
    """What the readings come to when everything is known."""

    trip: GaugePa
    """[Pa gauge]"""
    repeatability: Repeatability
    mean: Budget
    next_action: Budget
    acceptance: Acceptance


def judge_trip(test: TripTest, earlier: Earlier | None = None, abort: AbortAnswer | None = None) -> TripResult:
    """How a trip test came out.

    Parameters
    ----------
    test
        As it was done.
    earlier
        What earlier tests tell of how well the control, or its kind, repeats itself.
    abort
        Where it was to be broken off, or that it must not be made; without it every stop by hand counts as a fail.

    Notes
    -----
    Opens and latches come first. One single action above set and band, above MAWP, the earliest lift or the abort
    pressure fails it, whatever the doubt. A true rise made where none must be made never passes. It passes for
    safety when the mean stays the one-sided guard band below, counted for the next single action; between the two it
    is undecided, which is not passed. Below set less band it trips low; within its expanded uncertainty of there,
    whether it does could not be told.

    References
    ----------
    JCGM-100 and JCGM-106, from memory; decision 0016.
    """
    most = _most(test, abort)
    found = [*_of_function(test, abort), *_seen_high(test, most)]
    if test.method is Method.TRUE_RISE and isinstance(abort, MustNotBeMade):
        found.append(Verdict.MUST_NOT_BE_MADE)
    missing = dict.fromkeys(_missing_of_function(test, abort))
    measured: _Measured | None = None
    if test.method is Method.TRUE_RISE:
        try:
            measured = _measured(test, earlier or Earlier())
            found += _of_measured(measured)
        except NotKnownError as unknown:
            missing |= dict.fromkeys(unknown.keys)
    elif test.method is Method.TURNED_DOWN:
        found.append(Verdict.FUNCTION_ONLY)
    if missing:
        found = [each for each in found if each.is_unsafe or each in _NEVER_PASSES]
        found.append(Verdict.NOT_JUDGED)
    ranked = sorted(dict.fromkeys(found), key=list(Verdict).index)
    result = TripResult(
        verdict=ranked[0],
        also=tuple(each for each in ranked[1:] if each is not Verdict.PASSED),
        most=most,
        highest_seen=None
        if test.method is Method.TURNED_DOWN and Verdict.TRIPS_HIGH not in ranked
        else _highest_seen(test),
        differential=_differential(test),
        slowest_stop=max(
            (each.burner_off_after for each in test.readings if each.burner_off_after is not None), default=None
        ),
        missing=tuple(missing),
        cautions=_cautions(test, measured),
    )
    return result if measured is None else _with_measured(result, measured, test)


def _of_function(test: TripTest, abort: AbortAnswer | None) -> list[Verdict]:
    found = []
    if test.opened is False or (test.stopped_by_hand is not None and not _stopped_early(test, abort)):
        found.append(Verdict.DID_NOT_OPEN)
    if test.role is Role.HIGH_LIMIT and (test.held_until_reset is False or test.early_reset_took is True):
        found.append(Verdict.DOES_NOT_LATCH)
    return found


def _stopped_early(test: TripTest, abort: AbortAnswer | None) -> bool:
    """Whether it was stopped by hand below the abort pressure: that shows nothing of the control."""
    if not isinstance(abort, Abort) or test.stopped_by_hand is None:
        return False
    return test.stopped_by_hand < abort.on_gauge - ROUNDING_PA


def _missing_of_function(test: TripTest, abort: AbortAnswer | None) -> list[str]:
    missing = []
    if test.method is None:
        missing.append("trip.method")
    if test.opened is None:
        missing.append("trip.opened")
    if _stopped_early(test, abort) and not test.readings:
        missing.append("trip.reading")
    if test.role is Role.HIGH_LIMIT and test.held_until_reset is None:
        missing.append("trip.held_until_reset")
    return missing


def _highest_seen(test: TripTest) -> GaugePa | None:
    """Highest single action, with what is known of the gauge; beyond its scale it shows no more than its end."""
    if not test.readings:
        return None
    shown = max(each.shown for each in test.readings)
    return shown if test.gauge is None else components.at_boiler(min(shown, test.gauge.highest), test.gauge)


def _most(test: TripTest, abort: AbortAnswer | None) -> GaugePa | None:
    """Above this no single action may lie, however it was made; a true rise not above its abort pressure either."""
    limits = [] if test.ceiling is None else [test.ceiling]
    if test.set_pressure is not None and test.band is not None:
        limits.append(upper_limit_of(test.set_pressure, test.band, test.ceiling))
    if isinstance(abort, Abort) and test.method is not Method.TURNED_DOWN:
        limits.append(abort.at_boiler)
    return min(limits, default=None)


def _seen_high(test: TripTest, most: GaugePa | None) -> list[Verdict]:
    """One action above the most is enough, however little else was written down and however it was made."""
    highest = _highest_seen(test)
    if highest is None or most is None:
        return []
    return [Verdict.TRIPS_HIGH] if highest > most + ROUNDING_PA else []


def _measured(test: TripTest, earlier: Earlier) -> _Measured:
    gauge = given(test.gauge, "trip.gauge")
    of_gauge = gauge if isinstance(gauge, Missing) else components.of_gauge(gauge, test.rate)
    dated: Missing | None = None if isinstance(gauge, Missing) else _dated(gauge, test)
    read = _read(test)
    repeatability = read if isinstance(read, Missing) else _repeatability(read, earlier)
    set_pressure, band = given(test.set_pressure, "trip.set"), given(test.band, "trip.within")
    known(dated, set_pressure, band, of_gauge, repeatability, read)
    (wanted, within), (rows, scatter, pressures) = known(set_pressure, band), known(of_gauge, repeatability, read)
    mean = combined((*rows, components.of_mean(scatter, len(pressures))))
    next_action = combined((*rows, components.of_next_action(scatter, len(pressures))))
    return _Measured(
        trip=GaugePa(sum(pressures) / len(pressures)),
        repeatability=scatter,
        mean=mean,
        next_action=next_action,
        acceptance=acceptance_of(wanted, within, mean, next_action, test.ceiling),
    )


def _dated(gauge: ReferenceGauge, test: TripTest) -> Missing | None:
    """A calibration that is too old is as good as none."""
    return (
        Missing(("reference_gauge.calibrated_on",)) if gauge.in_date(test.on) in {InDate.NO, InDate.UNKNOWN} else None
    )


def _read(test: TripTest) -> tuple[GaugePa, ...] | Missing:
    """Every action at the boiler [Pa gauge]."""
    if not test.readings or test.gauge is None:
        return Missing(("trip.reading",) if not test.readings else ("trip.gauge",))
    if any(not test.gauge.lowest <= each.shown <= test.gauge.highest for each in test.readings):
        return Missing(("reference_gauge.to",))
    return tuple(components.at_boiler(each.shown, test.gauge) for each in test.readings)


def _repeatability(pressures: tuple[GaugePa, ...], earlier: Earlier) -> Repeatability | Missing:
    found = repeatability_of(pressures, this_control=earlier.this_control, same_kind=earlier.same_kind)
    return Missing(("trip.reading.2",)) if found is None else found


def _of_measured(measured: _Measured) -> list[Verdict]:
    trip, acceptance = measured.trip, measured.acceptance
    found = []
    if trip > acceptance.highest + ROUNDING_PA:
        found.append(Verdict.UNDECIDED_HIGH)
    if trip < acceptance.lower_limit - ROUNDING_PA:
        found.append(Verdict.TRIPS_LOW)
    elif trip < acceptance.lowest - ROUNDING_PA:
        found.append(Verdict.SAFE_MAY_TRIP_LOW)
    return found or [Verdict.PASSED]


def _with_measured(result: TripResult, measured: _Measured, test: TripTest) -> TripResult:
    limits = measured.acceptance
    passed = result.verdict in {Verdict.PASSED, Verdict.SAFE_MAY_TRIP_LOW}
    return replace(
        result,
        also=tuple(each for each in result.also if each is not Verdict.SAFE_MAY_TRIP_LOW),
        trip=measured.trip,
        repeatability=measured.repeatability,
        budget=measured.mean,
        guard_above=DiffPa(measured.next_action.one_sided),
        acceptance=limits,
        probability_below_upper=probability_below(limits.upper_limit, measured.trip, measured.next_action),
        probability_within=probability_within(
            limits.lower_limit, limits.upper_limit, measured.trip, measured.next_action
        ),
        proved=_proved(measured, test) if passed and not test.is_other_aim else None,
        assumptions=components.ASSUMPTIONS,
    )


def _proved(measured: _Measured, test: TripTest) -> Proved | None:
    """Where it acts and how far off it may be the next time: never less than any reading of today was off."""
    if test.set_pressure is None or test.gauge is None:
        return None
    pressures = [components.at_boiler(each.shown, test.gauge) for each in test.readings]
    furthest = max(abs(each - measured.trip) for each in pressures)
    tolerance = max(measured.next_action.expanded_uncertainty, furthest)
    return Proved(
        trip=measured.trip,
        tolerance=DiffPa(tolerance),
        tolerance_about_set=DiffPa(abs(measured.trip - test.set_pressure) + tolerance),
        differential=_differential(test),
    )


def _differential(test: TripTest) -> DiffPa | None:
    """Gauge, leg and certificate are the same for both readings and fall out; a burner restarts at a fall alone."""
    if test.role is not Role.OPERATING_LIMIT or test.method is not Method.TRUE_RISE or _restart_is_no_fall(test):
        return None
    if test.restarted_at is None or not test.readings:
        return None
    return DiffPa(sum(each.shown for each in test.readings) / len(test.readings) - test.restarted_at)


def _restart_is_no_fall(test: TripTest) -> bool:
    """Whether the restart was read where the control acted or above, or beyond the scale: one of both is wrong."""
    if test.restarted_at is None:
        return False
    below_scale = test.gauge is not None and test.restarted_at < test.gauge.lowest
    return below_scale or any(test.restarted_at >= each.shown for each in test.readings)


def _is_not_as_set(test: TripTest) -> bool:
    """Whether the differential is off by more than the control may be; a narrower one cycles the burner more often."""
    differential = _differential(test)
    if differential is None or test.differential_set is None or test.differential_within is None:
        return False
    return abs(differential - test.differential_set) > test.differential_within + ROUNDING_PA


def _cautions(test: TripTest, measured: _Measured | None) -> tuple[Caution, ...]:
    gauge = test.gauge
    stops = [each.burner_off_after for each in test.readings if each.burner_off_after is not None]
    told = {
        Caution.CALIBRATION_OLDER_THAN_USUAL: gauge is not None and gauge.in_date(test.on) is InDate.OLDER_THAN_USUAL,
        Caution.ERRATIC: measured is not None and measured.repeatability.is_erratic_today,
        Caution.NOT_AT_LOW_FIRE: test.method is Method.TRUE_RISE and test.at_low_fire is not True,
        Caution.EARLY_RESET_NOT_TRIED: test.role is Role.HIGH_LIMIT and test.early_reset_took is None,
        Caution.RESTART_NOT_READ: test.role is Role.OPERATING_LIMIT and test.restarted_at is None,
        Caution.RESTART_NOT_BELOW: test.role is Role.OPERATING_LIMIT and _restart_is_no_fall(test),
        Caution.DIFFERENTIAL_NOT_AS_SET: _is_not_as_set(test),
        Caution.WIDER_BAND_TYPED: test.wider_was_typed,
        Caution.SLOW_TO_STOP: any(each > ASSUMED_SLOW_STOP for each in stops),
        Caution.READ_NEAR_THE_END_OF_THE_SCALE: gauge is not None and _near_the_end(test, gauge),
    }
    return tuple(caution for caution, holds in told.items() if holds)


def _near_the_end(test: TripTest, gauge: ReferenceGauge) -> bool:
    unused = END_OF_SCALE * (gauge.highest - gauge.lowest)
    return any(not gauge.lowest + unused <= each.shown <= gauge.highest - unused for each in test.readings)
