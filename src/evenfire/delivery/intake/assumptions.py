"""Every number that the intake may fill in for an unknown, once, with why it is what it is.

What decides safety is never assumed: set pressures, capacities, tolerances, turndown, water volume. Where an assumed
number has an unsafe side, the unsafe end is taken: it makes the judgement stricter, never milder.
"""

from dataclasses import dataclass
from typing import Final

from evenfire.plant.boiler import Feed, Kind
from evenfire.plant.controls import Role
from evenfire.plant.known import Datum, Origin
from evenfire.si import K_PER_F_DEGREE, PA_PER_PSI, STANDARD_ATMOSPHERE_PA, Dimension
from evenfire.sources import DOE_TIP_16, VALVE_HANDBOOK, Citation

LOW_PRESSURE: Final = "low pressure"
HIGH_PRESSURE: Final = "above 15 psi"
ON_OFF_OR_LOW: Final = "on-off burner, or purge at the low damper position"
OPEN_OR_UNKNOWN: Final = "other burners, purge at the open damper or unknown"
ON_OFF_OR_UNKNOWN: Final = "on-off, or feed unknown"
ALWAYS: Final = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Assumption:
    """A number that stands in for an unknown one."""

    name: str
    """``ASSUMED_...``, the mark that the value carries"""
    keys: tuple[str, ...]
    """Plant-file keys, each of which makes it unnecessary"""
    dimension: Dimension
    """Of the number here"""
    fills: Dimension | None = None
    """Of the value that it fills in, where that is another"""
    values: tuple[tuple[str, float], ...]
    """(case, value) [SI unit of the dimension]; a single case has an empty name"""
    of: str = ""
    """What the value is a share of, or multiplied with; empty when it stands for itself"""
    why: str
    source: Citation | None = None
    shows: str = ""
    """What the number means, where it stands for a word; empty where the number speaks for itself"""
    for_motion: bool = False
    """Only a boiler that is run through time asks for it: no judgement of settings alone does"""

    def value(self, case: str = ALWAYS) -> float:
        """The number for a case [SI unit of the dimension]."""
        return dict(self.values)[case]

    def datum(self, case: str = ALWAYS, *, times: float = 1.0) -> Datum:
        """The value to fill in, marked; ``times`` is what it is a share of [SI unit]."""
        return Datum(self.value(case) * times, Origin.ASSUMED, self.name)


def largest(assumption: Assumption, kinds: tuple[Kind, ...]) -> Datum:
    """The largest of what the kinds are taken for, of every kind where none is named; marked."""
    return assumption.datum(max((kind.value for kind in kinds or Kind), key=assumption.value))


def quickest(assumption: Assumption, kinds: tuple[Kind, ...]) -> Datum:
    """The shortest of the times that the kinds are taken for, of every kind where none is named; marked."""
    return assumption.datum(min((kind.value for kind in kinds or Kind), key=assumption.value))


def _by_kind(
    firetube: float, watertube: float, vertical: float, cast_iron: float, coil: float
) -> tuple[tuple[str, float], ...]:
    return (
        (Kind.FIRETUBE.value, firetube),
        (Kind.WATERTUBE.value, watertube),
        (Kind.VERTICAL.value, vertical),
        (Kind.CAST_IRON.value, cast_iron),
        (Kind.COIL.value, coil),
    )


def _seconds(name: str, key: str, value: float, *, why: str) -> Assumption:
    return Assumption(name=name, keys=(key,), dimension=Dimension.TIME, values=((ALWAYS, value),), why=why)


def _of_controls(key: str, *roles: Role) -> tuple[str, ...]:
    return tuple(f"boiler.controls.{role.value}.{key}" for role in roles)


ASSUMED_AMBIENT: Final = Assumption(
    name="ASSUMED_AMBIENT",
    keys=("site.altitude", "site.barometer"),
    dimension=Dimension.ABSOLUTE_PRESSURE,
    values=((ALWAYS, STANDARD_ATMOSPHERE_PA),),
    why="Most plants stand near sea level. Dials and gauges count from the air around them, so settings do not move "
    "with it. Only the storage does: at a thousand metres a boiler stores six percent more at 10 psi and one percent "
    "more at 120 psi, so sea level is the stricter side.",
)
ASSUMED_STEAM_VOLUME: Final = Assumption(
    name="ASSUMED_STEAM_VOLUME",
    keys=("boiler.steam_volume",),
    dimension=Dimension.FRACTION,
    fills=Dimension.VOLUME,
    values=_by_kind(0.3, 0.3, 0.3, 0.2, 0.2),
    of="the water volume",
    why="The steam space is a fraction of the water space in every kind. Steam stores so little heat beside water "
    "that a wrong guess moves the storage by about a percent; the low end is taken: less storage means faster swings.",
)
ASSUMED_METAL_MASS: Final = Assumption(
    name="ASSUMED_METAL_MASS",
    keys=("boiler.metal_mass",),
    dimension=Dimension.NUMBER,
    fills=Dimension.MASS,
    values=_by_kind(1.0, 1.5, 1.0, 2.0, 2.0),
    of="the mass of cold water that fills the water volume",
    why="Dry weights of boilers run from about one to four times their water. A pound of steel stores a ninth of what "
    "a pound of water stores. The low end of each kind is taken, because less storage means faster swings.",
)
ASSUMED_FEEDWATER_TEMPERATURE: Final = Assumption(
    name="ASSUMED_FEEDWATER_TEMPERATURE",
    keys=("boiler.feedwater_temperature",),
    dimension=Dimension.TEMPERATURE,
    values=((LOW_PRESSURE, (160 + 459.67) * K_PER_F_DEGREE), (HIGH_PRESSURE, (200 + 459.67) * K_PER_F_DEGREE)),
    why="Returning condensate of a heating system comes at about 160 F; the feed tank of a process boiler is kept near "
    "200 F to drive out air. Forty degrees more or less change the heat of a pound of steam by four percent.",
)
ASSUMED_STANDING_LOSS: Final = Assumption(
    name="ASSUMED_STANDING_LOSS",
    keys=("boiler.standing_loss",),
    dimension=Dimension.FRACTION,
    fills=Dimension.POWER,
    values=((ALWAYS, 0.01),),
    of="the heat at full fire",
    why="The shell of a boiler loses about one percent of its full-load input, at any load.",
    source=Citation(DOE_TIP_16),
)
ASSUMED_FEED_CAPACITY: Final = Assumption(
    name="ASSUMED_FEED_CAPACITY",
    keys=("boiler.feed_capacity",),
    dimension=Dimension.NUMBER,
    fills=Dimension.MASS_FLOW,
    values=((ON_OFF_OR_UNKNOWN, 2.0), (Feed.MODULATING.value, 1.5)),
    of="the steam that the boiler makes at full output, from and at 212 F",
    why="A pump that goes on and off is commonly bought for twice what its boiler evaporates, one behind a modulating "
    "valve for half as much again; this is common practice, and the plate of the pump says more. A larger pump sends "
    "larger cold slugs, so where nobody says how the feed runs the larger number is taken.",
    for_motion=True,
)
ASSUMED_LEVEL_BAND: Final = Assumption(
    name="ASSUMED_LEVEL_BAND",
    keys=("boiler.level_band",),
    dimension=Dimension.FRACTION,
    values=((ALWAYS, 0.03),),
    why="An inch or so at the gauge glass of a common boiler holds about three percent of its water. A wider band "
    "makes the cold slugs of an on-off pump longer and rarer. No publication gives the number; mark the glass at pump "
    "start and at pump stop.",
    for_motion=True,
)
ASSUMED_LOW_WATER_CUTOFF: Final = Assumption(
    name="ASSUMED_LOW_WATER_CUTOFF",
    keys=("boiler.low_water_cutoff",),
    dimension=Dimension.FRACTION,
    values=((ALWAYS, 0.93),),
    of="the water at normal level",
    why="It serves to reckon when a run stops for want of water; it proves nothing about the cutoff, which is a safety "
    "device and is judged by its own test alone. Cutoffs commonly act two or three inches below normal level.",
    for_motion=True,
)
ASSUMED_BREAKS_VACUUM: Final = Assumption(
    name="ASSUMED_BREAKS_VACUUM",
    keys=("boiler.vacuum_breaker",),
    dimension=Dimension.NUMBER,
    values=((ALWAYS, 1.0),),
    shows="air gets in when it cools",
    why="Most steam boilers let air in as they cool, by a vacuum breaker, a vent that is left open, or leaks, and stay "
    "at zero gauge. It is stated because a tight boiler draws a vacuum instead, and that is another start from cold.",
    for_motion=True,
)
ASSUMED_EFFICIENCY: Final = Assumption(
    name="ASSUMED_EFFICIENCY",
    keys=("boiler.burner.efficiency",),
    dimension=Dimension.FRACTION,
    values=((ALWAYS, 0.80),),
    why="Steam boilers without a condensing economizer lie between 75 and 85 percent of the gross heat.",
)
ASSUMED_HEAT_LAG: Final = Assumption(
    name="ASSUMED_HEAT_LAG",
    keys=("boiler.burner.heat_lag",),
    dimension=Dimension.TIME,
    values=_by_kind(8.0, 8.0, 8.0, 15.0, 5.0),
    why="Heat goes on for seconds after the flame is out, from hot gas, refractory and metal. A coil has thin walls "
    "and little brick; cast-iron sections are thick. No publication gives the number; one "
    "run-on, measured, replaces it.",
)
ASSUMED_STROKE: Final = _seconds(
    "ASSUMED_STROKE",
    "boiler.burner.stroke",
    30.0,
    why="Common actuators of burners drive their quarter turn in 15 to 60 seconds, most of them in 30.",
)
ASSUMED_START_DELAY: Final = _seconds(
    "ASSUMED_START_DELAY",
    "boiler.burner.start.delay",
    3.0,
    why="Relays and the proof of closed valves and of air take a few seconds before anything moves.",
)
_DRIVE_WHY: Final = (
    "A damper that purges open must travel there and back; an on-off burner, or a purge at the low position, has no "
    "such travel. Where the position is unknown the travel counts, because a longer start means a deeper "
    "fall of pressure."
)
ASSUMED_DRIVE_OPEN: Final = Assumption(
    name="ASSUMED_DRIVE_OPEN",
    keys=("boiler.burner.start.drive_open",),
    dimension=Dimension.TIME,
    values=((ON_OFF_OR_LOW, 0.0), (OPEN_OR_UNKNOWN, 20.0)),
    why=_DRIVE_WHY,
)
ASSUMED_DRIVE_BACK: Final = Assumption(
    name="ASSUMED_DRIVE_BACK",
    keys=("boiler.burner.start.drive_back",),
    dimension=Dimension.TIME,
    values=((ON_OFF_OR_LOW, 0.0), (OPEN_OR_UNKNOWN, 20.0)),
    why=_DRIVE_WHY,
)
ASSUMED_PREPURGE: Final = _seconds(
    "ASSUMED_PREPURGE",
    "boiler.burner.start.prepurge",
    30.0,
    why="A common setting of burner controls. It serves to reckon how the pressure moves; it proves nothing about "
    "the purge.",
)
ASSUMED_PILOT_TRIAL: Final = _seconds(
    "ASSUMED_PILOT_TRIAL",
    "boiler.burner.start.pilot_trial",
    10.0,
    why="A common setting. It serves to reckon how the pressure moves; it proves nothing about the trial.",
)
ASSUMED_MAIN_TRIAL: Final = _seconds(
    "ASSUMED_MAIN_TRIAL",
    "boiler.burner.start.main_trial",
    10.0,
    why="A common setting. It serves to reckon how the pressure moves; it proves nothing about the trial.",
)
ASSUMED_FLAME_TO_LOW_FIRE: Final = _seconds(
    "ASSUMED_FLAME_TO_LOW_FIRE",
    "boiler.burner.start.flame_to_low_fire",
    5.0,
    why="The fuel valves open within a second or two and the flame settles within a few more.",
)
ASSUMED_RELEASE_DELAY: Final = _seconds(
    "ASSUMED_RELEASE_DELAY",
    "boiler.burner.start.release_delay",
    15.0,
    why="Burner controls hold low fire for a while after the main flame is proved.",
)
ASSUMED_MINIMUM_OFF: Final = _seconds(
    "ASSUMED_MINIMUM_OFF",
    "boiler.burner.start.minimum_off",
    0.0,
    why="Few burner controls have one; where there is one, somebody set it and can say so.",
)
ASSUMED_POSTPURGE: Final = _seconds(
    "ASSUMED_POSTPURGE",
    "boiler.burner.start.postpurge",
    15.0,
    why="A common setting. The air it moves cools the boiler once a cycle, after the burner is off.",
)
ASSUMED_BLOWDOWN: Final = Assumption(
    name="ASSUMED_BLOWDOWN",
    keys=("boiler.safety_valve.blowdown",),
    dimension=Dimension.FRACTION,
    fills=Dimension.PRESSURE_DIFFERENCE,
    values=((ALWAYS, 0.04),),
    of="the set pressure, and not less than ASSUMED_LEAST_BLOWDOWN",
    why="Steam safety valves close two to four percent below their set pressure, or two to four psi. The larger is "
    "taken: a valve that closes lower is harder to close.",
    source=Citation(VALVE_HANDBOOK),
)
ASSUMED_LEAST_BLOWDOWN: Final = Assumption(
    name="ASSUMED_LEAST_BLOWDOWN",
    keys=("boiler.safety_valve.blowdown",),
    dimension=Dimension.PRESSURE_DIFFERENCE,
    values=((ALWAYS, 4 * PA_PER_PSI),),
    why="The larger end of two to four psi, for valves whose four percent is less than that.",
    source=Citation(VALVE_HANDBOOK),
)
ASSUMED_CONTROL_LAG: Final = Assumption(
    name="ASSUMED_CONTROL_LAG",
    keys=_of_controls("lag", *Role),
    dimension=Dimension.TIME,
    values=((ALWAYS, 1.0),),
    why="A siphon full of water, a common snubber and a bellows or tube follow the pressure within about a second; no "
    "publication gives the number. A longer lag makes every limit act later, and the pressure rises further before it "
    "does: time it where a fine snubber, a throttled valve or a long line is fitted.",
    for_motion=True,
)
ASSUMED_RESET_DIFFERENTIAL: Final = Assumption(
    name="ASSUMED_RESET_DIFFERENTIAL",
    keys=_of_controls("reset_differential", Role.HIGH_LIMIT),
    dimension=Dimension.PRESSURE_DIFFERENCE,
    values=((LOW_PRESSURE, 1 * PA_PER_PSI), (HIGH_PRESSURE, 5 * PA_PER_PSI)),
    why="The switch of a limit remakes a little below the pressure at which it opened, and until then no reset holds. "
    "This is about what such switches need by common practice; it says how long a tripped boiler waits and proves "
    "nothing about the reset.",
    for_motion=True,
)
ASSUMED_LINE_DROP: Final = Assumption(
    name="ASSUMED_LINE_DROP",
    keys=("load.line_drop",),
    dimension=Dimension.PRESSURE_DIFFERENCE,
    values=((LOW_PRESSURE, 0.5 * PA_PER_PSI), (HIGH_PRESSURE, 2 * PA_PER_PSI)),
    why="Stop and non-return valve between a boiler and its header take about this much at full load. A long line "
    "takes more: read both gauges at full load.",
)
_NO_FORECAST: Final = (
    "An ordeal to measure settings by, not a forecast. Common practice and from memory; whoever knows the users knows "
    "better. Boilers of several kinds at one load get the largest change of any and the quickest."
)
ASSUMED_PICK_UP: Final = Assumption(
    name="ASSUMED_PICK_UP",
    keys=("load.pick_up",),
    dimension=Dimension.FRACTION,
    values=_by_kind(0.5, 0.25, 0.5, 0.33, 0.25),
    of="the output of each boiler",
    why="A busy laundry or kitchen asks half the output of its fire-tube or vertical boiler. Water-tube boilers are "
    "commonly bought for a quarter of their load within a minute, and a coil has next to no water to give steam "
    "from while its fire comes up. At cast iron a third is what net ratings leave for cold pipes and radiators. "
    + _NO_FORECAST,
    for_motion=True,
)
ASSUMED_PICK_UP_TIME: Final = Assumption(
    name="ASSUMED_PICK_UP_TIME",
    keys=("load.pick_up",),
    dimension=Dimension.TIME,
    values=_by_kind(60.0, 60.0, 30.0, 120.0, 60.0),
    why="A minute is twice the stroke of a common actuator. A vertical boiler has few users, and one of them opens by "
    "hand in half of that; zone valves of a heating system take about two minutes. " + _NO_FORECAST,
    for_motion=True,
)
ASSUMED_DROP: Final = Assumption(
    name="ASSUMED_DROP",
    keys=("load.drop",),
    dimension=Dimension.FRACTION,
    values=_by_kind(0.5, 0.5, 0.5, 0.33, 0.5),
    of="the output of each boiler",
    why="Load may fall faster than anybody would bring it on: one machine that stops takes half of it away, whatever "
    "boiler it hangs on. Heating gives back no more than it picked up. " + _NO_FORECAST,
)
ASSUMED_DROP_TIME: Final = Assumption(
    name="ASSUMED_DROP_TIME",
    keys=("load.drop",),
    dimension=Dimension.TIME,
    values=_by_kind(60.0, 60.0, 30.0, 120.0, 60.0),
    why="As for a pick-up: a minute, half of it where a hand shuts one user of few, two where zone valves shut. "
    + _NO_FORECAST,
)

ALL: Final[tuple[Assumption, ...]] = tuple(value for value in list(globals().values()) if isinstance(value, Assumption))
"""All of them, in the order of this page."""
