"""A case made ready for its proofs: one burner, every control at a chosen corner of its tolerance, loads and runs."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import inf

import numpy as np

from evenfire.errors import Diverged
from evenfire.judgement.case import Case
from evenfire.judgement.motion.beginning import standing_under
from evenfire.judgement.motion.loading import FaultAt, inputs_of
from evenfire.judgement.motion.modelling import Shifts, boiler_model, normal_volume, working_pressure
from evenfire.judgement.proofs.result import Shown
from evenfire.physics.motion import run as running
from evenfire.physics.motion import starting
from evenfire.physics.motion.model import FEED_HELD, Model, Profile, steady
from evenfire.physics.motion.records import copied
from evenfire.physics.motion.state import State
from evenfire.plant.burner import Burner
from evenfire.plant.known import Missing, NotKnownError, given, known
from evenfire.plant.load import Ramp, steady_loads
from evenfire.si import AbsPa

ACCURACY = 0.5
"""Error of pressure allowed in one step of a proof [Pa]; tolerances of controls are thousands of times larger."""
INTERVAL = 10.0
"""[s]"""
JUST_BEFORE = 1e-3
"""Where a run that breaks off is cut [s]."""
AT_ONCE = 1e-6
"""When a load jumps that would jump at the very begin [s]."""
MOST_OF_FULL = 0.98
"""Of what a burner is said to make [1]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Corner:
    """How far each control is off, in its own tolerance: -1 acts low, +1 acts high."""

    name: str
    operating_limit: float = 0.0
    """[1]"""
    high_limit: float = 0.0
    """[1]"""
    firing_rate: float = 0.0
    """[1]"""
    low_fire_hold: float = 0.0
    """[1]"""


TRUE = Corner(name="dials true")
LOW = Corner(name="dials low", operating_limit=-1, firing_rate=-1, low_fire_hold=1)
"""Everything that makes pressure low, and the hold where pressure may fall into it."""
HIGH = Corner(name="dials high", operating_limit=1, firing_rate=1, high_limit=-1)
"""Everything that makes pressure high, and the high limit where it trips for nothing."""
LATE = Corner(name="limits late", operating_limit=1, high_limit=1, firing_rate=1)
"""Everything that stops the burner late."""
CROSSED = Corner(name="firing rate high, limit low", operating_limit=-1, firing_rate=1)
"""The cut-out into the firing band."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stage:
    """One burner of a case at one corner."""

    case: Case
    burner: Burner
    corner: Corner
    model: Model

    @property
    def full(self) -> float:
        """Steam flow that full fire holds, standing loss taken off [kg/s]."""
        return max(0.0, self.model.burner.full_heat - self.loss) / self.per_steam

    @property
    def low(self) -> float:
        """Steam flow that low fire holds [kg/s]."""
        return max(0.0, self.model.burner.full_heat * self.model.burner.lowest - self.loss) / self.per_steam

    @property
    def plant_loads(self) -> tuple[float, ...]:
        """The steady loads that the survey knows of [kg/s]; none where nobody stated the load."""
        demand = self.case.load.demand
        return () if demand is None else steady_loads(demand)

    @property
    def greatest_load(self) -> float:
        """The greatest load that the plant draws, or nearly all that the burner makes where nobody stated it [kg/s].

        The very last percent of a burner is nobody's to promise.
        """
        return min([MOST_OF_FULL * self.full, *([max(self.plant_loads)] if self.plant_loads else [])])

    @property
    def worst_cycling_load(self) -> float:
        """The largest load at which the burner cycles, of those that the plant has; else just below low fire [kg/s]."""
        below = [flow for flow in self.plant_loads if flow < self.low]
        if self.plant_loads:
            return max(below, default=0.0)
        return min(0.999 * self.low, MOST_OF_FULL * self.full)

    @property
    def loss(self) -> float:
        """[W]"""
        return known(given(self.case.boiler.standing_loss, "standing_loss"))[0].value

    @property
    def per_steam(self) -> float:
        """Heat that a kilogram of steam takes [J/kg]."""
        return self.case.behaviour.steam_heat(1.0, working_pressure(self.case))

    def flow_of(self, ramp: Ramp) -> float:
        """Size of a change of load [kg/s]."""
        return ramp.size.value * self.full if ramp.share else ramp.size.value

    def standing_at(self, flow: float) -> State:
        """The boiler that has carried this load for long [kg/s]; below low-fire load it stands at cut-in."""
        return standing_under(self.case, self.model, flow)

    def at_cut_in(self) -> State:
        """The boiler at cut-in, its burner about to start."""
        pressure = AbsPa(float(self.model.controls.cut_in))
        return starting.at_pressure(self.model, pressure, normal_volume(self.case))

    def free_of_hold(self) -> "Stage":
        """The same boiler with its low-fire hold bypassed."""
        model = copied(self.model)
        model.controls.takes_hold = model.controls.lets_go = -inf
        return replace(self, model=model)

    def freed(self) -> "Stage":
        """The same boiler with nothing that stops its burner for pressure."""
        model = copied(self.model)
        model.controls.cut_out, model.controls.cut_in = inf, -inf
        model.controls.trip, model.controls.remakes = inf, -inf
        return replace(self, model=model)

    def run(
        self,
        name: str,
        first: State,
        draw: Profile,
        *,
        hours: float,
        faults: Sequence[FaultAt] = (),
        interval: float = INTERVAL,
    ) -> Shown:
        """Run, with a row of the series every ``interval`` [s]; one that breaks off is shown until shortly before."""
        inputs, broke_off = inputs_of(draw, tuple(faults)), False
        duration = hours * 3600.0
        try:
            done = running.run(self.model, inputs, first, duration=duration, interval=interval, accuracy=ACCURACY)
        except Diverged as error:
            broke_off, duration = True, max(0.0, error.time.value - JUST_BEFORE)
            done = running.run(self.model, inputs, first, duration=duration, interval=interval, accuracy=ACCURACY)
        return Shown(name=name, run=done, ambient=self.case.site.ambient.value, broke_off=broke_off)


def stages_of(case: Case, corner: Corner, *, slugs: bool = False) -> tuple[Stage, ...]:
    """A stage for each burner; the worst of them decides.

    Settings are proved with feedwater that keeps the level; ``slugs`` lets it come as the boiler's pump or valve gives
    it, which swings the pressure whatever the settings are.

    Raises
    ------
    NotKnownError
        Whatever the survey lacks.
    """
    if not case.boiler.burners:
        raise NotKnownError(("burner",))
    shifts = shifts_of(case, corner)
    stages = []
    for burner in case.boiler.burners:
        model = boiler_model(case, burner.fuel, shifts)
        if not slugs:
            model.feed.kind = FEED_HELD
        stages.append(Stage(case=case, burner=burner, corner=corner, model=model))
    return tuple(stages)


def shifts_of(case: Case, corner: Corner) -> Shifts:
    """How far each control is off at a corner; a tolerance that nobody knows is asked for where it is needed."""
    off = case.facts.off

    def shift(share: float, tolerance: float | Missing) -> float:
        return 0.0 if share == 0.0 else share * known(tolerance)[0]

    return Shifts(
        operating_limit=shift(corner.operating_limit, off.operating_limit),
        high_limit=shift(corner.high_limit, off.high_limit),
        firing_rate=shift(corner.firing_rate, off.firing_rate if case.boiler.controls.firing_rate else 0.0),
        low_fire_hold=shift(corner.low_fire_hold, off.low_fire_hold if case.boiler.controls.low_fire_hold else 0.0),
    )


def ramp(before: float, after: float, begins: float, lasts: float) -> Profile:
    """A load that goes from one flow to another [kg/s], from ``begins`` on, over ``lasts`` [s]."""
    if lasts <= 0.0:
        return Profile(np.array([[0.0, before, 0.0], [max(begins, AT_ONCE), after, 0.0]]), inf)
    slope = (after - before) / lasts
    rows = [[0.0, before, 0.0], [begins, before, slope], [begins + lasts, after, 0.0]]
    return Profile(np.array(rows if begins > 0.0 else rows[1:]), inf)


def nothing() -> Profile:
    """Nobody draws steam."""
    return steady(0.0)
