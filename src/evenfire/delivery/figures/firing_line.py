"""The line of firing: how hard a burner fires at each pressure, and where something stops it."""

from dataclasses import dataclass
from enum import Enum

from evenfire.judgement.case import Case
from evenfire.physics.firing import firing_fraction, steady_pressure
from evenfire.plant.burner import Burner, Firing, Fuel
from evenfire.plant.controls import Action
from evenfire.plant.known import Missing
from evenfire.si import ROUNDING_PA

STEADY_LOADS = (1.0, 0.75, 0.5)
"""Loads at which the working pressure is marked, besides low-fire load, as shares of full fire [1]."""


class Shape(Enum):
    """How a burner comes down from full fire."""

    SLOPE = "slope"
    """In proportion, from the high-fire point to the low-fire point"""
    STEP = "step"
    """To low fire at the low-fire point, back to full at the high-fire point"""
    ON_OFF = "on-off"
    """Full fire until something stops it"""


class WhyNoLine(Enum):
    """Why no line can be drawn."""

    NOT_ON_A_DIAL = "not on a dial"
    """A controller or a plant master computes the firing for itself"""
    NOT_KNOWN = "not known"
    """Some point or the turndown is not surveyed"""


class StoppedBy(Enum):
    """What ends the line."""

    CUT_OUT = "cut-out"
    HIGH_LIMIT = "high limit"


class Steady(Enum):
    """What becomes of a steady load."""

    STANDS = "stands"
    CYCLES = "cycles"
    """The cut-out comes first, again and again"""
    TRIPS = "trips"
    """The high limit comes first"""
    HELD_LOW = "held low"
    """The low-fire hold keeps the burner at low fire, and the pressure falls"""


@dataclass(frozen=True, slots=True)
class Point:
    """A corner of the line."""

    firing: float
    """Share of full fire [1]"""
    pressure: float
    """[Pa gauge]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkingPoint:
    """Where the pressure stands under a steady load."""

    load: float
    """Heat to the water as a share of full fire [1]"""
    pressure: float
    """[Pa gauge]"""
    is_low_fire: bool
    steady: Steady


@dataclass(frozen=True, slots=True, kw_only=True)
class NoLine:
    """There is no line to draw."""

    why: WhyNoLine


@dataclass(frozen=True, slots=True, kw_only=True)
class Demand:
    """What low-fire hold and firing-rate control ask of a burner, whatever stops it."""

    shape: Shape
    lowest: float = 1.0
    """Low fire as a share of full fire [1]"""
    high_fire: float = 0.0
    """[Pa gauge]; an on-off burner has none"""
    low_fire: float = 0.0
    """[Pa gauge]; an on-off burner has none"""
    hold: float | None = None
    """[Pa gauge]"""

    @property
    def points(self) -> tuple[float, ...]:
        """Pressures at which the demand may turn or jump [Pa gauge], rising."""
        if self.shape is Shape.ON_OFF:
            return ()
        held = () if self.hold is None else (self.hold,)
        return tuple(sorted({self.high_fire, self.low_fire, *held}))

    def rising(self, pressure: float) -> float:
        """Firing asked for while the pressure rises, as a share of full fire [1]."""
        if self.shape is Shape.ON_OFF:
            return 1.0
        if self.holds(pressure) or pressure >= self.low_fire:
            return self.lowest
        if self.shape is Shape.STEP or pressure <= self.high_fire:
            return 1.0
        return firing_fraction(pressure, self.high_fire, self.low_fire, self.lowest)

    def holds(self, pressure: float) -> bool:
        """Whether the low-fire hold keeps the burner low."""
        return self.hold is not None and pressure < self.hold - ROUNDING_PA


@dataclass(frozen=True, slots=True, kw_only=True)
class FiringLine:
    """How one set of settings fires one burner."""

    demand: Demand
    tolerance: float | None
    """Of the firing-rate control, either way [Pa]"""
    stop: Point | None
    """Where the rising pressure stops the burner, and what it fires until then"""
    stopped_by: StoppedBy | None
    cut_in: float | None
    """Where the burner comes back by itself [Pa gauge]"""
    working: tuple[WorkingPoint, ...]
    fuel: Fuel

    @property
    def stops_before_low_fire(self) -> bool:
        """Whether the burner is stopped while it could still turn down."""
        return self.stop is not None and self.stop.firing > self.demand.lowest + 1e-9

    def rising(self, pressure: float) -> float:
        """Firing while the pressure rises to this [Pa gauge], as a share of full fire [1]; nought once stopped."""
        stopped = self.stop is not None and pressure > self.stop.pressure + ROUNDING_PA
        return 0.0 if stopped else self.demand.rising(pressure)


def firing_line(case: Case) -> FiringLine | NoLine:
    """The line of the burner that turns down least, with the case's settings."""
    burner = min(case.boiler.burners, key=_turns_down, default=None)
    if burner is None:
        return NoLine(why=WhyNoLine.NOT_KNOWN)
    demand = _demand(case, burner)
    if isinstance(demand, NoLine):
        return demand
    stop_at, stopped_by = _stop(case)
    if demand.shape is Shape.ON_OFF and stop_at is None:
        return NoLine(why=WhyNoLine.NOT_KNOWN)
    return FiringLine(
        demand=demand,
        tolerance=None if demand.shape is Shape.ON_OFF else _number(case.facts.off.firing_rate),
        stop=None if stop_at is None else Point(demand.rising(stop_at), stop_at),
        stopped_by=stopped_by,
        cut_in=_number(case.stack.cut_in) if stopped_by is StoppedBy.CUT_OUT else None,
        working=_working(demand, stop_at, stopped_by),
        fuel=burner.fuel,
    )


def _demand(case: Case, burner: Burner) -> Demand | NoLine:
    if burner.firing is Firing.ON_OFF:
        return Demand(shape=Shape.ON_OFF)
    control = case.boiler.controls.firing_rate
    action = None if control is None else control.action
    if action in {Action.PID, Action.MASTER}:
        return NoLine(why=WhyNoLine.NOT_ON_A_DIAL)
    high_fire, low_fire = case.stack.high_fire, case.stack.low_fire
    if isinstance(high_fire, Missing) or isinstance(low_fire, Missing) or burner.turndown is None:
        return NoLine(why=WhyNoLine.NOT_KNOWN)
    steps = burner.firing is Firing.LOW_HIGH_OFF or action is Action.TWO_POSITION
    return Demand(
        shape=Shape.STEP if steps else Shape.SLOPE,
        lowest=1.0 / burner.turndown,
        high_fire=high_fire,
        low_fire=low_fire,
        hold=_number(case.stack.hold),
    )


def _working(demand: Demand, stop: float | None, stopped_by: StoppedBy | None) -> tuple[WorkingPoint, ...]:
    """Steady working points of a proportional control; a burner that steps or goes off stands nowhere."""
    if demand.shape is not Shape.SLOPE or demand.lowest >= 1.0:
        return ()
    points = []
    for load in (*(load for load in STEADY_LOADS if load > demand.lowest), demand.lowest):
        pressure = steady_pressure(load, demand.high_fire, demand.low_fire, demand.lowest)
        steady = Steady.STANDS
        if stop is not None and pressure >= stop - ROUNDING_PA:
            steady = Steady.CYCLES if stopped_by is StoppedBy.CUT_OUT else Steady.TRIPS
        elif demand.holds(pressure) and load > demand.lowest:
            steady = Steady.HELD_LOW
        points.append(WorkingPoint(load=load, pressure=pressure, is_low_fire=load == demand.lowest, steady=steady))
    return tuple(points)


def _stop(case: Case) -> tuple[float | None, StoppedBy | None]:
    """The lower of cut-out and high-limit trip: a boiler whose order is broken is drawn as it acts."""
    cut_out, trip = _number(case.stack.cut_out), _number(case.stack.trip)
    if cut_out is not None and (trip is None or cut_out <= trip):
        return cut_out, StoppedBy.CUT_OUT
    return (trip, StoppedBy.HIGH_LIMIT) if trip is not None else (None, None)


def _turns_down(burner: Burner) -> float:
    return 1.0 if burner.firing is Firing.ON_OFF else burner.turndown or 0.0


def _number(value: float | Missing) -> float | None:
    return None if isinstance(value, Missing) else value
