"""What a run is looked at for: an observed pressure or time against its limit."""

from collections.abc import Callable, Iterator
from dataclasses import replace

import numpy as np

from evenfire.judgement.case import Case
from evenfire.judgement.outcome import TermName
from evenfire.judgement.proofs.result import Check, Shortfall, Shown, Watched
from evenfire.judgement.proofs.staging import INTERVAL, Stage
from evenfire.physics.control_logic import OPERATING_LIMIT
from evenfire.physics.motion.happenings import Happening
from evenfire.physics.motion.model import RATE_PROPORTIONAL
from evenfire.physics.motion.records import Floats
from evenfire.physics.motion.run import Event, Phase
from evenfire.plant.known import Missing, known
from evenfire.si import PA_PER_PSI, Dimension, Quantity

SAME = 1e-6
"""Shares of full fire nearer than this are one [1]."""
FINE = 0.5
"""Interval of the series where a time is near its limit [s]."""
AROUND_A_START = 900.0
"""A lowest pressure so near to a flame is one of the restart, and one further off is one of the load [s]."""
FLAT_OUT = 600.0
"""At full fire for so long, and the pressure still falls [s]."""
LEAST_STEP = 0.25 * PA_PER_PSI
"""By which a band is moved away from a cut-out that came too early, where the fire does not tell how much [Pa]."""


def at_least(watched: Watched, observed: float, limit: float, shown: Shown, at: float | None = None) -> Check:
    """A gauge pressure that may not be lower [Pa gauge]."""
    return _pressure(watched, observed, limit, observed - limit, shown, at)


def at_most(watched: Watched, observed: float, limit: float, shown: Shown, at: float | None = None) -> Check:
    """A gauge pressure that may not be higher [Pa gauge]."""
    return _pressure(watched, observed, limit, limit - observed, shown, at)


def _pressure(watched: Watched, observed: float, limit: float, margin: float, shown: Shown, at: float | None) -> Check:
    return Check(
        watched=watched,
        observed=Quantity(float(observed), Dimension.GAUGE_PRESSURE),
        limit=Quantity(float(limit), Dimension.GAUGE_PRESSURE),
        margin=Quantity(float(margin), Dimension.PRESSURE_DIFFERENCE),
        holds=bool(margin >= 0.0),
        at=None if at is None else Quantity(float(at), Dimension.TIME),
        shown=shown.name,
    )


def blaming(check: Check, term: TermName | None, by: float | None = None) -> Check:
    """A check that, where it fails, says which motion was taken too small, and by how much [Pa]; none where no dial
    mends it.
    """
    if check.holds or term is None:
        return check
    return replace(check, shortfall=Shortfall(term=term, by=abs(check.margin.value) if by is None else by))


def yes_or_no(watched: Watched, holds: bool, shown: Shown, at: float | None = None) -> Check:
    """Something that must be, with no amount to it."""
    return Check(
        watched=watched,
        observed=Quantity(float(holds), Dimension.NUMBER),
        limit=Quantity(1.0, Dimension.NUMBER),
        margin=Quantity(0.0 if holds else -1.0, Dimension.NUMBER),
        holds=holds,
        at=None if at is None else Quantity(at, Dimension.TIME),
        shown=shown.name,
    )


def need_of(case: Case) -> float:
    """Lowest pressure that the users need at the boiler [Pa gauge]."""
    return known(case.facts.need)[0]


def need_checks(case: Case, shown: Shown, again: Callable[[float], Shown]) -> Iterator[Check]:
    """The need; where the users stand a dip, the dip and its time instead, if the need itself is missed.

    ``again`` gives the same run with a series of another interval [s], for a dip that is over barely in time or barely
    not.
    """
    need, load, lowest = need_of(case), case.load, shown.run.lowest
    missed, term = lowest.pressure < need, falls_as(shown)
    if not missed or load.may_dip_to is None:
        yield blaming(at_least(Watched.NEED, lowest.pressure, need, shown, lowest.time), term)
        return
    drop = need - (load.need or need)  # a need at the header stands lower than at the boiler
    yield blaming(at_least(Watched.DIP, lowest.pressure, load.may_dip_to + drop, shown, lowest.time), term)
    if load.may_dip_for is not None:
        below = longest_below(shown, need)
        if abs(below - load.may_dip_for) < 2 * INTERVAL:
            below = longest_below(again(FINE), need)
        check = Check(
            watched=Watched.DIP_TIME,
            observed=Quantity(below, Dimension.TIME),
            limit=Quantity(load.may_dip_for, Dimension.TIME),
            margin=Quantity(load.may_dip_for - below, Dimension.TIME),
            holds=below <= load.may_dip_for,
            shown=shown.name,
        )
        yield blaming(check, term, need - lowest.pressure)


def falls_as(shown: Shown) -> TermName | None:
    """Which motion the lowest pressure of a run belongs to: a start of the burner about then, or else the load.

    None where the pressure fell at full fire for long: more is drawn than it makes, and no dial mends that.
    """
    lowest = shown.run.lowest.time
    if _is_overdrawn(shown):
        return None
    lit = (
        event.time for event in shown.run.events if event.kind is Happening.PHASE_BEGAN and event.subject == Phase.FLAME
    )
    near = any(-AROUND_A_START <= time - lowest <= AROUND_A_START for time in lit)
    return TermName.UNDERSHOOT if near else TermName.FALL_AT_LOAD


def _is_overdrawn(shown: Shown) -> bool:
    """Whether before its lowest the pressure went down through ten minutes of full fire."""
    series, lowest = shown.run.series, shown.run.lowest.time
    flat_out = np.concatenate(([False], (series.firing >= 1.0 - SAME) & (series.time <= lowest), [False]))
    edges = np.flatnonzero(np.diff(flat_out.astype(int)))
    return any(
        series.time[after - 1] - series.time[first] >= FLAT_OUT and series.pressure[after - 1] < series.pressure[first]
        for first, after in zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True)
    )


def longest_below(shown: Shown, pressure: float) -> float:
    """Longest time without a break below a pressure [s]; between the rows of the series it changes evenly."""
    time, above = shown.run.series.time, shown.run.series.pressure - pressure
    if not len(time):
        return 0.0
    below = np.concatenate(([False], above < 0.0, [False]))
    edges = np.flatnonzero(np.diff(below.astype(int)))
    longest = 0.0
    for first, after in zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True):
        begin, end = time[first], time[after - 1]
        if first > 0:
            begin = _crossing(time[first - 1 : first + 1], above[first - 1 : first + 1])
        if after < len(time):
            end = _crossing(time[after - 1 : after + 1], above[after - 1 : after + 1])
        longest = max(longest, float(end - begin))
    return longest


def _crossing(time: Floats, above: Floats) -> float:
    """When a straight line between two rows is at nought [s]."""
    return float(time[0] + (time[1] - time[0]) * above[0] / (above[0] - above[1]))


def hold_check(stage: Stage, shown: Shown) -> list[Check]:
    """A hold that the pressure falls into pins the boiler at low fire under load, for good."""
    if stage.case.boiler.controls.low_fire_hold is None or not np.isfinite(stage.model.controls.takes_hold):
        return []
    hold = float(stage.model.controls.takes_hold - stage.model.vessel.ambient)
    return [at_least(Watched.STAYS_ABOVE_HOLD, shown.run.lowest.pressure, hold, shown, shown.run.lowest.time)]


def high_checks(stage: Stage, shown: Shown) -> Iterator[Check]:
    """Nothing that high pressure could disturb is disturbed; what nobody stated is not looked at here."""
    case, highest, rise = stage.case, shown.run.highest, TermName.RUN_ON_AT_CUT_OUT
    for watched, limit in ((Watched.WISH, case.facts.wish), (Watched.DOWNSTREAM, case.facts.rated_max)):
        if not isinstance(limit, Missing):
            yield blaming(at_most(watched, highest.pressure, limit, shown, highest.time), rise)
    if np.isfinite(stage.model.controls.trip):
        trip = float(stage.model.controls.trip - stage.model.vessel.ambient)
        yield blaming(at_most(Watched.NO_TRIP, highest.pressure, trip, shown, highest.time), rise)
    lift = known(case.facts.earliest_lift)[0]
    yield blaming(at_most(Watched.NO_LIFT, highest.pressure, lift, shown, highest.time), rise)


def low_fire_first(stage: Stage, shown: Shown) -> Check | None:
    """Whether the burner was at low fire whenever the operating limit stopped it; nothing where it never did."""
    worst = stopped_by_operating_limit(shown)
    if not worst:
        return None
    highest = max(worst, key=lambda event: event.firing)
    lowest = float(stage.model.burner.lowest)
    check = Check(
        watched=Watched.LOW_FIRE_FIRST,
        observed=Quantity(highest.firing, Dimension.FRACTION),
        limit=Quantity(lowest, Dimension.FRACTION),
        margin=Quantity(lowest - highest.firing + SAME, Dimension.FRACTION),
        holds=highest.firing <= lowest + SAME,
        at=Quantity(highest.time, Dimension.TIME),
        shown=shown.name,
    )
    return blaming(check, TermName.OVERSHOOT_OF_DROP, band_left(stage, highest.firing))


def stopped_by_operating_limit(shown: Shown) -> list[Event]:
    """Every stop of the burner by the operating limit."""
    return [
        event
        for event in shown.run.events
        if event.kind is Happening.BURNER_STOPPED and event.subject == OPERATING_LIMIT
    ]


def stood_off(shown: Shown) -> float | None:
    """When the high limit stopped the burner for good [s]; nothing where it did not, or lets go by itself."""
    if not bool(shown.run.last.contacts.high_limit_open):
        return None
    trips = [event.time for event in shown.run.events if event.kind is Happening.HIGH_LIMIT_OPENED]
    return trips[-1] if trips else None


def band_left(stage: Stage, firing: float) -> float:
    """How much of the firing band was left to go to low fire when the burner was stopped at a fire [Pa]."""
    controls, burner = stage.model.controls, stage.model.burner
    band = float(controls.low_fire - controls.high_fire)
    if burner.rate_action != RATE_PROPORTIONAL or burner.lowest >= 1.0:
        return LEAST_STEP
    return max(LEAST_STEP, band * (firing - float(burner.lowest)) / (1.0 - float(burner.lowest)))
