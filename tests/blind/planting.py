"""Planting one fault in a boiler that is set as it should be, with a load that shows it or with one that does not."""

from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from tests.blind.boilers import (
    COIL,
    FIRETUBE,
    MAKES,
    PSI,
    VERTICAL,
    WATERTUBE,
    Boiler,
    draw_boiler,
    full_steam,
    integrating,
)
from tests.blind.loads import HOUR, Regime
from tests.blind.stepping import BY_AIR, BY_FLAME, BY_LEVEL, BY_OPERATOR, ON_OFF, PROPORTIONAL, TWO_POSITION, WITH_RESET
from tests.blind.truth import Fault, FaultKind, StopKind

FOLLOWING: Final = (FaultKind.RANGE_TOO_WIDE, FaultKind.CUT_OUT_IN_BAND, FaultKind.ACTUATOR_STUCK)
"""Faults that only a boiler with a proportional control can have here."""
SHOWN_SHARE: Final = 0.7
"""Of the logs with a fault, how many are meant to show it; the rule decides in the end."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Planted:
    """A boiler, what is wrong with it, and what shall happen to it."""

    boiler: Boiler
    fault: Fault | None
    regime: Regime
    seconds: int
    shut_downs: int = 0
    stops: tuple[int, int] | None = None
    """Kind and count of stops from outside"""
    offset: float = 0.0
    """Of the logged pressure [psi]"""
    wants_temperature: bool | None = None
    """Whether the log shall have the temperature of the steam"""
    wants_firing: bool = False
    """Whether the log shall nearly always have the firing rate or the fuel"""


def draw_kind(rng: np.random.Generator, fault: FaultKind | None, is_ugly: bool) -> Boiler:
    """A healthy boiler of a kind that can have the fault."""
    shares = {FIRETUBE: 0.5, VERTICAL: 0.12, WATERTUBE: 0.23, COIL: 0.15}
    if fault in FOLLOWING:
        shares = {FIRETUBE: 0.6, WATERTUBE: 0.25, COIL: 0.15}
    if fault in (FaultKind.HUNTING, FaultKind.HOLD_BYPASSED):
        shares = {FIRETUBE: 0.65, WATERTUBE: 0.35}
    kind = str(rng.choice(list(shares), p=list(shares.values())))
    actions = MAKES[kind].actions
    if fault in FOLLOWING:
        actions = (PROPORTIONAL,)
    elif fault is FaultKind.HUNTING:
        actions = (PROPORTIONAL, WITH_RESET, WITH_RESET)
    elif fault is FaultKind.HOLD_BYPASSED:
        actions = tuple(each for each in actions if each in (PROPORTIONAL, TWO_POSITION))
    return draw_boiler(rng, kind, int(rng.choice(actions)), is_ugly)


def plant_in(rng: np.random.Generator, boiler: Boiler, kind: FaultKind | None) -> Planted:
    """The boiler with the fault, or as it is."""
    shows = bool(rng.random() < SHOWN_SHARE)
    seconds = int(rng.choice([12, 18, 24, 24, 36, 48])) * HOUR
    cycling = _drawn(rng, (Regime.LOW, Regime.DAY, Regime.DAY, Regime.BATCH))
    wants_firing = shows and kind in (*FOLLOWING, FaultKind.HUNTING, FaultKind.HOLD_BYPASSED)
    plain = Planted(boiler=boiler, fault=None, regime=cycling, seconds=seconds, wants_firing=wants_firing)
    match kind:
        case None:
            return _healthy(rng, plain)
        case FaultKind.CUT_OUT_DRIFT:
            return _drift(rng, plain, shows)
        case FaultKind.RANGE_TOO_WIDE:
            return _wide(rng, plain, shows)
        case FaultKind.CUT_OUT_IN_BAND:
            return _in_band(rng, plain, shows)
        case FaultKind.ACTUATOR_STUCK:
            return _stuck(rng, plain, shows)
        case FaultKind.HOLD_BYPASSED:
            return _bypassed(rng, plain, shows)
        case FaultKind.GAUGE_OFFSET:
            return _offset(rng, plain, shows)
        case FaultKind.HIGH_LIMIT_ACTING:
            return _high_limit(rng, plain, shows)
        case FaultKind.NON_PRESSURE_STOPS:
            return _stopped(rng, plain, shows)
        case FaultKind.HUNTING:
            return _hunting(rng, plain, shows)


def _drawn(rng: np.random.Generator, regimes: tuple[Regime, ...]) -> Regime:
    return regimes[int(rng.integers(len(regimes)))]


def _healthy(rng: np.random.Generator, plain: Planted) -> Planted:
    regime = _drawn(rng, (*Regime, Regime.DAY, Regime.LOW))
    if regime is Regime.SHUT_DOWNS:
        return replace(plain, regime=regime, seconds=max(plain.seconds, 24 * HOUR), shut_downs=int(rng.integers(1, 4)))
    return replace(plain, regime=regime)


def _drift(rng: np.random.Generator, plain: Planted, shows: bool) -> Planted:
    boiler = plain.boiler
    excess = float(rng.uniform(4.0, 9.0))
    way = 1.0 if rng.random() < 0.5 else -1.0
    believed = boiler.believed
    shift = boiler.tolerance + excess
    if way > 0.0:
        # Room, so that the high limit does not act before it: the stack above moves up by so much.
        high = believed.high_limit + float(np.ceil(shift))
        believed = replace(believed, high_limit=high)
        works = boiler.works._replace(high_limit=boiler.works.high_limit + float(np.ceil(shift)) * PSI)
        boiler = replace(boiler, valve_set=boiler.valve_set + 5.0 * float(np.ceil(shift / 5.0)))
    else:
        # Room below, so that low fire is still reached before it: the firing band moves down by so much.
        point = believed.fire_point - float(np.ceil(shift))
        believed = replace(believed, fire_point=point, hold=min(believed.hold, 0.5 * point))
        works = boiler.works._replace(fire_point=boiler.works.fire_point - float(np.ceil(shift)) * PSI)
    works = works._replace(cut_out=(believed.cut_out + way * shift) * PSI)
    fault = Fault(
        kind=FaultKind.CUT_OUT_DRIFT,
        magnitude=way * shift,
        unit="psi",
        told=f"the operating limit opens {way * shift:+.1f} psi from where its dial stands",
    )
    regime = plain.regime if shows else Regime.MIDDLE
    if not shows and boiler.action == ON_OFF:
        return replace(plain, boiler=replace(boiler, believed=believed, works=works), fault=fault, seconds=900)
    return replace(plain, boiler=replace(boiler, believed=believed, works=works), fault=fault, regime=regime)


def _wide(rng: np.random.Generator, plain: Planted, shows: bool) -> Planted:
    works = plain.boiler.works
    position = float(rng.uniform(0.25, 0.6))
    wide = (works.cut_out - works.fire_point) / (1.0 - position)
    fault = Fault(
        kind=FaultKind.RANGE_TOO_WIDE,
        magnitude=(wide - works.fire_range) / PSI,
        unit="psi",
        told=f"the range is {wide / PSI:.1f} psi, and the cut-out opens with the drive at {100 * position:.0f} %",
    )
    regime = plain.regime if shows else Regime.MIDDLE
    return replace(plain, boiler=plain.boiler.turned(fire_range=wide), fault=fault, regime=regime)


def _in_band(rng: np.random.Generator, plain: Planted, shows: bool) -> Planted:
    boiler, dials = plain.boiler, plain.boiler.believed
    position = float(rng.uniform(0.3, 0.6))
    cut_out = round(dials.fire_point + (1.0 - position) * dials.fire_range)
    differential = float(min(dials.differential, max(6.0, round(0.9 * (cut_out - dials.fire_point)) + 2.0)))
    believed = replace(dials, cut_out=float(cut_out), differential=differential)
    works = boiler.works._replace(
        cut_out=cut_out * PSI + (boiler.works.cut_out - dials.cut_out * PSI) * 0.5, differential=differential * PSI
    )
    low = works.fire_point + works.fire_range
    fault = Fault(
        kind=FaultKind.CUT_OUT_IN_BAND,
        magnitude=(low - works.cut_out) / PSI,
        unit="psi",
        told=f"the cut-out stands {(low - works.cut_out) / PSI:.1f} psi below the low-fire point, as the dials say too",
    )
    regime = plain.regime if shows else Regime.MIDDLE
    return replace(plain, boiler=replace(boiler, believed=believed, works=works), fault=fault, regime=regime)


def _stuck(rng: np.random.Generator, plain: Planted, shows: bool) -> Planted:
    begin = (
        plain.seconds * float(rng.uniform(0.05, 0.3)) if shows else plain.seconds - float(rng.uniform(300.0, 1200.0))
    )
    position = float(rng.uniform(0.2, 0.8))
    fault = Fault(
        kind=FaultKind.ACTUATOR_STUCK,
        magnitude=position,
        unit="share of the stroke",
        told=f"from second {begin:.0f} on the fuel valve stands at {100 * position:.0f} % of its stroke",
    )
    regime = _drawn(rng, (Regime.DAY, Regime.BATCH, Regime.LOW))
    boiler = plain.boiler.turned(stuck_from=begin, stuck_at=position)
    return replace(plain, boiler=boiler, fault=fault, regime=regime)


def _bypassed(rng: np.random.Generator, plain: Planted, shows: bool) -> Planted:
    count = int(rng.integers(3, 7)) if shows else int(rng.integers(0, 3))
    fault = Fault(
        kind=FaultKind.HOLD_BYPASSED,
        magnitude=plain.boiler.believed.hold,
        unit="psi",
        told=f"below {plain.boiler.believed.hold:g} psi nothing keeps the burner at low fire",
    )
    boiler = plain.boiler.turned(hold_works=0.0)
    regime = Regime.SHUT_DOWNS if count else Regime.DAY
    hours = max(plain.seconds, (count + 1) * 12 * HOUR)
    return replace(plain, boiler=boiler, fault=fault, regime=regime, shut_downs=count, seconds=min(hours, 72 * HOUR))


def _offset(rng: np.random.Generator, plain: Planted, shows: bool) -> Planted:
    off = float(rng.uniform(4.0, 9.0)) * (1.0 if rng.random() < 0.5 else -1.0)
    fault = Fault(
        kind=FaultKind.GAUGE_OFFSET, magnitude=off, unit="psi", told=f"the logged pressure stands {off:+.1f} psi off"
    )
    return replace(plain, fault=fault, offset=off, wants_temperature=shows)


def _high_limit(rng: np.random.Generator, plain: Planted, shows: bool) -> Planted:
    works = plain.boiler.works
    above = float(rng.uniform(3.0, 12.0))
    fault = Fault(
        kind=FaultKind.HIGH_LIMIT_ACTING,
        magnitude=above,
        unit="psi",
        told=f"the operating limit would open {above:.1f} psi above the high limit, which stops the burner first",
    )
    boiler = plain.boiler.turned(cut_out=works.high_limit + above * PSI)
    if not shows and boiler.action == ON_OFF:
        return replace(plain, boiler=boiler, fault=fault, seconds=1800)
    return replace(plain, boiler=boiler, fault=fault, regime=plain.regime if shows else Regime.MIDDLE)


def _stopped(rng: np.random.Generator, plain: Planted, shows: bool) -> Planted:
    kinds = [BY_FLAME, BY_AIR, BY_OPERATOR] + ([BY_LEVEL] if plain.boiler.kind != COIL else [])
    kind = int(rng.choice(kinds))
    count = int(rng.integers(5, 12)) if shows else int(rng.integers(1, 3))
    fault = Fault(
        kind=FaultKind.NON_PRESSURE_STOPS,
        magnitude=float(count),
        unit="stops",
        told=f"{count} stops by {StopKind(kind).name.lower()}",
    )
    regime = _drawn(rng, (Regime.DAY, Regime.MIDDLE, Regime.BATCH))
    return replace(plain, fault=fault, regime=regime, stops=(kind, count))


def _hunting(rng: np.random.Generator, plain: Planted, shows: bool) -> Planted:
    boiler, works = plain.boiler, plain.boiler.works
    speed = integrating(boiler)
    # A pump that is not much larger than it has to be: its slugs must not drown what the fire does by itself.
    boiler = boiler.turned(pump_flow=full_steam(boiler) * float(rng.uniform(1.15, 1.4)))
    works = boiler.works
    if boiler.action == WITH_RESET:
        boiler = boiler.turned(reset_time=float(rng.uniform(0.12, 0.3)) / speed, fire_lag=float(rng.uniform(4.0, 12.0)))
        told = "the reset of the firing-rate control is far too fast"
    else:
        # A plugged siphon, and a linkage with much play: the drive always answers too late.
        narrow = float(rng.uniform(0.12, 0.2)) * works.fire_range
        lag = float(rng.uniform(3.0, 6.0)) * narrow / (speed * works.fire_range) + 15.0
        boiler = boiler.turned(fire_range=works.fire_range, fire_lag=lag, backlash=float(rng.uniform(0.15, 0.25)))
        believed = replace(boiler.believed, fire_range=max(2.0, round(narrow / PSI * 2.0) / 2.0))
        middle = works.fire_point + 0.5 * works.fire_range
        point = round(middle / PSI - 0.5 * believed.fire_range)
        believed = replace(believed, fire_point=float(point))
        boiler = replace(boiler, believed=believed)
        boiler = boiler.turned(fire_point=point * PSI, fire_range=believed.fire_range * PSI)
        told = "the firing-rate control sees the pressure late, through a plugged siphon, and its range is narrow"
    fault = Fault(kind=FaultKind.HUNTING, magnitude=0.0, unit="share of the stroke", told=told)
    return replace(plain, boiler=boiler, fault=fault, regime=Regime.STEADY if shows else Regime.LOW)
