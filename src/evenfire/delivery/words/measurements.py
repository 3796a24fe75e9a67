"""Wording of measurements: what to do with a watch and a gauge, and where to write down what came of it."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from evenfire.judgement.outcome import TermName
from evenfire.judgement.tolerance.measurements import Measurement
from evenfire.judgement.tolerance.sensitivity import Stake


@dataclass(frozen=True, slots=True, kw_only=True)
class MeasurementWords:
    """One measurement.

    ``{control}`` is which control, ``{role}`` its table in the plant file; ``{at}`` is where a run-on from full fire is
    read, and ``{factor}`` how much more it is at the trip.
    """

    name: str
    """After "the" """
    do: str
    write: str
    """Where it belongs in the plant file"""


_PROVED: Final = (
    'controls.{role}.tolerance = {{ proved = "..." }}, with your number, and proved = ["{role}"] in the settings.'
)
_RUN_ON_AT_CUT_OUT: Final = MeasurementWords(
    name="run-on after cut-out",
    do="With no steam drawn, the plant consenting, let the operating limit stop the burner from low fire. Read the "
    "gauge at the stop and at the highest it comes to. Three times; take the largest difference, and where it began.",
    write='measured.run_on = [{{ rise = "...", firing = "low", load = "none", at = "..." }}], with your numbers.',
)
_RUN_ON_AT_FULL_FIRE: Final = MeasurementWords(
    name="run-on after a stop at full fire",
    do="With the boiler hot, no steam drawn and the plant consenting, let it come up in automatic from well below. "
    "When it stands at full fire and the gauge passes {at}, stop the burner with its own switch. Read the gauge at the "
    "stop and at the highest it comes to. Three times; take the largest difference, and write down where the gauge "
    "stood at the stop: at the trip the same heat raises the pressure {factor} times as far, which is reckoned with. "
    "No limit has to act and none is bypassed.",
    write='measured.run_on = [{{ rise = "...", firing = "full", load = "none", at = "..." }}], with your numbers.',
)
WELL_BELOW: Final = "a pressure well below cut-out"
AT_MOST_SO_MUCH_MORE: Final = "up to 1.5"
"""Where it cannot be computed how much: more than storage changes between any cut-in and trip of a sound setting."""

MEASUREMENTS: Final[Mapping[Measurement, MeasurementWords]] = {
    Measurement.RUN_ON: _RUN_ON_AT_CUT_OUT,
    Measurement.UNDERSHOOT: MeasurementWords(
        name="fall below cut-in during a restart",
        do="At a steady load that low fire just carries, read the gauge at the moment the operating limit closes and "
        "at the lowest it comes to. Three times; take the largest difference, and note the load.",
        write='measured.undershoot = {{ fall = "...", load = "..." }}, with your numbers.',
    ),
    Measurement.CONTACT_TO_LOW_FIRE: MeasurementWords(
        name="time from contact to low fire",
        do="Take the time from the moment the operating limit closes until the burner stands at a settled low fire. "
        "Three starts; take the longest.",
        write='measured.contact_to_low_fire = "...", with your time.',
    ),
    Measurement.STROKE: MeasurementWords(
        name="stroke of the firing-rate drive",
        do="Watch the drive in automatic while the pressure is below the high-fire point, and take the time from low "
        "fire to full fire after a release.",
        write='burner.stroke = "...", with your time.',
    ),
    Measurement.FUEL_AT_FULL_FIRE: MeasurementWords(
        name="fuel at full fire",
        do="At a steady full fire, clock the fuel meter for at least two minutes, and note gas pressure and "
        "temperature at the meter. Fuel times heating value times efficiency is the output.",
        write="output, and burner.input_clocked.",
    ),
    Measurement.FUEL_AT_LOW_FIRE: MeasurementWords(
        name="fuel at low fire",
        do="At a steady low fire, clock the fuel meter for at least five minutes, and the same at full fire. Full over "
        "low is the turndown.",
        write="burner.turndown.",
    ),
    Measurement.COMBUSTION: MeasurementWords(
        name="efficiency by flue gas",
        do="At a steady full fire, take oxygen, carbon monoxide and flue temperature with an analyser that is in date.",
        write="burner.efficiency.",
    ),
    Measurement.STANDING_LOSS: MeasurementWords(
        name="standing loss",
        do="With the boiler hot, the burner off, feed and stop valve shut and the plant consenting, take the time in "
        "which the pressure falls by 10 psi, with somebody watching the water level. Storage times the fall, over the "
        "time, is the loss; evenfire check tells the storage.",
        write="standing_loss.",
    ),
    Measurement.FEEDWATER_TEMPERATURE: MeasurementWords(
        name="feedwater temperature",
        do="Read the thermometer in the feed line near the boiler through one working day, also after cold make-up; "
        "take the coldest.",
        write="feedwater_temperature.",
    ),
    Measurement.WATER_VOLUME: MeasurementWords(
        name="water volume",
        do="Take it from the maker's drawing at normal level; or, when the boiler is filled cold the next time, "
        "through a meter up to normal level.",
        write="water_volume.",
    ),
    Measurement.STEAM_VOLUME: MeasurementWords(
        name="steam volume",
        do="Take the space above normal level from the maker's drawing.",
        write="steam_volume.",
    ),
    Measurement.METAL_MASS: MeasurementWords(
        name="mass of metal",
        do="Take the dry weight from the drawing or the shipping papers, less what is not wetted.",
        write="metal_mass.",
    ),
    Measurement.SIZE_OF_DROP: MeasurementWords(
        name="largest drop of load",
        do="Watch the steam meter, or the feed meter, through the plant's busiest shutdowns: how much falls away, and "
        "over how long.",
        write="load.drop.",
    ),
    Measurement.LINE_DROP: MeasurementWords(
        name="pressure lost in the line",
        do="At full load read the boiler gauge and the gauge at the users at the same time, both in date; the "
        "difference is the drop, less what the height between them makes.",
        write="load.line_drop.",
    ),
    Measurement.TRIP_POINT: MeasurementWords(
        name="acting point of the {control}",
        do="Against a reference gauge that is in date, with the pressure rising slowly at the lowest fire, read where "
        "the {control} acts, and set it until it acts where it is meant to. Three times more; the furthest of those, "
        "and what the gauge may be off on top, is its proved tolerance.",
        write=_PROVED,
    ),
    Measurement.WATER_LEG: MeasurementWords(
        name="water leg of the {control}",
        do="With a tape, take the height between the water in the siphon of the {control} and its sensing element, and "
        "see whether the element hangs below or above. Open nothing that is under pressure.",
        write="controls.{role}.water_leg.",
    ),
    Measurement.CONTROL_LAG: MeasurementWords(
        name="lag of the {control}",
        do="While the pressure rises steadily, read on the boiler's gauge where the {control} acts on a fast rise and "
        "on a slow one; the difference over the difference in rate is its lag.",
        write="controls.{role}.lag.",
    ),
    Measurement.VALVE_LIFT: MeasurementWords(
        name="lift of the safety valves",
        do="Have every safety valve tested on a bench by a shop that may do so, and keep the certificate.",
        write="safety_valve.tested_lift.",
    ),
}

OF_TERM: Final[Mapping[TermName, MeasurementWords]] = {
    TermName.RUN_ON_AT_CUT_OUT: _RUN_ON_AT_CUT_OUT,
    TermName.RUN_ON_AT_FULL_FIRE: _RUN_ON_AT_FULL_FIRE,
}
"""Where which motion is read decides how."""

OF_HIGH_LIMIT: Final = MeasurementWords(
    name="trip of the high limit",
    do="Prove it against a reference gauge that is in date. A recorded temporary change takes the operating limit out "
    "of the way, the burner stands at its lowest fire in manual, and one person at the stop stops it by hand, well "
    "below the safety valves, when it has not tripped where it should: then it failed. Set it until it trips where it "
    "is meant to. Three times more; the furthest of those, and what the gauge may be off on top, is its proved "
    "tolerance. End the change and prove the operating limit.",
    write=_PROVED,
)
"""The limit that is never met in normal work."""

STAKES: Final[Mapping[Stake, str]] = {
    Stake.SAFETY: "Safety hangs on it, and it is not sure",
    Stake.VERDICT: "Whether it holds hangs on this",
    Stake.AMOUNT: "It is short beyond doubt, and a dial has to move; how far hangs on this",
    Stake.NOTHING: "Nothing is in doubt with these settings; nothing has to be measured. Nearest to a doubt comes this",
}
"""Why of all measurements this one."""
SAFETY_IS_SHORT: Final = (
    "Safety hangs on it. It is short beyond doubt: a dial has to move before the boiler is left, and how far hangs on "
    "this"
)
STANDS: Final[Mapping[Stake, str]] = {
    Stake.SAFETY: "UNSURE",
    Stake.VERDICT: "unsure",
    Stake.AMOUNT: "SHORT",
    Stake.NOTHING: "holds",
}
SHORT: Final = "SHORT"
"""For the margin of a page; a safety margin that is short for certain is told as short."""
FIRST: Final = "Measure this first"
NO_MEASUREMENT: Final = "No measurement with a watch and a gauge would make any of these margins surer."
SURVEY_FIRST: Final = "Before anything else: {keys}. Without that these are not judged: {demands}."
WHY: Final = '{stake}: "{demand}", {room}, give or take {before}. Once measured: give or take {after}.'
ROOM: Final = "{room} of room"
SHORT_BY: Final = "short by {short}"
MARGIN: Final = "{demand}: {room}, give or take {doubt}."
FIRM: Final = "{demand}: {room}; nothing in the survey moves it."
PULLS: Final = "Moved most by {first}"
PULL: Final = "{key}{origin}; {doubt} more is worth {higher}, {doubt} less {lower}"
HELP: Final = "Measure the {name}: give or take {after} then."
EACH: Final = "What each margin hangs on, the worst first"
ABOUT: Final = (
    'Room is what is left at the worst corner of every tolerance. "Give or take" is one standard deviation of what the '
    "survey may be off by; a margin that is within three of them of nothing is unsure."
)
NOT_VARIED: Final = "Looked at to one side only, because the other makes a boiler that cannot be: {keys}."
NOT_SIMULATED: Final = (
    "This boiler was not simulated, so closed forms stand for its motion. To simulate it, survey: {keys}."
)
HOLDS: Final = "Holds beyond doubt"
ITEM: Final = "{margin} Moved most by {key}."
MORE: Final = "All that moves them: evenfire measure {file} --every"
NEXT: Final = "evenfire settle {file}, with that in it"
ENDINGS: Final[Mapping[int, str]] = {
    0: "Every margin was weighed. Whether the boiler is in order is for evenfire check and evenfire prove to say.",
    4: "Not every margin could be weighed: that is not an all-clear.",
}
"""By the exit code."""
