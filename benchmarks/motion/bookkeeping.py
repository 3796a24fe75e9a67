"""What acts on the boiler's own pressure, kept a second time: phases, contacts, pump, valves and drive in plain Python.

Only the control functions of :mod:`evenfire.physics.control_logic` are shared with the loop, and they run here as they
stand. Nothing breaks and no hand presses reset.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from enum import Enum, auto
from math import floor, inf
from typing import Final

from evenfire.physics import control_logic
from evenfire.physics.motion import model as parts
from evenfire.physics.motion.happenings import Happening
from evenfire.physics.motion.model import Model, Profile
from evenfire.physics.motion.run import Phase

FIRING: Final = (Phase.FLAME, Phase.LOW_FIRE, Phase.RELEASED)
FAN_ALONE: Final = (
    Phase.DRIVE_OPEN, Phase.PREPURGE, Phase.DRIVE_BACK, Phase.PILOT, Phase.MAIN, Phase.POSTPURGE,
)  # fmt: skip
NEAR: Final = 1e-9
"""Drive positions and times nearer than this are one."""
_REGIONS: Final = {
    (control_logic.WITHIN, "up"): control_logic.OVER,
    (control_logic.WITHIN, "down"): control_logic.UNDER,
    (control_logic.OVER, "down"): control_logic.WITHIN,
    (control_logic.UNDER, "up"): control_logic.WITHIN,
}


class Drive(Enum):
    """How the drive moves."""

    RESTS = auto()
    TRAVELS = auto()
    """To a place of its own, at its speed"""
    TRACKS = auto()
    """It stands where the firing-rate control wants it"""
    CHASES = auto()
    """It is behind what the firing-rate control wants"""


@dataclass(frozen=True, slots=True)
class Facts:
    """The model as plain numbers: reading a record is slow in Python, and scipy shall not wait for that."""

    durations: tuple[float, ...]
    lowest: float
    stroke: float
    purge_conductance: float
    minimum_off: float
    purges_open: bool
    lights_at_low_fire_only: bool
    rate_action: int
    cap: float
    cut_out: float
    cut_in: float
    trip: float
    remakes: float
    trip_is_manual: bool
    high_fire: float
    low_fire: float
    takes_hold: float
    lets_go: float
    firing_rate_lag: float
    feed_kind: int
    capacity: float
    low: float
    high: float
    cutoff: float
    restored: float
    valves: tuple[tuple[float, float, float], ...]
    ambient: float
    lets_air_in: bool


def facts_of(model: Model) -> Facts:
    """The model as plain numbers."""
    burner, controls, feed, valves = model.burner, model.controls, model.feed, model.valves
    return Facts(
        durations=tuple(float(seconds) for seconds in burner.durations),
        **{
            name: getattr(burner, name).item()
            for name in (
                "lowest", "stroke", "purge_conductance", "minimum_off", "purges_open", "lights_at_low_fire_only",
                "rate_action", "cap",
            )
        },
        **{
            name: getattr(controls, name).item()
            for name in (
                "cut_out", "cut_in", "trip", "remakes", "trip_is_manual", "high_fire", "low_fire", "takes_hold",
                "lets_go", "firing_rate_lag",
            )
        },
        **{name: getattr(feed, name).item() for name in ("capacity", "low", "high", "cutoff", "restored")},
        feed_kind=int(feed.kind),
        valves=tuple(
            (float(valves.lifts[place]), float(valves.reseats[place]), float(valves.conductances[place]))
            for place in range(int(valves.count))
        ),
        ambient=float(model.vessel.ambient),
        lets_air_in=bool(model.vessel.lets_air_in),
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class Reading:
    """What the controls see when something acts."""

    time: float
    pressure: float
    operating_limit: float
    high_limit: float
    firing_rate: float
    hold: float
    water: float


@dataclass(frozen=True, slots=True)
class Watch:
    """A signal and the bound that it may not pass."""

    signal: str
    bound: float
    way: str
    """Up or down"""


@dataclass(slots=True)
class Machine:
    """Every switch, valve and clock."""

    facts: Facts
    happened: list[tuple[float, Happening, int]] = field(default_factory=list)
    operating_limit_open: bool = False
    high_limit_open: bool = False
    holds: bool = False
    pump_runs: bool = False
    water_low: bool = False
    lifted: set[int] = field(default_factory=set)
    region: int = control_logic.WITHIN
    phase: Phase = Phase.OFF
    begun: float = -inf
    """The phase [s]"""
    off_since: float = -inf
    drive: Drive = Drive.RESTS
    position: float = 0.0
    was_at: float = 0.0
    """The drive, when something acted last [1]"""
    is_vented: bool = False

    def note(self, time: float, kind: Happening, subject: int = 0) -> None:
        """Write down what happened."""
        self.happened.append((time, kind, subject))

    # What acts.

    def settle(self, reading: Reading) -> None:
        """Let everything take its place before the first moment."""
        self.region = control_logic.region_of(reading.firing_rate, self.corner, self.facts.low_fire)
        self.act(reading, None)

    def act(self, reading: Reading, crossed: Watch | None) -> None:
        """Everything acts that acts now."""
        facts, now = self.facts, reading.time
        if crossed is not None and crossed.signal == "fullness":
            self.is_vented = False
            self.note(now, Happening.VENT_CLOSED)
        elif crossed is not None and crossed.signal == "air":
            self.is_vented = True
            self.note(now, Happening.AIR_LET_IN)
        was = self.operating_limit_open
        self.operating_limit_open = control_logic.operating_limit_opens(
            was, reading.operating_limit, facts.cut_out, facts.cut_in
        )
        self._switched(now, was, self.operating_limit_open, Happening.OPERATING_LIMIT_OPENED)
        was = self.high_limit_open
        self.high_limit_open = control_logic.high_limit_opens(
            was, reading.high_limit, facts.trip, facts.remakes, facts.trip_is_manual
        )
        self._switched(now, was, self.high_limit_open, Happening.HIGH_LIMIT_OPENED)
        was = self.holds
        self.holds = control_logic.holds_low_fire(was, reading.hold, facts.takes_hold, facts.lets_go)
        self._switched(now, was, self.holds, Happening.HOLD_TOOK)
        self._water(reading)
        self._relief(reading)
        self._rate(reading, crossed)
        self._burner(now)
        if facts.stroke <= 0.0 and self.phase not in {Phase.DRIVE_OPEN, Phase.DRIVE_BACK}:
            self.position = self.target(reading.firing_rate)
        if self.phase is Phase.RELEASED and self.position != self.was_at:
            if self.position <= 0.0:
                self.note(now, Happening.LOW_FIRE_REACHED)
            elif self.position >= 1.0:
                self.note(now, Happening.HIGH_FIRE_REACHED)
        self.was_at = self.position

    def _switched(self, now: float, was: bool, is_now: bool, kind: Happening) -> None:
        if was != is_now:
            self.note(now, kind if is_now else Happening(kind + 1))

    def _water(self, reading: Reading) -> None:
        facts, now = self.facts, reading.time
        was = self.water_low
        self.water_low = reading.water <= facts.cutoff or (was and reading.water < facts.restored)
        self._switched(now, was, self.water_low, Happening.WATER_LOW)
        if facts.feed_kind == parts.FEED_ON_OFF:
            was = self.pump_runs
            self.pump_runs = reading.water < facts.high if was else reading.water <= facts.low
            self._switched(now, was, self.pump_runs, Happening.PUMP_STARTED)

    def _relief(self, reading: Reading) -> None:
        for place, (lifts, reseats, _) in enumerate(self.facts.valves):
            if place not in self.lifted and reading.pressure >= lifts:
                self.lifted.add(place)
                self.note(reading.time, Happening.VALVE_LIFTED, place)
            elif place in self.lifted and reading.pressure <= reseats:
                self.lifted.remove(place)
                self.note(reading.time, Happening.VALVE_RESEATED, place)

    def _rate(self, reading: Reading, crossed: Watch | None) -> None:
        facts = self.facts
        if facts.rate_action == parts.RATE_TWO_POSITION:
            high = control_logic.two_position_wants_high(
                self.region == control_logic.UNDER, reading.firing_rate, facts.high_fire, facts.low_fire
            )
            self.region = control_logic.UNDER if high else control_logic.OVER
        elif crossed is not None and crossed.signal == "firing_rate":
            self.region = _REGIONS[self.region, crossed.way]

    def _burner(self, now: float) -> None:
        reason = control_logic.what_stops(False, False, self.high_limit_open, self.water_low, self.operating_limit_open)
        if reason != control_logic.NOTHING and self.phase not in {Phase.OFF, Phase.POSTPURGE}:
            self.note(now, Happening.BURNER_STOPPED, reason)
            self.off_since = now
            self._enter(Phase.POSTPURGE if self.phase >= Phase.DRIVE_OPEN else Phase.OFF, now)
        while self._is_over(now, reason):
            self._enter(Phase((self.phase + 1) % len(Phase)), now)

    def _enter(self, phase: Phase, now: float) -> None:
        self.phase, self.begun = phase, now
        if self.facts.durations[phase] <= 0.0:
            if phase is Phase.DRIVE_OPEN and self.facts.purges_open:
                self.position = 1.0
            elif phase is Phase.DRIVE_BACK:
                self.position = 0.0
        self.note(now, Happening.PHASE_BEGAN, int(phase))

    def _is_over(self, now: float, reason: int) -> bool:
        """Whether the phase gives way to the next: its clock has run and what has to be proved is proved."""
        facts = self.facts
        if self.phase is Phase.OFF:
            return reason == control_logic.NOTHING and now >= self.off_since + facts.minimum_off
        if self.phase is Phase.RELEASED or now < self.clock_ends:
            return False
        if self.phase is Phase.DRIVE_OPEN and facts.purges_open:
            return self.position > 1.0 - NEAR
        if self.phase is Phase.DRIVE_BACK and facts.lights_at_low_fire_only:
            return self.position < NEAR
        return True

    @property
    def clock_ends(self) -> float:
        """When the clock of the phase has run [s]; infinite when it has none."""
        if self.phase in {Phase.OFF, Phase.RELEASED}:
            return inf
        return self.begun + self.facts.durations[self.phase]

    # The drive.

    @property
    def corner(self) -> float:
        """Sensed pressure below which the demand is as high as a hand allows [Pa abs]."""
        facts = self.facts
        return facts.low_fire - facts.cap * (facts.low_fire - facts.high_fire)

    def line(self, sensed: float) -> float:
        """Position that the firing-rate control wants within its range [1]."""
        return (self.facts.low_fire - sensed) / (self.facts.low_fire - self.facts.high_fire)

    @property
    def follows_line(self) -> bool:
        """Whether the demand moves with pressure."""
        return (
            self.phase is Phase.RELEASED
            and self.facts.rate_action == parts.RATE_PROPORTIONAL
            and self.region == control_logic.WITHIN
            and not self.holds
        )

    def target(self, sensed: float) -> float:
        """Where the drive is wanted [1]."""
        facts = self.facts
        if self.phase is Phase.RELEASED:
            rate = 1.0
            if facts.rate_action != parts.RATE_NONE:
                rate = control_logic.rate_demand(self.region, sensed, facts.high_fire, facts.low_fire)
            return control_logic.position_wanted(self.holds, rate, facts.cap)
        return 1.0 if facts.purges_open and self.phase in {Phase.DRIVE_OPEN, Phase.PREPURGE} else 0.0

    def set_off(self, now: float, sensed: float, pace: float) -> tuple[float, float]:
        """Choose how the drive moves from here, and return its speed [1/s] and when it arrives [s].

        ``pace`` is how fast the sensed pressure rises [Pa/s].
        """
        facts = self.facts
        target = self.target(sensed)
        gap = target - self.position
        if self.follows_line:
            if facts.stroke <= 0.0 or abs(gap) <= NEAR:
                band = facts.low_fire - facts.high_fire
                if abs(pace) * facts.stroke <= band * (1.0 + 1e-6):
                    self.drive, self.position = Drive.TRACKS, target
                    return 0.0, inf
                gap = -pace
            self.drive = Drive.CHASES
            return (1.0 if gap >= 0.0 else -1.0) / facts.stroke, inf
        if abs(gap) <= NEAR or (facts.stroke <= 0.0 and self.phase not in {Phase.DRIVE_OPEN, Phase.DRIVE_BACK}):
            self.drive, self.position = Drive.RESTS, target
            return 0.0, inf
        self.drive = Drive.TRAVELS
        speed = 1.0 / facts.stroke if facts.stroke > 0.0 else inf
        if self.phase in {Phase.DRIVE_OPEN, Phase.DRIVE_BACK} and self.clock_ends > now:
            speed = abs(gap) / (self.clock_ends - now)
        return (speed if gap > 0.0 else -speed), now + abs(gap) / speed

    # What is looked out for.

    def watches(self) -> Iterator[Watch]:
        """Every bound that matters now, but for those of the drive."""
        facts = self.facts
        if self.operating_limit_open:
            yield Watch("operating_limit", facts.cut_in, "down")
        else:
            yield Watch("operating_limit", facts.cut_out, "up")
        if not self.high_limit_open:
            yield Watch("high_limit", facts.trip, "up")
        elif not facts.trip_is_manual:
            yield Watch("high_limit", facts.remakes, "down")
        yield Watch("hold", facts.lets_go, "up") if self.holds else Watch("hold", facts.takes_hold, "down")
        if facts.rate_action == parts.RATE_TWO_POSITION:
            if self.region == control_logic.UNDER:
                yield Watch("firing_rate", facts.low_fire, "up")
            else:
                yield Watch("firing_rate", facts.high_fire, "down")
        elif facts.rate_action == parts.RATE_PROPORTIONAL:
            if self.region != control_logic.OVER:
                yield Watch("firing_rate", facts.low_fire if self.region == control_logic.WITHIN else self.corner, "up")
            if self.region != control_logic.UNDER:
                yield Watch("firing_rate", facts.low_fire if self.region == control_logic.OVER else self.corner, "down")
        if facts.feed_kind == parts.FEED_ON_OFF:
            yield Watch("water", facts.high, "up") if self.pump_runs else Watch("water", facts.low, "down")
        yield Watch("water", facts.restored, "up") if self.water_low else Watch("water", facts.cutoff, "down")
        if self.is_vented:
            yield Watch("fullness", 0.0, "up")
            return
        if facts.lets_air_in:
            yield Watch("air", facts.ambient, "down")
        shut = [lifts for place, (lifts, _, _) in enumerate(facts.valves) if place not in self.lifted]
        if shut:
            yield Watch("pressure", min(shut), "up")
        if self.lifted:
            yield Watch("pressure", max(facts.valves[place][1] for place in self.lifted), "down")


def piece_of(profile: Profile) -> Callable[[float], tuple[float, float, float]]:
    """Value, slope and end [s] of the piece of a profile that holds at a time [s]."""
    pieces = [tuple(float(number) for number in piece) for piece in profile.pieces]
    period = float(profile.period)
    ends = [piece[0] for piece in pieces[1:]] + [period]

    def at(now: float) -> tuple[float, float, float]:
        round_began = floor((now + 1e-7) / period) * period if period < inf else 0.0
        within = max(0.0, now - round_began)
        place = next(place for place, end in enumerate(ends) if within + 1e-7 < end)
        begin, value, slope = pieces[place]
        return value + slope * max(0.0, within - begin), slope, round_began + ends[place]

    return at
