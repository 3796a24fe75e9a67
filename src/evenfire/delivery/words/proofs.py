"""Wording of the proofs: what a boiler is put through, what is looked at, what is found out, what to do next."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from evenfire.judgement.proofs.result import Found, Scenario, Verdict, Watched

VERDICTS: Final[Mapping[Verdict, str]] = {
    Verdict.FAILS: "FAILS",
    Verdict.WARNS: "WARNS",
    Verdict.HOLDS: "holds",
    Verdict.TOLD: "told",
}
"""For the margin of a page."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ScenarioWords:
    """What is done to the boiler."""

    title: str
    staged: str
    """Begins a sentence that a clause of ``WATCHED`` ends"""


@dataclass(frozen=True, slots=True, kw_only=True)
class WatchedWords:
    """One thing that is looked at.

    Places: ``{observed}``, ``{limit}``, ``{margin}`` (without its sign), ``{where}`` (which load or fuel decided it,
    empty where there is one only) and ``{at}`` (when).
    """

    holds: str
    fails: str
    do: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FoundWords:
    """One number that is found out; ``{value}`` is its place."""

    told: str
    nought: str = ""
    """Said instead of nought; empty where nought says nothing"""


SCENARIOS: Final[Mapping[Scenario, ScenarioWords]] = {
    Scenario.HIGH_LIMIT_ALONE: ScenarioWords(
        title="High limit alone",
        staged="With the operating limit welded, the drive stuck at full fire and the load gone,",
    ),
    Scenario.VALVES_ALONE: ScenarioWords(
        title="Safety valves alone",
        staged="With both limits failed, the drive stuck at full fire and the load gone,",
    ),
    Scenario.STEADY_LOADS: ScenarioWords(
        title="Steady loads",
        staged="At steady loads from nothing up, every dial at the worst edge of its tolerance,",
    ),
    Scenario.PICK_UP: ScenarioWords(
        title="Pick-up",
        staged="Through the design pick-up from low-fire load, every dial low,",
    ),
    Scenario.PICK_UP_AFTER_RESTART: ScenarioWords(
        title="Pick-up after a restart",
        staged="Through the design pick-up at the very moment of cut-in, the burner still off,",
    ),
    Scenario.DROP: ScenarioWords(
        title="Drop",
        staged="Through the design drop from the highest load, the cut-out low and the firing rate high,",
    ),
    Scenario.DAY: ScenarioWords(
        title="The plant's day",
        staged="Through a day, dials true and feedwater as it comes,",
    ),
    Scenario.COLD_START: ScenarioWords(
        title="Cold start",
        staged="Warming from room temperature with nobody drawing steam,",
    ),
    Scenario.HOLD_ABSENT: ScenarioWords(
        title="Hold absent",
        staged="Warming from room temperature with the low-fire hold bypassed.",
    ),
    Scenario.SHUTDOWN: ScenarioWords(
        title="Shutdown and vacuum",
        staged="Switched off by hand while at work, stop valve and feed shut, it cools by its standing loss alone.",
    ),
    Scenario.LOW_WATER: ScenarioWords(
        title="Low-water stop and restart",
        staged="After the low-water cutoff opened for a minute at three quarters of full load,",
    ),
    Scenario.POWER_DIP: ScenarioWords(
        title="Power dip",
        staged="After the power failed for ten seconds at three quarters of full load,",
    ),
}

PINNED_BEFORE: Final = "IT STANDS IN THE LOW-FIRE HOLD, pinned at low fire under load, before anything is interrupted"
SETTLE_AGAIN: Final = "evenfire settle weighs all the dials together."

WATCHED: Final[Mapping[Watched, WatchedWords]] = {
    Watched.NEED: WatchedWords(
        holds="the pressure stays at {observed} or above{where}; the need is {limit}: {margin} left",
        fails="the pressure falls to {observed}{where}; the need is {limit}: {margin} SHORT",
        do=f"Raise cut-in, and the firing band where there is one, or shorten the burner's start; {SETTLE_AGAIN}",
    ),
    Watched.DIP: WatchedWords(
        holds="the pressure dips to {observed}{where}, below the need; users stand {limit}: {margin} left",
        fails="the pressure falls to {observed}{where}; users stand a dip to {limit}: {margin} SHORT",
        do=f"Raise cut-in, and the firing band where there is one, or shorten the burner's start; {SETTLE_AGAIN}",
    ),
    Watched.DIP_TIME: WatchedWords(
        holds="a dip below the need lasts {observed}{where}; users stand {limit}",
        fails="a dip below the need lasts {observed}{where}; users stand {limit}",
        do=f"Raise cut-in, and the firing band where there is one, or shorten the burner's start; {SETTLE_AGAIN}",
    ),
    Watched.WISH: WatchedWords(
        holds="the pressure rises to {observed}{where}; nobody wants more than {limit}: {margin} left",
        fails="the pressure rises to {observed}{where}; nobody wants more than {limit}: {margin} TOO HIGH",
        do="Lower cut-out by at least {margin}, and the firing band, where there is one, with it.",
    ),
    Watched.DOWNSTREAM: WatchedWords(
        holds="the pressure rises to {observed}{where}; what hangs downstream is rated for {limit}: {margin} left",
        fails="the pressure rises to {observed}{where}; what hangs downstream is rated for {limit}: {margin} TOO HIGH",
        do="Lower cut-out by at least {margin}, and the firing band, where there is one, with it.",
    ),
    Watched.NO_TRIP: WatchedWords(
        holds="the pressure rises to {observed}{where}; the high limit may trip from {limit}: {margin} left",
        fails="the pressure rises to {observed}{where}; the high limit may trip from {limit}: it trips for nothing, "
        "by {margin}",
        do="Lower cut-out by at least {margin}; only where the valves leave room for it, raise the high limit.",
    ),
    Watched.NO_LIFT: WatchedWords(
        holds="the pressure rises to {observed}{where}; the valves may lift from {limit}: {margin} left",
        fails="the pressure rises to {observed}{where}; the valves may lift from {limit}: {margin} TOO HIGH",
        do=f"Lower cut-out; {SETTLE_AGAIN}",
    ),
    Watched.NO_STOP: WatchedWords(
        holds="the burner follows the load down and nothing stops it",
        fails="the operating limit stops the burner before it has come down{where}",
        do="Lower the firing band under cut-out, so that the burner is at low fire before anything stops it.",
    ),
    Watched.LOW_FIRE_FIRST: WatchedWords(
        holds="the burner is at low fire whenever the operating limit stops it",
        fails="the operating limit stops the burner at {observed} of full fire{where}; low fire is {limit}: it "
        "short-cycles",
        do="Lower the firing band under cut-out, so that the burner is at low fire before anything stops it.",
    ),
    Watched.HOLD_LETS_GO: WatchedWords(
        holds="the low-fire hold lets go by itself",
        fails="the low-fire hold NEVER LETS GO: the burner stays at low fire{where}",
        do="Lower the low-fire hold under the firing band.",
    ),
    Watched.KEPT_LOW: WatchedWords(
        holds="it stays at low fire until it steams",
        fails="without a low-fire hold NOTHING KEEPS IT AT LOW FIRE: before it steams its controls fire it at "
        "{observed} of full fire{where}; low fire is {limit}",
        do="Do not leave a cold start to its controls.",
    ),
    Watched.HOLD_IS_NO_TRAP: WatchedWords(
        holds="what lets go takes again on the way down, at {limit}: the deepest dip under load, of a low-water stop "
        "or a power dip, stays at {observed} or above: {margin} left",
        fails="the low-fire hold is a TRAP: it takes again on the way down, at {limit}, and the deepest dip under "
        "load, of a low-water stop or a power dip, falls to {observed}: the burner is then pinned at low fire until "
        "load is shed",
        do="Lower the low-fire hold under that dip, and never bypass it; evenfire settle weighs how low.",
    ),
    Watched.WARMS_SLOWLY: WatchedWords(
        holds="it warms by up to {observed} over ten minutes{where}; {limit} is what a drum is allowed, from memory: "
        "{margin} left",
        fails="left to its controls it WARMS TOO FAST for a drum, by up to {observed} over ten minutes{where}; {limit} "
        "is allowed, from memory",
        do="Warm it as told here, kept at its lowest fire by hand until it stands at cut-in, unless its maker says "
        "otherwise; no setting does that.",
    ),
    Watched.STAYS_ABOVE_HOLD: WatchedWords(
        holds="the pressure stays at {observed} or above{where}; the hold may take from {limit} down: {margin} left",
        fails="the pressure falls into the hold, which may take from {limit} down{where}, and PINS THE BURNER AT LOW "
        "FIRE under load: it falls to {observed}",
        do="Lower the low-fire hold; a higher cut-in does not mend it. A boiler that it has pinned comes back only "
        "when load is shed.",
    ),
    Watched.STAYS_OFF: WatchedWords(
        holds="the burner stays off until a hand resets",
        fails="the burner is NOT KEPT OFF: fuel burns again without a hand, or the high limit never acts{where}",
        do="Keep the boiler out of service until a high limit with manual reset stops it and keeps it stopped.",
    ),
    Watched.ACCUMULATION: WatchedWords(
        holds="the safety valves hold the pressure at {observed}{where}; they may let it come to {limit}: {margin} "
        "left",
        fails="the safety valves let the pressure come to {observed}{where}; they may let it come to {limit}: "
        "{margin} TOO HIGH",
        do="No dial cures this: keep the boiler out of service until valves are fitted that pass what the burner "
        "makes.",
    ),
    Watched.RESTARTS: WatchedWords(
        holds="the burner comes back by itself",
        fails="the burner does NOT come back by itself{where}",
        do="Shed load until it is out of the hold, or go and start it; a lower hold does not pin it: evenfire settle.",
    ),
    Watched.RUNS_THROUGH: WatchedWords(
        holds="there is water in the boiler and steam above it all the time",
        fails="the simulation BREAKS OFF after {at}{where}: the boiler runs dry, fills to the top, or leaves every "
        "pressure at which steam is known",
        do="Find out why before it is fired: feedwater, relieving capacity, firing.",
    ),
}

SPECIAL: Final[Mapping[tuple[Scenario, Watched], WatchedWords]] = {
    (Scenario.HIGH_LIMIT_ALONE, Watched.NO_LIFT): WatchedWords(
        holds="the high limit stops it at {observed}{where}; the valves may lift from {limit}: {margin} left",
        fails="the high limit does not stop it before {observed}{where}; the valves may lift from {limit}: {margin} "
        "TOO LATE",
        do="Lower the high limit by at least {margin}, and cut-out under it.",
    ),
}
"""Where a scenario has words of its own for what is looked at."""

FOUND: Final[Mapping[Found, FoundWords]] = {
    Found.STARTS: FoundWords(told="it starts up to {value} times an hour", nought="it does not start once meanwhile"),
    Found.LARGEST_PICK_UP: FoundWords(
        told="the largest pick-up that still holds the need is {value} of full load",
        nought="no pick-up at all holds the need",
    ),
    Found.DESIGN_PICK_UP: FoundWords(told="the design pick-up is {value} of full load"),
    Found.FASTEST_FALL: FoundWords(
        told="the fastest fall that it rides is {value} of full load a minute",
        nought="a fall that takes twenty minutes stops it as well",
    ),
    Found.LOWEST_LOAD_RIDDEN: FoundWords(told="it rides a fall to {value} of full load"),
    Found.OVERSHOOT: FoundWords(
        told="with nothing to stop it, it overshoots the low-fire point by {value}",
        nought="it does not overshoot the low-fire point",
    ),
    Found.RUN_ON: FoundWords(told="it runs on {value} past the trip"),
    Found.TIME_TO_STEAM: FoundWords(told="first steam after {value}"),
    Found.TIME_TO_BAND: FoundWords(told="at cut-in pressure after {value}"),
    Found.FASTEST_WARMING: FoundWords(told="the water warms by up to {value} over ten minutes"),
    Found.LOW_FIRE_WARMING: FoundWords(told="at low fire the water warms by up to {value} over ten minutes"),
    Found.HOLD_RELEASED: FoundWords(told="the hold lets go after {value}"),
    Found.COOLS_INTO_HOLD: FoundWords(
        told="down in the low-fire hold after {value}: started later it is kept at low fire, as it should be; started "
        "sooner, nothing keeps it there"
    ),
    Found.ZERO_GAUGE: FoundWords(
        told="at zero gauge after {value}, sooner where draught goes through it",
        nought="it stands at zero gauge from the begin",
    ),
    Found.HALF_VACUUM: FoundWords(told="half the pressure of the air is gone after {value}"),
    Found.BELOW_ZERO: FoundWords(told="under vacuum for {value} of the time looked at"),
    Found.DEEPEST_VACUUM: FoundWords(told="at the temperature of the room it would stand at {value}"),
    Found.WATER_SHRINKS: FoundWords(
        told="its water shrinks by {value} as it cools: the glass falls, and that is no leak"
    ),
    Found.SHRINKS_TO_CUTOFF: FoundWords(
        told="that alone opens the low-water cutoff after {value}: it lights only once water is fed again"
    ),
    Found.BACK_AT_WORK: FoundWords(told="started again from zero gauge it is at cut-in after {value}"),
    Found.LOWEST: FoundWords(told="lowest pressure {value}"),
    Found.HIGHEST: FoundWords(told="highest pressure {value}"),
    Found.PINNED_BY_HOLD: FoundWords(
        told="{value} after it began the pressure is down in the low-fire hold: THE BURNER IS PINNED AT LOW FIRE until "
        "load is shed"
    ),
    Found.PINNED_BEFORE: FoundWords(told="{value} after the start " + PINNED_BEFORE, nought=PINNED_BEFORE),
    Found.ANY_FALL: FoundWords(told="it rides any fall to {value} of full load, however fast"),
    Found.STOOD_OFF: FoundWords(
        told="after {value} the HIGH LIMIT STOPS IT FOR GOOD{where}: starts after that would be counted only once a "
        "hand has reset it",
    ),
    Found.BROKE_OFF: FoundWords(
        told="with a change of {value} of full load the simulation BREAKS OFF: the boiler runs dry, fills to the top, "
        "or leaves every pressure at which steam is known"
    ),
    Found.OUT_OF_SERVICE: FoundWords(told="below the need for {value} at a stretch", nought="never below the need"),
    Found.SHORT_OF_RELIEF: FoundWords(told="the valves are SHORT OF {value} of steam"),
}

AFTER_RESTART: Final = "the largest pick-up right after a restart that still holds the need is {value} of full load"
BY_THE_CLOCK: Final = "from {start} to {end} {on} min on (start chain included) and {off} min off"
CONTINUOUS: Final = "from {start} to {end} low fire all the time"
NO_FIRING: Final = "from {start} to {end} no firing by the clock is slow enough: warm it from elsewhere"
LOWEST_OF_PICK_UP: Final = "the lowest pressure of the design pick-up, which is {size} of full load, is {value}"
LEFT_ALONE: Final = "left to its controls the water warms by up to {value} over ten minutes"
"""Where no hold keeps it at low fire; told before the next."""
BY_HAND: Final = "kept at low fire by hand all the way, by up to {value}"
LET_GO: Final = "once the burner is let go to more fire, with nobody drawing, by up to {value}"
"""After how fast it warms at low fire."""
FIRE_BY_CLOCK: Final = "To keep within that, at its lowest fire by hand: {parts}{takes}."
TAKES: Final = "; that takes {time} or more"
WALL: Final = "the inner surface of the wall is strained by up to {stress} of compression after {at}, from heat alone"
TELLS_MORE: Final = "More would be told with: {keys}."
NOT_PROVED: Final = "Not proved, because the survey does not tell what it takes"
NEXT: Final = "Next: evenfire settle {file}"
ENDINGS: Final[Mapping[int, str]] = {
    0: "What keeps the boiler safe holds: the high limit alone stops it, and the safety valves alone hold it.",
    1: "STOP: what has to keep the boiler safe does not hold. Do not fire it like this.",
    4: "Not every scenario could be proved: that is not an all-clear.",
}
"""By the exit code."""
STEADY_PANELS: Final = (
    "Loads are shares of what full fire makes. Shown with every dial high; what is said above is of the worst corner "
    "of each question."
)
