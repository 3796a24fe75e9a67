"""Random plants for settle, stratified, and a second way to judge every dial position of one.

The second way shares nothing with settle or the margins but the plant values and the physics of steam and storage,
which are checked against print elsewhere: its dials, tolerances, motion and demands are written out here once more,
from the demands as the design states them.
"""

import random
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cache, cached_property
from itertools import product

import numpy as np
from numpy.typing import NDArray

from evenfire.physics.evaporation import heat_for_steam
from evenfire.physics.steam import saturation_temperature
from evenfire.physics.vessel import Vessel, storage
from evenfire.plant.boiler import Boiler
from evenfire.plant.burner import Burner, Firing, PurgeDamper
from evenfire.plant.controls import Action, Control, Counts, Filling, Position, Role
from evenfire.plant.known import Datum
from evenfire.plant.load import Place, steady_loads
from evenfire.plant.plant import Plant
from evenfire.si import AbsPa
from tests.surveys import survey

Floats = NDArray[np.float64]
Masks = NDArray[np.bool_]
Edits = dict[str, object]

PSI = 4.4482216152605 / 0.0254**2  # the pound-force over the square inch
NOISE = 0.01  # a hundredth of a pascal: what two units of one pressure may differ by

HIGH_PRESSURE_KINDS = ("firetube", "watertube", "vertical", "coil")
LOW_PRESSURE_KINDS = ("cast-iron", "firetube", "watertube", "vertical", "coil")
FIRINGS = ("on-off", "low-high-off", "proportional", "pid", "master")
GALLONS = {"firetube": 750, "watertube": 420, "vertical": 480, "coil": 110, "cast-iron": 330}  # invented
LAGS = {"firetube": 8, "watertube": 7, "vertical": 8, "coil": 3, "cast-iron": 9}  # [s], invented


@dataclass(frozen=True, slots=True, kw_only=True)
class Stratum:
    low_pressure: bool
    kind: str
    firing: str
    long_chain: bool
    fine: bool


STRATA = tuple(
    Stratum(low_pressure=low, kind=kind, firing=firing, long_chain=long_chain, fine=fine)
    for low, kinds in ((False, HIGH_PRESSURE_KINDS), (True, LOW_PRESSURE_KINDS))
    for kind, firing, long_chain, fine in product(kinds, FIRINGS, (False, True), (False, True))
)


@dataclass(frozen=True, slots=True, kw_only=True)
class RandomPlant:
    seed: int
    stratum: Stratum
    edits: Edits
    """Of the laundry: the reproduction of a failure"""
    plant: Plant

    @property
    def boiler(self) -> Boiler:
        return self.plant.boilers[0]


def random_plant(seed: int, *, always_coarse: bool = False) -> RandomPlant:
    """The plant of a seed; the seeds of one round go through all the strata."""
    order = list(STRATA)
    random.Random(seed // len(STRATA)).shuffle(order)
    stratum = order[seed % len(STRATA)]
    if always_coarse:
        stratum = Stratum(
            low_pressure=stratum.low_pressure,
            kind=stratum.kind,
            firing=stratum.firing,
            long_chain=stratum.long_chain,
            fine=False,
        )
    edits = _edits(stratum, random.Random(f"plant {seed} {always_coarse}"))
    return RandomPlant(seed=seed, stratum=stratum, edits=edits, plant=survey(edits).plant)


def _edits(stratum: Stratum, chance: random.Random) -> Edits:
    valve = 15 if stratum.low_pressure else chance.choice([100, 125, 150, 200, 250])
    hard = chance.random() < 0.4
    share = chance.uniform(0.35, 0.7) if hard else chance.uniform(0.08, 0.2)
    if not stratum.low_pressure:
        share = chance.uniform(0.76, 0.9) if hard else chance.uniform(0.45, 0.65)
    need = round(share * valve * 2) / 2
    bhp = 50 if stratum.low_pressure else 100
    wish = chance.choice([None, round(valve * chance.uniform(0.8, 0.95), 1), round(need + (valve - need) * 0.6, 1)])
    edits: Edits = {
        "boiler.as_found": None,
        "boiler.kind": stratum.kind,
        "boiler.mawp": f"{valve if stratum.low_pressure else valve + chance.choice([0, 0, 25])} psi",
        "boiler.output": f"{bhp} bhp",
        "boiler.heating_surface": "500 ft2",
        "boiler.water_volume": f"{GALLONS[stratum.kind] * chance.uniform(0.7, 1.4):.0f} gal",
        "boiler.steam_volume": "25 ft3",
        "boiler.metal_mass": f"{chance.choice([3000, 6000, 9000])} lb",
        "boiler.safety_valve": _valves(valve, chance),
        "load.need": f"{need} psi",
        "load.wish": None if wish is None else f"{wish} psi",
        "load.rated_max": chance.choice([None, f"{valve} psi", f"{valve * 0.97:.1f} psi"]),
        "load.may_dip_to": None,
        "load.may_dip_for": None,
        "boiler.gauge": {"to": f"{2 * valve} psi", "division": "1 psi"},
    }
    edits.update(_load(chance))
    edits.update(_burner(stratum, bhp, chance))
    edits.update(_controls(stratum, valve, need, chance))
    return edits


def _valves(valve: int, chance: random.Random) -> list[Edits]:
    front: Edits = {"set": f"{valve} psi", "capacity": "4500 lb/h", "blowdown": f"{2 + 0.02 * valve:.1f} psi"}
    rear: Edits = {**front, "set": f"{valve} psi"}
    if chance.random() < 0.2:
        rear["lift_tested_at"] = f"{valve * 0.99:.2f} psi"
    return [front, rear]


def _load(chance: random.Random) -> Edits:
    edits: Edits = {"load.demand": None, "load.drop": {"size": f"{chance.choice([10, 30, 60])} %", "over": "60 s"}}
    if chance.random() < 0.3:
        steams = chance.sample([150, 400, 900, 1500, 2600], 3)
        edits["load.demand"] = {"shape": "steps", "steps": [{"for": "5 h", "steam": f"{each} lb/h"} for each in steams]}
    if chance.random() < 0.2:
        edits.update({"load.need_at": "header", "load.line_drop": "0.5 psi"})
    return edits


def _burner(stratum: Stratum, bhp: int, chance: random.Random) -> Edits:
    lag = LAGS[stratum.kind] * chance.uniform(0.7, 2.0)
    drive, purge = (chance.choice([20, 30]), chance.choice([30, 60])) if stratum.long_chain else (0, 8)
    return {
        "boiler.burner.firing": "modulating" if stratum.firing in {"proportional", "pid", "master"} else stratum.firing,
        "boiler.burner.turndown": None if stratum.firing == "on-off" else chance.choice([2, 3, 5, 8]),
        "boiler.burner.input": f"{0.0418 * bhp} MMBtu/h",
        "boiler.burner.input_clocked": f"{0.0412 * bhp} MMBtu/h",
        "boiler.burner.heat_lag": f"{lag:.1f} s",
        "boiler.burner.stroke": f"{chance.choice([15, 30, 60])} s",
        "boiler.burner.start.drive_open": f"{drive} s",
        "boiler.burner.start.drive_back": f"{drive} s",
        "boiler.burner.start.prepurge": f"{purge} s",
        "boiler.burner.start.purge_damper": chance.choice(["open", "low"]),
        "boiler.burner.start.pilot_trial": "10 s" if stratum.long_chain else "4 s",
        "boiler.burner.start.main_trial": "10 s" if stratum.long_chain else "4 s",
        "boiler.burner.start.minimum_off": "120 s" if chance.random() < 0.1 else "0 s",
    }


def _controls(stratum: Stratum, valve: int, need: float, chance: random.Random) -> Edits:
    low = stratum.low_pressure
    unit = 0.1 if low else 1.0
    division = (0.5 if low else 1.0) if stratum.fine else (2.0 if low else 8.0)
    bottom = max(0.5, need - 3 * unit) if stratum.fine else max(0.5, need * 0.8)
    top = min(valve * 0.98, bottom + (7 if low else 26)) if stratum.fine else valve * 0.98
    widths = (0.5, 2.5, 1.0) if low else (3, 11, 4)
    if not stratum.fine:
        widths = (1.0, 4.0, 3.0) if low else (4, 12, 8)

    def dial(lowest: float, highest: float) -> Edits:
        legs = ("none", "none", {"height": f"{3 * unit:.1f} ft", "position": "below", "filling": "full"})
        unsure = {"height": f"{2 * unit:.1f} ft", "position": "above", "filling": "unsure"}
        tolerance: Edits = {"dial": f"{(chance.choice([1, 2, 3]) if not low else chance.choice([0.5, 1, 1.5]))} psi"}
        if stratum.fine:
            tolerance = {"dial": "2 psi", "proved": f"{0.25 if low else 0.5} psi"}
        scale = {"from": f"{lowest:.1f} psi", "to": f"{highest:.1f} psi", "division": f"{division} psi"}
        return {"scale": scale, "tolerance": tolerance, "water_leg": chance.choice([*legs, unsure])}

    def band(lowest: float, highest: float) -> Edits:
        scale = {"from": f"{widths[0]} psi", "to": f"{widths[1]} psi", "division": f"{widths[2]} psi"}
        counts = chance.choice(["below", "below", "above", "around"])
        return {**dial(lowest, highest), "differential_scale": scale, "differential_counts": counts}

    high_bottom = max(bottom, valve * (0.55 if low else 0.82)) if stratum.fine else bottom
    edits = {
        "operating_limit": band(bottom, top),
        "high_limit": dial(high_bottom, float(valve)),
        "firing_rate": band(bottom, top) if stratum.firing != "on-off" else None,
        "low_fire_hold": dial(need * 0.4, need * 0.4 + 2 * division)
        if chance.random() < 0.5 and stratum.firing != "on-off"
        else None,
    }
    action = {"low-high-off": "two-position"}.get(stratum.firing, stratum.firing)
    if edits["firing_rate"] is not None:
        edits["firing_rate"]["action"] = action
    return {
        f"boiler.controls.{role}" + (f".{key}" if value else ""): part
        for role, value in edits.items()
        for key, part in (value or {"": None}).items()
    }


# What follows is the second way to judge a plant.


@dataclass(frozen=True, slots=True, kw_only=True)
class Dial:
    """Every position of one control: what it shows, and where it acts at the boiler [Pa gauge]."""

    main: Floats
    width: Floats
    lower: Floats
    upper: Floats
    off: float


def dial(boiler: Boiler, role: Role) -> Dial:
    control = boiler.controls.of(role)
    assert control is not None
    proved = control.tolerance.proved is not None
    shift, spread = _leg(control)
    mains, widths = _mains(boiler, control, shift), [0.0]
    differential = control.differential_scale
    if role in {Role.OPERATING_LIMIT, Role.FIRING_RATE}:
        assert differential is not None
        assert differential.division is not None
        widths = _marks(differential.lowest, differential.highest, differential.division / 2)
    pairs = np.array(list(product(mains, widths)))
    main, width = pairs[:, 0], pairs[:, 1]
    below = {Counts.BELOW: 1.0, Counts.ABOVE: 0.0, Counts.AROUND: 0.5, None: 0.0}[control.counts]
    tolerance = control.tolerance.proved if proved else control.tolerance.dial
    assert tolerance is not None
    return Dial(
        main=main,
        width=width,
        lower=main + shift - below * width,
        upper=main + shift + (1 - below) * width,
        off=tolerance + spread,
    )


def _leg(control: Control) -> tuple[float, float]:
    """0.433 psi for each foot of water (HB1919); a leg that may be empty counts half, give or take half."""
    leg = control.water_leg
    assert leg is not None
    head = 0.433 * PSI * leg.height / 0.3048 * (-1 if leg.position is Position.BELOW_TAP else 1)
    return (head, 0.0) if leg.filling is Filling.FULL else (head / 2, abs(head) / 2)


def _marks(lowest: float, highest: float, step: float) -> list[float]:
    return [lowest + step * count for count in range(int((highest - lowest) / step + 1e-6) + 1)]


def _mains(boiler: Boiler, control: Control, shift: float) -> list[float]:
    """Halves of a division by dial; against a gauge half a psi at the boiler, on low pressure a quarter."""
    scale = control.scale
    assert scale is not None
    if control.tolerance.proved is None:
        return _marks(scale.lowest, scale.highest, scale.division / 2)
    step = (0.25 if boiler.mawp <= 15 * PSI + NOISE else 0.5) * PSI
    counts = range(int(scale.highest / step) + 20)
    inside = [each * step - shift for each in counts if scale.lowest - NOISE <= each * step - shift]
    return [each for each in inside if each <= scale.highest + NOISE]


class Motion:
    """Storage, run-on, undershoot, overshoot and starts of one boiler, with nothing measured."""

    def __init__(self, plant: Plant, boiler: Boiler) -> None:
        self.plant, self.boiler = plant, boiler
        assert boiler.water_volume is not None
        self._vessel = Vessel(
            water_volume=boiler.water_volume,
            steam_volume=number(boiler.steam_volume),
            metal_mass=number(boiler.metal_mass),
            metal_heat_capacity=0.115 * 1055.05585262 / 0.45359237 * 1.8,  # 0.115 Btu/(lb F), HB1919
        )
        self.storage: Callable[[float], float] = cache(self._storage)

    def _absolute(self, pressure: float) -> AbsPa:
        return AbsPa(pressure + self.plant.site.ambient.value)

    def _storage(self, pressure: float) -> float:
        return storage(self._vessel, self._absolute(pressure))

    def full(self, burner: Burner) -> float:
        assert self.boiler.output is not None
        inputs = [each for each in (burner.input_nameplate, burner.input_clocked) if each is not None]
        return max(self.boiler.output, *(each * number(burner.efficiency) for each in inputs))

    def low_share(self, burner: Burner) -> float:
        return 1.0 if burner.firing is Firing.ON_OFF or burner.turndown is None else 1 / burner.turndown

    def run_on(self, burner: Burner, pressure: float, share: float) -> float:
        return self.full(burner) * share * number(burner.heat_lag) / self.storage(pressure)

    def start_time(self, burner: Burner) -> float:
        if self.boiler.measured.contact_to_low_fire is not None:  # what a cure writes down
            return self.boiler.measured.contact_to_low_fire
        chain = burner.chain
        parts = (chain.start_delay, chain.drive_open, chain.prepurge, chain.drive_back, chain.pilot_trial)
        return sum(map(number, (*parts, chain.main_trial, chain.flame_to_low_fire, burner.heat_lag)))

    def purge_cooling(self, burner: Burner, pressure: float) -> float:
        """0.72 lb of air for 1000 Btu and 15 % more, warmed from 20 C to the water's temperature."""
        gross = max(each for each in (burner.input_nameplate, burner.input_clocked) if each is not None)
        share = self.low_share(burner) if burner.chain.purge_damper is PurgeDamper.LOW else 1.0
        air = gross * share * 1.15 * 0.72 * 0.45359237 / 1_055_055.85262
        return air * 1005.0 * (saturation_temperature(self._absolute(pressure)) - 293.15)

    def loads(self, pressure: float) -> list[float]:
        demand, loss = self.plant.load.demand, number(self.boiler.standing_loss)
        steams = [] if demand is None else steady_loads(demand)
        feed = number(self.boiler.feedwater_temperature)
        return [loss + heat_for_steam(steam, self._absolute(pressure), feed) for steam in steams]

    def undershoot(self, burner: Burner, cut_in: float, width: float, share: float) -> float:
        """At the largest load that is below the fire, or at that fire where nothing is known or nothing is below."""
        fire, store = share * self.full(burner), self.storage(cut_in)
        load = max((each for each in self.loads(cut_in) if each < fire), default=fire)
        falling = (load + self.purge_cooling(burner, cut_in)) * self.start_time(burner) / store
        return falling + max(0.0, load * number(burner.chain.minimum_off) / store - width)

    def overshoot(self, burner: Burner, low_fire: float) -> float:
        drop = self.plant.load.design_drop
        assert drop is not None
        assert drop.share
        full, span = self.full(burner), self.full(burner) * (1 - self.low_share(burner))
        heat, over = min(number(drop.size) * full, span), number(drop.duration)
        if burner.firing is Firing.LOW_HIGH_OFF:
            heat, over = span, 0.0
        late = max(0.0, number(burner.stroke_time) * heat / span - over) if span > 0 else 0.0
        return heat * (number(burner.heat_lag) + late / 2) / self.storage(low_fire)

    def step_up(self, burner: Burner, high_fire: float) -> float:
        """Of a burner in two steps at the greatest load: what the store gives until the fire is as large."""
        if burner.firing is not Firing.LOW_HIGH_OFF:
            return 0.0
        full, low = self.full(burner), self.full(burner) * self.low_share(burner)
        most = min(full, max(self.loads(high_fire), default=full))
        lacking = max(0.0, most - low)
        seconds = number(burner.heat_lag) + number(burner.stroke_time) * lacking / (full - low) / 2
        return lacking * seconds / self.storage(high_fire)

    def starts(self, burner: Burner, cut_in: float, cut_out: float) -> float:
        """Starts a second at the load that cycles most; an unknown load is looked for on a fine grid of loads."""
        heat = self.full(burner) * self.low_share(burner)
        band = self.storage((cut_in + cut_out) / 2) * (cut_out - cut_in)
        begin, purge = self.start_time(burner), self.purge_cooling(burner, cut_in)
        known_loads = self.loads(cut_in)
        loads = np.array([each for each in known_loads if 0 < each < heat] if known_loads else LOAD_SHARES * heat)
        if not loads.size:
            return 0.0
        after = min(number(burner.chain.postpurge), 0.9 * band / purge)
        falling = (band + heat * number(burner.heat_lag) - purge * after) / loads
        rising = (band + (loads + purge) * begin) / (heat - loads)
        return float(1 / (begin + falling + rising).min())


LOAD_SHARES = np.linspace(0.0005, 0.9995, 4001)


def number(datum: Datum | None) -> float:
    assert datum is not None
    return datum.value


class SecondOpinion:
    """Every combination of dial positions of one plant: axes operating limit, firing rate, high limit."""

    def __init__(self, plant: Plant, boiler: Boiler) -> None:
        self.plant, self.boiler, self.motion = plant, boiler, Motion(plant, boiler)
        self.burner = boiler.burners[0]
        self.low_pressure = boiler.mawp <= 15 * PSI + NOISE
        self.operating = dial(boiler, Role.OPERATING_LIMIT)
        self.high = dial(boiler, Role.HIGH_LIMIT)
        rate = boiler.controls.firing_rate
        self.fires_on_off = self.burner.firing is Firing.ON_OFF
        has_band = rate is not None and rate.action in {Action.PROPORTIONAL, Action.TWO_POSITION}
        self.rate = dial(boiler, Role.FIRING_RATE) if has_band and not self.fires_on_off else None

    def share_at_cut_out(self) -> Floats:
        """Fire when the operating limit acts early and the firing-rate control late, (operating, rate)."""
        lowest = self.motion.low_share(self.burner)
        if self.rate is None:
            return np.full((1, 1), 1.0)
        earliest = (self.operating.upper - self.operating.off - self.rate.off)[:, None]
        into = (earliest - self.rate.lower) / (self.rate.upper - self.rate.lower)
        if self.burner.firing is Firing.LOW_HIGH_OFF:
            return np.where(into >= 1, lowest, 1.0)
        return np.asarray(np.clip(1 - (1 - lowest) * into, lowest, 1.0), dtype=np.float64)

    @cached_property
    def run_on(self) -> Floats:
        """Proportional to the fire, (operating, rate)."""
        at_full = np.array([self.motion.run_on(self.burner, each, 1.0) for each in self.operating.upper])
        return at_full[:, None] * self.share_at_cut_out()

    @cached_property
    def fall(self) -> Floats:
        """Undershoot at the worst load below the fire that is stopped, (operating, rate)."""
        lowest = self.motion.low_share(self.burner)
        shares = self.share_at_cut_out() if self.rate is not None else np.full((1, 1), lowest)
        shares = np.broadcast_to(shares, (len(self.operating.main), shares.shape[1]))
        fall = np.empty(shares.shape)
        for row, (lower, upper) in enumerate(zip(self.operating.lower, self.operating.upper, strict=True)):
            one = cache(lambda share, low=lower, width=upper - lower: self._fall_of(low, width, share))
            fall[row] = [one(round(float(share), 12)) for share in shares[row]]
        return fall

    def _fall_of(self, lower: float, width: float, share: float) -> float:
        if lower <= 0:  # in vacuum; no plant here needs so little
            return 0.0
        return self.motion.undershoot(self.burner, lower, width, share)

    @cached_property
    def rooms(self) -> dict[str, Floats]:
        """Room of every demand [Pa], three axes; at least nought where it is met."""
        limits = {**self._on_valves(), **self._on_load(), **self._on_rate()}
        return {code: np.asarray(each, dtype=np.float64) for code, each in limits.items()}

    @property
    def need(self) -> float:
        load = self.plant.load
        assert load.need is not None
        return load.need + (number(load.line_drop) if load.need_at is Place.HEADER else 0.0)

    @property
    def valve(self) -> float:
        return min(each.set_pressure for each in self.boiler.safety_valves)

    @property
    def lift(self) -> float:
        lifts = [
            each.set_pressure - valve_tolerance(each.set_pressure) if each.tested_lift is None else each.tested_lift
            for each in self.boiler.safety_valves
        ]
        return min(lifts)

    @property
    def highest(self) -> Floats:
        return (self.operating.upper[:, None] + self.operating.off + self.run_on)[:, :, None]

    @property
    def lowest(self) -> Floats:
        return (self.operating.lower[:, None] - self.operating.off - self.fall)[:, :, None]

    def _on_valves(self) -> dict[str, Floats]:
        trip = self.high.upper[None, None, :]
        late = trip + self.high.off
        rise = np.array([self.motion.run_on(self.burner, each, 1.0) for each in self.high.upper])[None, None, :]
        blowdowns = [number(each.blowdown) for each in self.boiler.safety_valves]
        rooms = {
            "cut-out-below-high-limit": trip - self.operating.upper[:, None, None],
            "high-limit-within-mawp": self.boiler.mawp - trip,
            "high-limit-below-valve": self.valve - late,
            "high-limit-stops-before-valve": self.lift - late - rise,
            "cut-out-clear-of-high-limit": trip - self.high.off - self.highest,
            "working-pressure-below-valve": self.valve - usual_gap(self.valve, low=self.low_pressure) - self.highest,
            # A valve may lift at its earliest and then closes by its blowdown lower.
            "working-pressure-below-reseat": self._reseat(blowdowns) - self.highest,
        }
        if self.low_pressure:
            rooms["high-limit-within-low-pressure"] = 15 * PSI - trip
        return rooms

    def _reseat(self, blowdowns: list[float]) -> float:
        valves = zip(self.boiler.safety_valves, blowdowns, strict=True)
        return min(
            (each.set_pressure - valve_tolerance(each.set_pressure) if each.tested_lift is None else each.tested_lift)
            - blowdown
            for each, blowdown in valves
        )

    def _on_load(self) -> dict[str, Floats]:
        load, rooms = self.plant.load, {"restart-holds-need": self.lowest - self.need}
        if load.wish is not None:
            rooms["cut-out-within-wish"] = load.wish - self.highest
        if load.rated_max is not None:
            rooms["cut-out-within-downstream-rating"] = load.rated_max - self.highest
        if self.boiler.controls.low_fire_hold is not None:
            rooms["hold-below-restart"] = self.lowest - self.highest_hold
        return rooms

    @property
    def highest_hold(self) -> float:
        """The lowest hold that its dial allows, at its high corner [Pa gauge]."""
        hold = dial(self.boiler, Role.LOW_FIRE_HOLD)
        return float(hold.upper.min()) + hold.off

    def _on_rate(self) -> dict[str, Floats]:
        rate = self.rate
        if rate is None:
            return {}
        over = np.array([self.motion.overshoot(self.burner, each) for each in rate.upper])
        latest = (rate.upper + rate.off + over)[None, :, None]
        fall = np.array([self.motion.step_up(self.burner, max(0.0, each)) for each in rate.lower])
        full_load = (rate.lower - rate.off - fall)[None, :, None]
        rooms = {
            "low-fire-before-cut-out": (self.operating.upper - self.operating.off)[:, None, None] - latest,
            "need-at-full-load": full_load - self.need,
        }
        if self.boiler.controls.low_fire_hold is not None:
            rooms["hold-below-full-load"] = full_load - self.highest_hold
        return rooms

    @property
    def shape(self) -> tuple[int, int, int]:
        return len(self.operating.main), 1 if self.rate is None else len(self.rate.main), len(self.high.main)

    def can_meet(self, codes: frozenset[str]) -> bool:
        """Whether some combination keeps what is never relaxed and these demands besides."""
        return bool(self.met(frozenset(NEVER_RELAXED & self.rooms.keys()) | codes).any())

    def met(self, codes: frozenset[str] | None = None) -> Masks:
        """Where these demands, or all, are met; a cut-in in vacuum is no setting of a steam boiler."""
        fits = np.ones(self.shape, dtype=np.bool_) & (self.operating.lower > 0)[:, None, None]
        for code in codes if codes is not None else self.rooms.keys():
            fits &= self.rooms[code] >= (NOISE if code in TRULY_BELOW else -NOISE)
        return fits


NEVER_RELAXED = {
    "cut-out-below-high-limit",
    "high-limit-within-mawp",
    "high-limit-within-low-pressure",
    "high-limit-below-valve",
    "high-limit-stops-before-valve",
    "cut-out-within-downstream-rating",
}
TRULY_BELOW = {
    "cut-out-below-high-limit",
    "high-limit-below-valve",
    "high-limit-stops-before-valve",
    "cut-out-clear-of-high-limit",
    "working-pressure-below-reseat",
    "low-fire-before-cut-out",
    "hold-below-restart",
    "hold-below-full-load",
}


def valve_tolerance(set_pressure: float) -> float:
    """2 psi to 70 psi, 3 % to 300, 10 psi to 1000 (VSH)."""
    return 2 * PSI if set_pressure <= 70 * PSI + NOISE else min(0.03 * set_pressure, 10 * PSI)


def usual_gap(set_pressure: float, *, low: bool) -> float:
    """5 psi on low pressure; to 300 psi a tenth and at least 7 psi."""
    return 5 * PSI if low else max(0.1 * set_pressure, 7 * PSI)


def chunks(count: int, size: int) -> Iterator[range]:
    return (range(start, min(start + size, count)) for start in range(0, count, size))
