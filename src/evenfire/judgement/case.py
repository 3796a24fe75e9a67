"""One boiler with one set of settings, made ready to be judged."""

from collections.abc import Callable
from dataclasses import dataclass
from enum import Enum

from evenfire.errors import OutOfRange
from evenfire.judgement.behaviour import Behaviour, Estimate
from evenfire.judgement.margins import Margin, demands_on, follows_the_load
from evenfire.judgement.outcome import Route, Term, TermName
from evenfire.judgement.stack import Facts, Off, Stack
from evenfire.judgement.valve_facts import earliest_lift, lowest_valve, reseat_pressure, valve_gap, valve_tolerance
from evenfire.physics.firing import firing_fraction
from evenfire.physics.switching import ends, leg_shift
from evenfire.plant.boiler import Boiler
from evenfire.plant.burner import Firing
from evenfire.plant.controls import Action, Control, Role, Senses
from evenfire.plant.known import Missing, NotKnownError, given, known
from evenfire.plant.load import Load, Place
from evenfire.plant.plant import Plant
from evenfire.plant.settings import Settings
from evenfire.plant.site import Site
from evenfire.si import Dimension, GaugePa, Quantity

BEYOND_STEAM = "range of steam properties"
"""Stands where a key would: no survey answers a pressure at which nothing is known of steam."""


class SettingsSet(Enum):
    """Which set of settings is judged."""

    AS_FOUND = "as found"
    PROPOSED = "proposed"
    AS_LEFT = "as left"


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """One boiler with one set of settings."""

    plant: Plant
    boiler: Boiler
    which: SettingsSet
    settings: Settings
    behaviour: Behaviour
    stack: Stack[float]
    """At the boiler [Pa gauge]"""
    facts: Facts
    demands: tuple[Margin, ...]
    terms: tuple[Term, ...]
    """Every tolerance and every motion that enters the margins of this case"""

    @property
    def site(self) -> Site:
        """Where the plant stands."""
        return self.plant.site

    @property
    def load(self) -> Load:
        """What the plant wants."""
        return self.plant.load

    def named_terms(self, names: tuple[TermName, ...]) -> tuple[Term, ...]:
        """The terms of these names, in their order."""
        return tuple(term for name in names for term in self.terms if term.name is name)


def prepare(plant: Plant, boiler: Boiler, which: SettingsSet, settings: Settings) -> Case:
    """Make a case of one boiler and one set of settings; what is unknown becomes missing, never a guess."""
    behaviour = Behaviour(boiler, plant.load, plant.site.ambient)
    facts = facts_of(plant, boiler, settings.proved)
    points = _points(boiler, settings)
    motion = _motion(boiler, behaviour, points, facts.off)
    stack: Stack[float] = Stack(
        cut_out=points["cut_out"],
        cut_in=points["cut_in"],
        high_fire=points["high_fire"],
        low_fire=points["low_fire"],
        trip=points["trip"],
        hold=points["hold"],
        run_on=_value(motion[TermName.RUN_ON_AT_CUT_OUT]),
        full_fire_run_on=_value(motion[TermName.RUN_ON_AT_FULL_FIRE]),
        undershoot=_value(motion[TermName.UNDERSHOOT]),
        drop_overshoot=_value(motion[TermName.OVERSHOOT_OF_DROP]),
        load_fall=_value(motion[TermName.FALL_AT_LOAD]),
    )
    return Case(
        plant=plant,
        boiler=boiler,
        which=which,
        settings=settings,
        behaviour=behaviour,
        stack=stack,
        facts=facts,
        demands=demands_on(boiler, plant.load),
        terms=_terms(plant, boiler, facts, motion),
    )


def facts_of(plant: Plant, boiler: Boiler, proved: frozenset[Role]) -> Facts:
    """What bounds the stack of a boiler whose controls ``proved`` act within their proved tolerance."""
    load = plant.load
    need: float | Missing = given(load.need, "load.need")
    if load.need is not None and load.need_at is Place.HEADER:
        need = Missing(("load.line_drop",)) if load.line_drop is None else load.need + load.line_drop.value
    joined = joined_with(plant, boiler)
    lowest = _least(tuple(lowest_valve(each) for each in joined))
    return Facts(
        off=Off(
            operating_limit=_off_at_boiler(plant, boiler, Role.OPERATING_LIMIT, proved),
            high_limit=_off_at_boiler(plant, boiler, Role.HIGH_LIMIT, proved),
            firing_rate=_off_at_boiler(plant, boiler, Role.FIRING_RATE, proved),
            low_fire_hold=_off_at_boiler(plant, boiler, Role.LOW_FIRE_HOLD, proved),
        ),
        need=need,
        wish=given(load.wish, "load.wish"),
        rated_max=given(load.rated_max, "load.rated_max"),
        mawp=min(each.mawp for each in joined),
        valve_set=given(lowest, "safety_valve.set"),
        earliest_lift=given(_least(tuple(earliest_lift(each) for each in joined)), "safety_valve.set"),
        reseat=given(
            _least(tuple(reseat_pressure(each) for each in joined)), "safety_valve.set", "safety_valve.blowdown"
        ),
        valve_gap=given(None if lowest is None else valve_gap(boiler, lowest), "safety_valve.set"),
    )


def joined_with(plant: Plant, boiler: Boiler) -> tuple[Boiler, ...]:
    """The boilers whose pressure is this one's pressure too: all of them on a shared header, else itself alone."""
    if not plant.site.boilers_share_header:
        return (boiler,)
    return (boiler, *(each for each in plant.boilers if each.name != boiler.name))


def _least(values: tuple[GaugePa | None, ...]) -> GaugePa | None:
    """The lowest, unknown as soon as one is."""
    known_values = [value for value in values if value is not None]
    return min(known_values) if known_values and len(known_values) == len(values) else None


def _off_at_boiler(plant: Plant, boiler: Boiler, role: Role, proved: frozenset[Role]) -> float | Missing:
    """How far from its point a control may act, seen from the boiler [Pa].

    A control tapped on the header sees the boiler's pressure less whatever the line takes just then: anything up to the
    full line drop. Nobody knows how much, so all of it widens the tolerance.
    """
    off, control = off_by(boiler, role, proved), boiler.controls.of(role)
    if isinstance(off, Missing) or control is None or control.senses is not Senses.HEADER:
        return off
    return Missing(("load.line_drop",)) if plant.load.line_drop is None else off + plant.load.line_drop.value


def off_by(boiler: Boiler, role: Role, proved: frozenset[Role]) -> float | Missing:
    """How far a control may act from its point either way [Pa]: its tolerance, and what is unsure of its water leg."""
    control = boiler.controls.of(role)
    if control is None:
        return Missing((f"controls.{role.value}",))
    if role is Role.HIGH_LIMIT and control.water_leg is None:
        # How late a high limit acts decides safety: a leg that nobody looked at is not taken for none.
        unread = control.tolerance.proved if role in proved else control.tolerance.dial
        kind = "proved" if role in proved else "dial"
        tolerance_key = (f"controls.{role.value}.tolerance.{kind}",) if unread is None else ()
        return Missing((f"controls.{role.value}.water_leg", *tolerance_key))
    tolerance = control.tolerance.proved if role in proved else control.tolerance.dial
    if tolerance is None:
        return Missing((f"controls.{role.value}.tolerance.{'proved' if role in proved else 'dial'}",))
    return tolerance + leg_shift(control).spread


def has_band_on_dial(boiler: Boiler) -> bool:
    """Whether the firing-rate control has its band on a dial."""
    control = boiler.controls.firing_rate
    return control is not None and control.action not in {Action.PID, Action.MASTER}


def points_of(control: Control, main: float, differential: float | None) -> tuple[float, float | None, float | None]:
    """Single point, lower and upper end at the boiler [Pa gauge] of a reading; no ends without a differential."""
    shown = main + leg_shift(control).offset
    if differential is None or control.counts is None:
        return shown, None, None
    lower, upper = ends(shown, differential, control.counts)
    return shown, lower, upper


def firing_at_cut_out(
    boiler: Boiler, cut_out: float, high_fire: float, low_fire: float, off: float
) -> tuple[float, ...]:
    """Firing of each burner [1] when the operating limit acts, both controls at the corner that fires most."""
    shares = []
    for burner in boiler.burners:
        if burner.firing is Firing.ON_OFF:
            shares.append(1.0)
            continue
        lowest = 1.0 / known(given(burner.turndown, "burner.turndown"))[0]
        if cut_out - off >= low_fire:
            shares.append(lowest)
        elif burner.firing is Firing.LOW_HIGH_OFF or cut_out - off <= high_fire:
            shares.append(1.0)
        else:
            shares.append(firing_fraction(cut_out - off, high_fire, low_fire, lowest))
    return tuple(shares)


def _points(boiler: Boiler, settings: Settings) -> dict[str, float | Missing]:
    cut_in, cut_out = _ends_of(boiler, settings, Role.OPERATING_LIMIT)
    high_fire, low_fire = _band_of(boiler, settings)
    trip = _single_of(boiler, settings, Role.HIGH_LIMIT)
    hold = _single_of(boiler, settings, Role.LOW_FIRE_HOLD)
    points = (cut_out, cut_in, high_fire, low_fire, trip, hold)
    return dict(zip(("cut_out", "cut_in", "high_fire", "low_fire", "trip", "hold"), points, strict=True))


def _single_of(boiler: Boiler, settings: Settings, role: Role) -> float | Missing:
    control, reading = boiler.controls.of(role), settings.of(role)
    if control is None:
        return Missing((f"controls.{role.value}",))
    if reading is None:
        return Missing((f"settings.{role.value}",))
    return points_of(control, reading.main, None)[0]


def _band_of(boiler: Boiler, settings: Settings) -> tuple[float | Missing, float | Missing]:
    """High-fire and low-fire point; a band that a controller computes for itself is no band on a dial."""
    control = boiler.controls.firing_rate
    if control is not None and control.action in {Action.PID, Action.MASTER, None}:
        missing = Missing(("controls.firing_rate.action",)) if control.action is None else Missing(("simulation",))
        return missing, missing
    return _ends_of(boiler, settings, Role.FIRING_RATE)


def _ends_of(boiler: Boiler, settings: Settings, role: Role) -> tuple[float | Missing, float | Missing]:
    """Lower and upper end of a control with a differential; the end that the dial shows needs no differential."""
    control, reading = boiler.controls.of(role), settings.of(role)
    if control is None:
        missing = Missing((f"controls.{role.value}",))
        return missing, missing
    if reading is None:
        missing = Missing((f"settings.{role.value}",))
        return missing, missing
    if control.counts is None:
        missing = Missing((f"controls.{role.value}.differential_counts",))
        return missing, missing
    shown, lower, upper = points_of(control, reading.main, reading.differential)
    if lower is not None and upper is not None:
        return lower, upper
    missing = Missing((f"settings.{role.value}_differential",))
    lower_shown, upper_shown = ends(shown, 1.0, control.counts)
    return (shown if lower_shown == shown else missing), (shown if upper_shown == shown else missing)


def _motion(
    boiler: Boiler, behaviour: Behaviour, points: dict[str, float | Missing], off: Off
) -> dict[TermName, Estimate | Missing]:
    def run_on_at_cut_out() -> Estimate:
        cut_out = GaugePa(known(points["cut_out"])[0])
        if not follows_the_load(boiler) or not has_band_on_dial(boiler):
            # On-off burners stop from full fire; so may one whose controller works out its own band.
            return behaviour.full_fire_run_on(cut_out)
        return behaviour.run_on(cut_out, shares_at_cut_out(cut_out))

    def undershoot() -> Estimate:
        cut_in, cut_out = known(points["cut_in"], points["cut_out"])
        if not follows_the_load(boiler) or not has_band_on_dial(boiler):
            return behaviour.undershoot(GaugePa(cut_in), GaugePa(cut_out))
        return behaviour.undershoot(GaugePa(cut_in), GaugePa(cut_out), shares_at_cut_out(cut_out))

    def shares_at_cut_out(cut_out: float) -> tuple[float, ...]:
        high_fire, low_fire = known(points["high_fire"], points["low_fire"])
        both = sum(value for value in (off.operating_limit, off.firing_rate) if not isinstance(value, Missing))
        return firing_at_cut_out(boiler, cut_out, high_fire, low_fire, both)

    return {
        TermName.RUN_ON_AT_CUT_OUT: _attempt(run_on_at_cut_out),
        TermName.RUN_ON_AT_FULL_FIRE: _attempt(lambda: behaviour.full_fire_run_on(GaugePa(known(points["trip"])[0]))),
        TermName.UNDERSHOOT: _attempt(undershoot),
        TermName.OVERSHOOT_OF_DROP: _attempt(lambda: behaviour.drop_overshoot(GaugePa(known(points["low_fire"])[0]))),
        TermName.FALL_AT_LOAD: _attempt(lambda: behaviour.load_fall(GaugePa(known(points["high_fire"])[0]))),
    }


def _says_nothing(name: TermName, estimate: Estimate) -> bool:
    """A burner that follows its load falls no further than its line."""
    return name is TermName.FALL_AT_LOAD and estimate.value == 0.0


def _attempt(question: Callable[[], Estimate]) -> Estimate | Missing:
    try:
        return question()
    except NotKnownError as missing:
        return Missing(missing.keys)
    except OutOfRange:
        # A dial may well put cut-in into vacuum; what the water does there is outside the steam properties.
        return Missing((BEYOND_STEAM,))


def _value(estimate: Estimate | Missing) -> float | Missing:
    return estimate if isinstance(estimate, Missing) else estimate.value


def _terms(plant: Plant, boiler: Boiler, facts: Facts, motion: dict[TermName, Estimate | Missing]) -> tuple[Term, ...]:
    """Every quantity behind the margins, with its route."""
    difference = Dimension.PRESSURE_DIFFERENCE
    stated = {
        TermName.TOLERANCE_OF_OPERATING_LIMIT: facts.off.operating_limit,
        TermName.TOLERANCE_OF_HIGH_LIMIT: facts.off.high_limit,
        TermName.TOLERANCE_OF_FIRING_RATE: facts.off.firing_rate,
        TermName.TOLERANCE_OF_HOLD: facts.off.low_fire_hold,
        TermName.VALVE_GAP: facts.valve_gap,
        TermName.TOLERANCE_OF_VALVE: given(valve_tolerance(boiler), "safety_valve.set"),
    }
    terms = [
        Term(name, Quantity(value, difference), Route.STATED)
        for name, value in stated.items()
        if not isinstance(value, Missing)
    ]
    for name, estimate in motion.items():
        if not isinstance(estimate, Missing) and not _says_nothing(name, estimate):
            terms.append(Term(name, Quantity(estimate.value, difference), estimate.route, estimate.assumptions))
    drop = plant.load.line_drop
    if drop is not None and plant.load.need_at is Place.HEADER:
        route = Route.ASSUMED if drop.assumption else Route.STATED
        marks = (drop.assumption,) if drop.assumption else ()
        terms.append(Term(TermName.LINE_DROP, Quantity(drop.value, difference), route, marks))
    return tuple(terms)
