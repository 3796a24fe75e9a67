"""Where a trip test is broken off: there a person stops the burner by hand, and the control has failed."""

from collections.abc import Callable
from dataclasses import dataclass
from enum import Enum
from math import ceil, floor

from evenfire.errors import OutOfRange
from evenfire.judgement.behaviour import Estimate
from evenfire.judgement.case import BEYOND_STEAM, Case
from evenfire.judgement.trip_test.budget import combined
from evenfire.judgement.trip_test.components import at_boiler, known_of_gauge, on_gauge
from evenfire.judgement.trip_test.gauge import ReferenceGauge
from evenfire.plant.known import Missing, NotKnownError, given, known
from evenfire.si import ROUNDING_PA, DiffPa, GaugePa


class Bound(Enum):
    """What keeps the abort pressure from being higher."""

    BAND = "set pressure and band"
    EARLIEST_LIFT = "earliest lift of a safety valve"


@dataclass(frozen=True, slots=True, kw_only=True)
class Abort:
    """Where the burner is stopped by hand."""

    at_boiler: GaugePa
    """[Pa gauge]"""
    on_gauge: GaugePa
    """What the reference gauge shows then, rounded down to what can be read on it [Pa gauge]"""
    bound: Bound
    earliest_lift: GaugePa
    """[Pa gauge]"""
    run_on: Estimate
    """After a stop from low fire [Pa]"""
    allowance: DiffPa
    """For the doubt of the gauge, at 95 % [Pa]"""
    passes_downstream_rating: bool | None
    """Whether the run-on from there passes the lowest rating downstream, which has to be shut off then"""


@dataclass(frozen=True, slots=True, kw_only=True)
class MustNotBeMade:
    """A safety valve could lift before the control has to act: no true rise, not with this gauge and this setting."""

    set_pressure: GaugePa
    """[Pa gauge]"""
    highest_abort: GaugePa
    """What the earliest lift leaves [Pa gauge]"""
    earliest_lift: GaugePa
    """[Pa gauge]"""
    run_on: Estimate
    """[Pa]"""
    allowance: DiffPa
    """[Pa]"""

    @property
    def short_by(self) -> DiffPa:
        """How far the setting stands too high for a test [Pa]."""
        return DiffPa(self.set_pressure - self.highest_abort)


@dataclass(frozen=True, slots=True, kw_only=True)
class DoNotConnect:
    """The pressure may go beyond the scale of the gauge: it can be neither read nor trusted not to burst."""

    scale_ends: GaugePa
    """[Pa gauge]"""
    could_meet: GaugePa
    """What it would have to show: the higher of the end of the band and of the earliest lift [Pa gauge]"""


AbortAnswer = Abort | MustNotBeMade | DoNotConnect | Missing


def abort_of(case: Case, set_pressure: GaugePa, band: DiffPa, gauge: ReferenceGauge) -> AbortAnswer:
    """Where a true rise is broken off: the lower of set and band, and of what the earliest lift leaves.

    Parameters
    ----------
    case
        The boiler with the settings at which it is tested.
    set_pressure
        Where the control shall act, at the boiler [Pa gauge].
    band
        How far from there it may act [Pa].
    gauge
        What the pressure is watched on.

    Notes
    -----
    The earliest lift leaves itself less the run-on of a stop from low fire and less the doubt of the gauge at 95 %,
    which includes a reading a second late while the pressure rises. Both are rounded down on the gauge to what can be
    read there; the band's end up only where the gauge shows nothing between the setting and it. The scale of the
    gauge comes before all of that: it has to reach the end of the band and the earliest lift.
    """
    beyond = _beyond_scale(case, GaugePa(set_pressure + band), gauge)
    if beyond is not None:
        return beyond
    try:
        return _abort(case, set_pressure, band, gauge)
    except NotKnownError as unknown:
        return Missing(unknown.keys)


def expected_rate(case: Case, set_pressure: GaugePa) -> Estimate | Missing:
    """Rise of the pressure at low fire with no steam drawn [Pa/s]: of the fuel that raises it fastest."""
    behaviour = case.behaviour

    def rate() -> Estimate:
        if not case.boiler.burners:
            raise NotKnownError(("burner",))
        heats = [behaviour.full_heat(each).value * behaviour.low_fire_share(each) for each in case.boiler.burners]
        store = behaviour.storage(set_pressure)
        return Estimate(max(heats) / store.value, store.route, store.assumptions)

    return _attempted(rate)


def _abort(case: Case, set_pressure: GaugePa, band: DiffPa, gauge: ReferenceGauge) -> Abort | MustNotBeMade:
    top = GaugePa(set_pressure + band)
    lift, run_on, rate, _ = known(
        case.facts.earliest_lift,
        _attempted(lambda: case.behaviour.low_fire_run_on(top)),
        expected_rate(case, set_pressure),
        Missing(gauge.missing) if gauge.missing else None,
    )
    allowance = DiffPa(combined(known_of_gauge(gauge, rate.value)).expanded_uncertainty)
    below_lift = GaugePa(lift - run_on.value - allowance)
    step = 0.5 * known(given(gauge.division, "reference_gauge.division"))[0]
    readable = GaugePa(floor((on_gauge(below_lift, gauge) + ROUNDING_PA) / step) * step)
    highest = min(below_lift, at_boiler(readable, gauge))
    if highest < set_pressure - ROUNDING_PA:
        return MustNotBeMade(
            set_pressure=set_pressure,
            highest_abort=highest,
            earliest_lift=GaugePa(lift),
            run_on=run_on,
            allowance=allowance,
        )
    shown = min(readable, _end_of_band(set_pressure, top, gauge, step))
    if shown > gauge.highest:
        raise NotKnownError(("reference_gauge.to",))
    ends_at = max(min(top, below_lift), at_boiler(shown, gauge)) + run_on.value + allowance
    rated = case.facts.rated_max
    return Abort(
        at_boiler=min(top, below_lift),
        on_gauge=shown,
        bound=Bound.BAND if top <= below_lift else Bound.EARLIEST_LIFT,
        earliest_lift=GaugePa(lift),
        run_on=run_on,
        allowance=allowance,
        passes_downstream_rating=None if isinstance(rated, Missing) else ends_at > rated + ROUNDING_PA,
    )


def _beyond_scale(case: Case, top: GaugePa, gauge: ReferenceGauge) -> DoNotConnect | None:
    could_meet = highest_on(gauge, top, case)
    if could_meet <= gauge.highest + ROUNDING_PA:
        return None
    return DoNotConnect(scale_ends=gauge.highest, could_meet=could_meet)


def highest_on(gauge: ReferenceGauge, top: GaugePa, case: Case) -> GaugePa:
    """The highest that a gauge may have to show in a true rise up to ``top`` [Pa gauge].

    A control that does not act lets the pressure go on to the earliest lift of a safety valve.
    """
    lift = case.facts.earliest_lift
    return on_gauge(top if isinstance(lift, Missing) else GaugePa(max(top, lift)), gauge)


def _end_of_band(set_pressure: GaugePa, top: GaugePa, gauge: ReferenceGauge, step: float) -> GaugePa:
    """The upper end of the band on the gauge, rounded down; up only where the gauge shows nothing within the band."""
    down = GaugePa(floor((on_gauge(top, gauge) + ROUNDING_PA) / step) * step)
    if at_boiler(down, gauge) >= set_pressure - ROUNDING_PA:
        return down
    return GaugePa(ceil((on_gauge(top, gauge) - ROUNDING_PA) / step) * step)


def _attempted(question: Callable[[], Estimate]) -> Estimate | Missing:
    try:
        return question()
    except NotKnownError as unknown:
        return Missing(unknown.keys)
    except OutOfRange:
        return Missing((BEYOND_STEAM,))
