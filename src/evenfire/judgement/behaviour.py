"""How one boiler moves: storage, run-on, undershoot and cycling, each by the best route there is.

Measured beats computed, computed beats assumed, and every estimate says which it is. Where a boiler burns several
fuels the worst of them counts. Where the simulation went beyond a closed form, the form is widened to it.
"""

from dataclasses import dataclass

from evenfire.judgement.outcome import Route
from evenfire.physics import firing
from evenfire.physics.evaporation import heat_for_steam
from evenfire.physics.steam import saturation_temperature
from evenfire.physics.vessel import STEEL_HEAT_CAPACITY, Vessel, storage
from evenfire.plant.boiler import Boiler
from evenfire.plant.burner import Burner, Firing, PurgeDamper, StartChain
from evenfire.plant.controls import Action
from evenfire.plant.known import Datum, NotKnownError, Origin, given, known
from evenfire.plant.load import Load, Ramp, steady_loads
from evenfire.plant.readings import RunOn, Simulated
from evenfire.si import AbsPa, GaugePa, absolute

ROOM_TEMPERATURE = 293.15
"""Air that a purge moves; a colder room cools a little more, and the bound of purge cooling covers it [K]."""


@dataclass(frozen=True, slots=True)
class Estimate:
    """A number with the way it was come by."""

    value: float
    """[SI unit of the question]"""
    route: Route
    assumptions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Cycling:
    """How often a burner starts at the load that cycles most."""

    starts: float
    """[1/s]"""
    load: float
    """Heat drawn at that load, standing loss included [W]"""
    load_share: float
    """The same as a share of full fire [1]"""
    within_range: bool
    """Whether the closed form holds: low fire all through the cycle"""
    assumptions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Behaviour:
    """The questions about motion that settings depend on."""

    boiler: Boiler
    load: Load
    ambient: Datum
    """[Pa abs]"""

    def storage(self, pressure: GaugePa) -> Estimate:
        """Heat per pressure rise [J/Pa] at a gauge pressure."""
        volume, steam, metal = known(
            given(self.boiler.water_volume, "water_volume"),
            given(self.boiler.steam_volume, "steam_volume"),
            given(self.boiler.metal_mass, "metal_mass"),
        )
        vessel = Vessel(
            water_volume=volume,
            steam_volume=steam.value,
            metal_mass=metal.value,
            metal_heat_capacity=STEEL_HEAT_CAPACITY,
        )
        return _computed(storage(vessel, self._absolute(pressure)), steam, metal)

    def full_heat(self, burner: Burner) -> Estimate:
        """Heat to the water at full fire [W]: the greatest that output, nameplate or clocked input tell of."""
        candidates: list[Estimate] = []
        if self.boiler.output is not None:
            candidates.append(Estimate(self.boiler.output, Route.STATED))
        inputs = [value for value in (burner.input_nameplate, burner.input_clocked) if value is not None]
        if inputs and burner.efficiency is not None:
            candidates.append(_computed(max(inputs) * burner.efficiency.value, burner.efficiency))
        if not candidates:
            raise NotKnownError(("output", "burner.input"))
        return max(candidates, key=lambda estimate: estimate.value)

    def low_fire_share(self, burner: Burner) -> float:
        """Low fire as a share of full fire [1]."""
        if burner.firing is Firing.ON_OFF:
            return 1.0
        return 1.0 / known(given(burner.turndown, "burner.turndown"))[0]

    def run_on(self, cut_out: GaugePa, shares: tuple[float, ...]) -> Estimate:
        """Rise after cut-out [Pa]; ``shares`` is the firing of each burner when it is stopped [1]."""
        pairs = zip(self._burners(), shares, strict=True)
        closed = _greatest([self._run_on_of(burner, cut_out, share) for burner, share in pairs])
        return _widened(closed, self._simulated.run_on_at_cut_out)

    def low_fire_run_on(self, cut_out: GaugePa) -> Estimate:
        """Rise after cut-out from low fire [Pa]."""
        return self.run_on(cut_out, tuple(self.low_fire_share(burner) for burner in self._burners()))

    def full_fire_run_on(self, trip: GaugePa) -> Estimate:
        """Rise after the high limit stops full fire with no load [Pa]."""
        closed = _greatest([self._run_on_of(burner, trip, 1.0) for burner in self._burners()])
        return _widened(closed, self._simulated.run_on_at_full_fire)

    def undershoot(self, cut_in: GaugePa, cut_out: GaugePa, shares: tuple[float, ...] | None = None) -> Estimate:
        """Fall below cut-in at the worst load that cycles [Pa].

        ``shares`` is the firing of each burner when it is stopped [1]: it cycles at every load below; low fire where
        nothing is said.
        """
        burners = self._burners()
        fires = shares or tuple(self.low_fire_share(burner) for burner in burners)
        pairs = zip(burners, fires, strict=True)
        closed = _greatest([self._undershoot_of(burner, cut_in, cut_out, share) for burner, share in pairs])
        return _widened(closed, self._simulated.undershoot)

    def drop_overshoot(self, low_fire: GaugePa) -> Estimate:
        """Rise above the low-fire point through the design drop [Pa]."""
        closed = _greatest([self._drop_overshoot_of(burner, low_fire) for burner in self._burners()])
        return _widened(closed, self._simulated.drop_overshoot)

    def load_fall(self, high_fire: GaugePa) -> Estimate:
        """Fall below the high-fire point at the greatest steady load [Pa]: a burner in steps drives up only then."""
        closed = _greatest([self._load_fall_of(burner, high_fire) for burner in self._burners()])
        return _widened(closed, self._simulated.load_fall)

    def contact_to_low_fire(self, burner: Burner) -> Estimate:
        """Operating limit's contact to the heat of low fire [s]; a watch beats the sum of the chain."""
        if self.boiler.measured.contact_to_low_fire is not None:
            return Estimate(self.boiler.measured.contact_to_low_fire, Route.MEASURED)
        parts = _chain(burner.chain)
        lag = known(given(burner.heat_lag, "burner.heat_lag"))[0]
        return _computed(sum(part.value for part in parts) + lag.value, *parts, lag)

    def cycling(self, cut_in: GaugePa, cut_out: GaugePa, low_fire: GaugePa | None) -> Cycling:
        """Starts at the load that cycles most, of the burner that cycles most."""
        answers = [self._cycling_of(burner, cut_in, cut_out, low_fire) for burner in self._burners()]
        return max(answers, key=lambda cycling: cycling.starts)

    def purge_cooling(self, burner: Burner, pressure: GaugePa) -> Estimate:
        """Heat carried away while the burner purges [W]: an upper bound."""
        inputs = [value for value in (burner.input_nameplate, burner.input_clocked) if value is not None]
        full = self.full_heat(burner)
        efficiency = known(given(burner.efficiency, "burner.efficiency"))[0]
        gross = max(inputs) if inputs else full.value / efficiency.value
        share = 1.0 if burner.chain.purge_damper is not PurgeDamper.LOW else self.low_fire_share(burner)
        water = saturation_temperature(self._absolute(pressure))
        return _computed(firing.purge_cooling(gross, share, water, ROOM_TEMPERATURE), efficiency)

    def steam_heat(self, steam: float, pressure: GaugePa) -> float:
        """Heat that a steam flow [kg/s] takes from feedwater to steam [W]."""
        feed = known(given(self.boiler.feedwater_temperature, "feedwater_temperature"))[0]
        return heat_for_steam(steam, self._absolute(pressure), feed.value)

    def steady_heats(self, pressure: GaugePa) -> tuple[float, ...]:
        """Heat drawn at each steady load of the survey, standing loss included [W]; empty where no load is known."""
        loads = () if self.load.demand is None else steady_loads(self.load.demand)
        return tuple(self._drawn(list(loads), pressure)) if loads else ()

    @property
    def _simulated(self) -> Simulated:
        return self.boiler.simulated or Simulated()

    def _absolute(self, pressure: GaugePa) -> AbsPa:
        return absolute(pressure, AbsPa(self.ambient.value))

    def _burners(self) -> tuple[Burner, ...]:
        if not self.boiler.burners:
            raise NotKnownError(("burner",))
        return self.boiler.burners

    def _run_on_of(self, burner: Burner, pressure: GaugePa, share: float) -> Estimate:
        measured = self._measured_run_on(share)
        seen = (
            None
            if measured is None
            else measured.rise * share / measured.firing * self._raises_more(measured, pressure)
        )
        if measured is not None and seen is not None and measured.firing >= share * (1 - 1e-9):
            return Estimate(seen, Route.MEASURED)
        full, lag = self.full_heat(burner), known(given(burner.heat_lag, "burner.heat_lag"))[0]
        store = self.storage(pressure)
        rise = firing.run_on(full.value * share, lag.value, store.value)
        computed = Estimate(rise, *_route(_marks(lag), full.assumptions, store.assumptions))
        # Heat on its way grows with the fire; a small run-on seen at a lower fire must not hide a larger one.
        return computed if seen is None or seen <= computed.value else Estimate(seen, Route.MEASURED)

    def _raises_more(self, reading: RunOn, pressure: GaugePa) -> float:
        """Rise at a pressure over the rise where it was read [1]; a reading that says not where is taken as read there.

        The same heat raises a higher pressure further, because its saturation temperature hardly rises with it.
        """
        if reading.at is None:
            return 1.0
        return self.storage(reading.at).value / self.storage(pressure).value

    def _measured_run_on(self, share: float) -> RunOn | None:
        """The reading that speaks for a fire of ``share`` with no load: lowest fire at or above it, else the highest.

        A reading taken while steam was drawn understates what happens without load and is not used.
        """
        readings = [reading for reading in self.boiler.measured.run_on if reading.load <= 0.0]
        enough = [reading for reading in readings if reading.firing >= share * (1 - 1e-9)]
        if enough:
            return min(enough, key=lambda reading: reading.firing)
        return max(readings, key=lambda reading: reading.firing, default=None)

    def _undershoot_of(self, burner: Burner, cut_in: GaugePa, cut_out: GaugePa, share: float) -> Estimate:
        load = self._worst_cycling_heat(burner, cut_in, share)
        full = self.full_heat(burner)
        measured = self.boiler.measured.undershoot
        if measured is not None and measured.load * full.value >= load.value * (1 - 1e-9):
            return Estimate(measured.fall, Route.MEASURED)
        seconds, store = self.contact_to_low_fire(burner), self.storage(cut_in)
        purge = self.purge_cooling(burner, cut_in)
        off = known(given(burner.chain.minimum_off, "burner.start.minimum_off"))[0]
        waited = max(0.0, off.value - store.value * (cut_out - cut_in) / load.value) if off.value > 0 else 0.0
        fall = firing.restart_undershoot(load.value, purge.value, seconds.value, store.value)
        fall += load.value * waited / store.value
        computed = Estimate(
            fall, *_route(load.assumptions, seconds.assumptions, store.assumptions, purge.assumptions, _marks(off))
        )
        if measured is None or measured.fall * load.value / (measured.load * full.value) <= computed.value:
            return computed
        return Estimate(measured.fall * load.value / (measured.load * full.value), Route.MEASURED)

    @property
    def falls_alike_from_every_cut_out(self) -> bool:
        """Whether the fall below cut-in depends on cut-in alone: no burner has to stay off for a while."""
        offs = (burner.chain.minimum_off for burner in self.boiler.burners)
        return all(off is not None and off.value == 0 for off in offs)

    def _worst_cycling_heat(self, burner: Burner, pressure: GaugePa, share: float) -> Estimate:
        """The largest heat drawn at which the burner still cycles [W]; unknown load counts as the worst."""
        full = self.full_heat(burner)
        low = full.value * share
        drawn = self.steady_heats(pressure)
        return Estimate(max([heat for heat in drawn if heat < low], default=low), full.route, full.assumptions)

    def _drawn(self, loads: list[float], pressure: GaugePa) -> list[float]:
        loss = known(given(self.boiler.standing_loss, "standing_loss"))[0]
        return [self.steam_heat(steam, pressure) + loss.value for steam in loads]

    def _drop_overshoot_of(self, burner: Burner, low_fire: GaugePa) -> Estimate:
        lag, stroke, ramp = known(
            given(burner.heat_lag, "burner.heat_lag"),
            given(burner.stroke_time, "burner.stroke"),
            given(self.load.design_drop, "load.design_drop"),
        )
        full, store = self.full_heat(burner), self.storage(low_fire)
        span = full.value * (1 - self.low_fire_share(burner))
        if burner.firing is Firing.LOW_HIGH_OFF:
            # It switches from full to low whatever the load does; a load near low fire sheds the whole span at once.
            heat, seconds = span, 0.0
        else:
            heat, seconds = min(self._ramp_heat(ramp, full.value, low_fire), span), ramp.duration.value
        drive = stroke.value * (heat / span if span > 0 else 0.0)
        rise = firing.drop_overshoot(heat, seconds, lag.value, drive, store.value)
        marks = _marks(lag, stroke, ramp.size, ramp.duration)
        return Estimate(rise, *_route(marks, full.assumptions, store.assumptions))

    def _load_fall_of(self, burner: Burner, high_fire: GaugePa) -> Estimate:
        if not steps_up(self.boiler, burner):
            return Estimate(0.0, Route.COMPUTED)
        lag, stroke = known(given(burner.heat_lag, "burner.heat_lag"), given(burner.stroke_time, "burner.stroke"))
        full, store, low = self.full_heat(burner), self.storage(high_fire), self.low_fire_share(burner)
        span = full.value * (1 - low)
        drawn = self.steady_heats(high_fire)
        most = min(max(drawn), full.value) if drawn else full.value
        share = max(0.0, most - full.value * low) / span if span > 0 else 0.0
        fall = firing.drive_up_fall(share, span, lag.value, stroke.value, store.value)
        return Estimate(fall, *_route(_marks(lag, stroke), full.assumptions, store.assumptions))

    def _ramp_heat(self, ramp: Ramp, full: float, pressure: GaugePa) -> float:
        return ramp.size.value * full if ramp.share else self.steam_heat(ramp.size.value, pressure)

    def _cycling_of(self, burner: Burner, cut_in: GaugePa, cut_out: GaugePa, low_fire: GaugePa | None) -> Cycling:
        full, share = self.full_heat(burner), self.low_fire_share(burner)
        heat = full.value * share
        seconds, purge = self.contact_to_low_fire(burner), self.purge_cooling(burner, cut_in)
        after = known(given(burner.chain.postpurge, "burner.start.postpurge"))[0]
        store = self.storage(GaugePa((cut_in + cut_out) / 2))
        band = store.value * (cut_out - cut_in)
        after_heat = min(after.value, 0.9 * band / purge.value) if purge.value > 0 else after.value
        lag = known(given(burner.heat_lag, "burner.heat_lag"))[0]
        load = firing.fastest_cycling_load(heat, band, seconds.value, lag.value, purge.value, after_heat)
        loads = [load]
        if self.load.demand is not None and steady_loads(self.load.demand):
            drawn = self._drawn(list(steady_loads(self.load.demand)), cut_in)
            loads = [each for each in drawn if 0 < each < heat]
        marks = _route(full.assumptions, seconds.assumptions, purge.assumptions, store.assumptions, _marks(after, lag))[
            1
        ]
        if not loads:
            return Cycling(starts=0.0, load=0.0, load_share=0.0, within_range=True, assumptions=marks)
        periods = {
            each: firing.cycle_period(each, heat, band, seconds.value, lag.value, purge.value, after_heat)
            for each in loads
        }
        worst = min(periods, key=lambda each: periods[each])
        fall = firing.restart_undershoot(worst, purge.value, seconds.value, store.value)
        within = low_fire is None or cut_in - fall >= low_fire
        return Cycling(
            starts=1 / periods[worst],
            load=worst,
            load_share=worst / full.value,
            within_range=within,
            assumptions=marks,
        )


def steps_up(boiler: Boiler, burner: Burner) -> bool:
    """Whether a burner goes from low to high fire in one step: called for at a point, and late there."""
    control = boiler.controls.firing_rate
    if burner.firing is Firing.ON_OFF or control is None:
        return False
    return burner.firing is Firing.LOW_HIGH_OFF or control.action is Action.TWO_POSITION


def _chain(chain: StartChain) -> tuple[Datum, ...]:
    """The parts of the start chain that pass before there is heat of low fire."""
    first = known(
        given(chain.start_delay, "burner.start.delay"),
        given(chain.drive_open, "burner.start.drive_open"),
        given(chain.prepurge, "burner.start.prepurge"),
        given(chain.drive_back, "burner.start.drive_back"),
        given(chain.pilot_trial, "burner.start.pilot_trial"),
        given(chain.main_trial, "burner.start.main_trial"),
    )
    return (*first, *known(given(chain.flame_to_low_fire, "burner.start.flame_to_low_fire")))


def _marks(*data: Datum) -> tuple[str, ...]:
    return tuple(datum.assumption for datum in data if datum.origin is Origin.ASSUMED)


def _route(*marks: tuple[str, ...]) -> tuple[Route, tuple[str, ...]]:
    """Computed or assumed, with every assumption named once."""
    names = tuple(dict.fromkeys(name for group in marks for name in group))
    return (Route.ASSUMED if names else Route.COMPUTED), names


def _computed(value: float, *data: Datum) -> Estimate:
    return Estimate(value, *_route(_marks(*data)))


def _greatest(estimates: list[Estimate]) -> Estimate:
    return max(estimates, key=lambda estimate: estimate.value)


def _widened(closed: Estimate, by: float) -> Estimate:
    """A closed form that the simulation went beyond."""
    return closed if by <= 0.0 else Estimate(closed.value + by, Route.SIMULATED, closed.assumptions)
