"""What a run is looked at for: an observed pressure or time against its limit."""

from collections.abc import Iterator

import numpy as np

from evenfire.judgement.case import Case
from evenfire.judgement.proofs.result import Check, Shown, Watched
from evenfire.judgement.proofs.staging import Stage
from evenfire.physics.control_logic import OPERATING_LIMIT
from evenfire.physics.motion.happenings import Happening
from evenfire.plant.known import Missing, known
from evenfire.si import Dimension, Quantity

SAME = 1e-6
"""Shares of full fire nearer than this are one [1]."""


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


def need_checks(case: Case, shown: Shown) -> Iterator[Check]:
    """The need; where the users stand a dip, the dip and its time instead, if the need itself is missed."""
    need, load, lowest = need_of(case), case.load, shown.run.lowest
    missed = lowest.pressure < need
    if not missed or load.may_dip_to is None:
        yield at_least(Watched.NEED, lowest.pressure, need, shown, lowest.time)
        return
    drop = need - (load.need or need)  # a need at the header stands lower than at the boiler
    yield at_least(Watched.DIP, lowest.pressure, load.may_dip_to + drop, shown, lowest.time)
    if load.may_dip_for is not None:
        below = longest_below(shown, need)
        yield Check(
            watched=Watched.DIP_TIME,
            observed=Quantity(below, Dimension.TIME),
            limit=Quantity(load.may_dip_for, Dimension.TIME),
            margin=Quantity(load.may_dip_for - below, Dimension.TIME),
            holds=below <= load.may_dip_for,
            shown=shown.name,
        )


def longest_below(shown: Shown, pressure: float) -> float:
    """Longest time without a break below a pressure, to the grid of the series [s]."""
    series = shown.run.series
    below = np.concatenate(([False], series.pressure < pressure, [False]))
    edges = np.flatnonzero(np.diff(below.astype(int)))
    if not len(edges):
        return 0.0
    step = float(series.time[1] - series.time[0]) if len(series.time) > 1 else 0.0
    return float((edges[1::2] - edges[::2]).max()) * step


def high_checks(stage: Stage, shown: Shown) -> Iterator[Check]:
    """Nothing that high pressure could disturb is disturbed; what nobody stated is not looked at here."""
    case, highest = stage.case, shown.run.highest
    for watched, limit in ((Watched.WISH, case.facts.wish), (Watched.DOWNSTREAM, case.facts.rated_max)):
        if not isinstance(limit, Missing):
            yield at_most(watched, highest.pressure, limit, shown, highest.time)
    if np.isfinite(stage.model.controls.trip):
        trip = float(stage.model.controls.trip - stage.model.vessel.ambient)
        yield at_most(Watched.NO_TRIP, highest.pressure, trip, shown, highest.time)
    yield at_most(Watched.NO_LIFT, highest.pressure, known(case.facts.earliest_lift)[0], shown, highest.time)


def low_fire_first(stage: Stage, shown: Shown) -> Check | None:
    """Whether the burner was at low fire whenever the operating limit stopped it; nothing where it never did."""
    stops = [
        event
        for event in shown.run.events
        if event.kind is Happening.BURNER_STOPPED and event.subject == OPERATING_LIMIT
    ]
    if not stops:
        return None
    worst = max(stops, key=lambda event: event.firing)
    lowest = float(stage.model.burner.lowest)
    return Check(
        watched=Watched.LOW_FIRE_FIRST,
        observed=Quantity(worst.firing, Dimension.FRACTION),
        limit=Quantity(lowest, Dimension.FRACTION),
        margin=Quantity(lowest - worst.firing + SAME, Dimension.FRACTION),
        holds=worst.firing <= lowest + SAME,
        at=Quantity(worst.time, Dimension.TIME),
        shown=shown.name,
    )
