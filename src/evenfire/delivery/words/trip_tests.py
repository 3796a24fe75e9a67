"""Wording of trip tests, of tests of other safety devices, of drift and of what comes due."""

from collections.abc import Mapping
from typing import Final

from evenfire.delivery.words.entry import Said
from evenfire.judgement.trip_test.budget import Kind, Origin, Shape
from evenfire.judgement.trip_test.devices import Device, DeviceVerdict
from evenfire.judgement.trip_test.drift import Follows
from evenfire.judgement.trip_test.gauge import InDate
from evenfire.judgement.trip_test.intervals import Item, Whose
from evenfire.judgement.trip_test.planning import Suits
from evenfire.judgement.trip_test.repeatability import Pool
from evenfire.judgement.trip_test.trip import Caution, Method, Verdict

VERDICT_NAMES: Final[Mapping[Verdict, str]] = {
    Verdict.DID_NOT_OPEN: "FAILED: did not open",
    Verdict.DOES_NOT_LATCH: "FAILED: does not latch",
    Verdict.TRIPS_HIGH: "FAILED: trips high",
    Verdict.NOT_JUDGED: "NOT JUDGED",
    Verdict.MUST_NOT_BE_MADE: "NOT PASSED: made where a true rise must not be made",
    Verdict.UNDECIDED_HIGH: "NOT PASSED: undecided on the high side",
    Verdict.FUNCTION_ONLY: "works; trip pressure not tested",
    Verdict.TRIPS_LOW: "trips low: adjust",
    Verdict.SAFE_MAY_TRIP_LOW: "passed for safety; may trip low",
    Verdict.PASSED: "passed",
}

_OUT_OF_SERVICE: Final = "Keep the boiler out of service: lock it out and tell the owner."
DIFFERENTIAL_BY_DIAL: Final = "Differential by its dial, not proved."
NO_PASS: Final = "no pass, tested against another pressure than it is to act at"
OTHER_AIM: Final = "It proves nothing: test again against the pressure at which it is to act."
VERDICTS: Final[Mapping[Verdict, Said]] = {
    Verdict.DID_NOT_OPEN: Said(
        what="It did not stop the burner{where}.",
        why="Nothing but the safety valves would have stopped this pressure.",
        do=f"{_OUT_OF_SERVICE} Replace the control or clear its line, then test again by a true rise.",
    ),
    Verdict.DOES_NOT_LATCH: Said(
        what="It does not stay off: the burner started again by itself, or by a reset before the pressure had fallen.",
        why="A limit that comes back by itself does the work of the operating limit, and nobody learns of it.",
        do=f"{_OUT_OF_SERVICE} Replace the control, then test again.",
    ),
    Verdict.TRIPS_HIGH: Said(
        what="It acted at {highest_seen}; {upper} is the most.",
        why="Above that the pressure may reach a safety valve before the burner has stopped.",
        do=f"{_OUT_OF_SERVICE} Set it lower, or replace it, and test again.",
    ),
    Verdict.NOT_JUDGED: Said(
        what="It cannot be judged: {missing}.",
        why="What nobody wrote down is never taken for good.",
        do="Write it down if it was seen; else test again.",
    ),
    Verdict.MUST_NOT_BE_MADE: Said(
        what="A safety valve could have lifted before it had to act; what it showed is no pass.",
        why="The burner would have had to be stopped by hand below the pressure at which it shall act.",
        do="Not passed. Set it lower, or take a finer gauge, and only then test again by a true rise.",
    ),
    Verdict.UNDECIDED_HIGH: Said(
        what="It acted at {trip} on average; up to {highest} would have passed, {upper} is the most.",
        why="With this gauge and so few repeats it may act above {upper} the next time: {chance}.",
        do="Not passed. Take a finer gauge or more repeats, or set it lower and test again.",
    ),
    Verdict.FUNCTION_ONLY: Said(
        what="With its setting turned down it stopped the burner; at what pressure it acts as left was not tested.",
        why="A turned dial shows that contact and wiring work, not where the dial now stands.",
        do="Put the setting back and have it verified; test by a true rise before its trip pressure counts as proved.",
    ),
    Verdict.TRIPS_LOW: Said(
        what="It acted at {trip} on average, below {lower}.",
        why="Safe, but it may stop the boiler in normal work.",
        do="Adjust it upwards in small steps, and test again by a true rise.",
    ),
    Verdict.SAFE_MAY_TRIP_LOW: Said(
        what="It acted at {trip} on average, give or take {doubt}: safely below {upper}.",
        why="Whether it acts below {lower} cannot be told with this gauge and so few repeats.",
        do="Nothing for safety. If it trips in normal work, test with a finer gauge or more repeats.",
    ),
    Verdict.PASSED: Said(
        what="It acted at {trip} on average, give or take {doubt}; from {lowest} to {highest} passes.",
        do="Leave its dial where it stands.",
    ),
}
"""``{where}`` is empty or where it was stopped by hand; all others are quantities of the result."""
STOPPED_AT: Final = " until a person did at {stopped}"
CHANCE: Final = "about {chance}"

CAUTIONS: Final[Mapping[Caution, str]] = {
    Caution.CALIBRATION_OLDER_THAN_USUAL: (
        "The reference gauge was calibrated more than six months ago (CSD-1, from memory; UFC allows twelve)."
    ),
    Caution.ERRATIC: "Today it scattered more than in earlier tests: the control or its line may be going bad.",
    Caution.NOT_AT_LOW_FIRE: "The burner was not written down as held at low fire: a fast rise is read less well.",
    Caution.EARLY_RESET_NOT_TRIED: "Nobody wrote whether a reset before the pressure had fallen was refused.",
    Caution.RESTART_NOT_READ: (
        "The pressure at which the burner started again was not read: differential by its dial, not proved."
    ),
    Caution.RESTART_NOT_BELOW: (
        "The restart was read no lower than it acted: one is wrong. Differential by its dial, not proved."
    ),
    Caution.DIFFERENTIAL_NOT_AS_SET: (
        "The burner did not start again where its dial has it: the settings as left count what was read."
    ),
    Caution.WIDER_BAND_TYPED: (
        "A wider band was typed than it may act within: the narrower one counted, for no sheet makes a limit safer."
    ),
    Caution.SLOW_TO_STOP: "The flame went out late after the limit had acted: look at the fuel valves.",
    Caution.READ_NEAR_THE_END_OF_THE_SCALE: "It was read near an end of the gauge's scale; the middle reads best.",
}
METHODS: Final[Mapping[Method, str]] = {
    Method.TRUE_RISE: "the pressure rose to it",
    Method.TURNED_DOWN: "its setting was turned down to the pressure",
}
ORIGINS: Final[Mapping[Origin, str]] = {
    Origin.CALIBRATION: "calibration of the gauge",
    Origin.PERMISSIBLE_ERROR: "class of the gauge",
    Origin.RESOLUTION: "reading, to half a division",
    Origin.WATER_LEG: "water leg of the gauge",
    Origin.PARTLY_EMPTY_LEG: "water leg that may be part empty",
    Origin.READING_DELAY: "read late or early on the rise",
    Origin.REPEATABILITY: "repeatability of the control",
}
KINDS: Final[Mapping[Kind, str]] = {Kind.A: "A", Kind.B: "B"}
SHAPES: Final[Mapping[Shape, str]] = {Shape.NORMAL: "normal", Shape.RECTANGULAR: "rectangular", Shape.T: "t"}
POOLS: Final[Mapping[Pool, str]] = {
    Pool.TODAY: "today's readings alone",
    Pool.THIS_CONTROL: "today's readings and earlier tests of this control",
    Pool.SAME_KIND: "today's readings and tests of controls of its kind",
}
BUDGET_HEAD: Final = ("component", "type", "half-width", "spread", "standard uncertainty", "degrees of freedom")
BUDGET_SUM: Final = (
    "Together {standard}, {freedom} degrees of freedom; times {factor} is {expanded} at 95 %. "
    "Repeatability {repeatability}, from {pool}."
)
ENDLESS: Final = "endless"

ABORT: Final = "STOP THE BURNER BY HAND when the gauge shows {on_gauge} and it has not acted: it has failed then."
ABORT_BAND: Final = "That is the upper end of its band, {at_boiler} in the boiler."
ABORT_LIFT: Final = (
    "A safety valve may lift from {lift}; the pressure runs on by {run_on}, and the gauge may be {allowance} off."
)
ABORT_DOWNSTREAM: Final = "The run-on passes the lowest rating downstream: shut that off first."
ABORT_DOWNSTREAM_UNKNOWN: Final = (
    "The lowest rating downstream is not known: find it out, or shut downstream off first."
)
NO_TRUE_RISE: Final = "NO TRUE RISE at {set}: the burner would have to be stopped at {highest}, before it has to act."
NO_TRUE_RISE_DO: Final = "Set the control at least {short} lower, or take a finer gauge."
DO_NOT_CONNECT: Final = "DO NOT CONNECT: its scale ends at {ends}, and the pressure may reach {met} on it."
ABORT_NOT_KNOWN: Final = "NO TRUE RISE: where to break it off is not known. Missing: {missing}."

SUITS: Final[Mapping[Suits, str]] = {
    Suits.DECIDES: "can decide",
    Suits.CANNOT_DECIDE: "CANNOT decide",
    Suits.OUT_OF_RANGE: "CANNOT be read: its scale does not reach from end to end of the band",
    Suits.OUT_OF_DATE: "its calibration is more than twelve months old",
    Suits.NOT_KNOWN: "not known: {missing}",
}
IN_DATE: Final[Mapping[InDate, str]] = {
    InDate.YES: "in date",
    InDate.OLDER_THAN_USUAL: "calibrated more than six months ago",
    InDate.NO: "CALIBRATION TOO OLD: it proves nothing",
    InDate.UNKNOWN: "day of calibration not known",
}
GAUGE: Final = "{gauge}: {suits}."
GAUGE_ENDS_TOO_LOW: Final = "DO NOT CONNECT: its scale ends at {ends}"
GAUGE_SHARE: Final = "{gauge}: {suits}; {doubt} at 95 %, leaves {share} of healthy controls undecided{repeats}."
GAUGE_REPEATS: Final = ", {fewest} repeats would do"
TAKE: Final = "Take {gauge}."
TAKE_NONE: Final = "None of these gauges can decide it."
TAKE_WIDEST: Final = "A gauge can decide it with {repeats} repeats if all doubt together stays within {widest} at 95 %."
TAKE_NONE_AS_ASSUMED: Final = (
    "No gauge could if the control scatters by 0.3 % of its setting, as is assumed where no earlier test tells. "
    "Take the finest and repeat more often; what it truly scatters decides then."
)
TAKE_NO_GAUGE: Final = "No gauge could: the control scatters too much for this band. More repeats, or a wider band."

DEVICE_VERDICTS: Final[Mapping[DeviceVerdict, str]] = {
    DeviceVerdict.FAILED: "FAILED",
    DeviceVerdict.FAILED_EARLY: "acts early",
    DeviceVerdict.SHOWS_NOTHING: "SHOWS NOTHING",
    DeviceVerdict.NOT_JUDGED: "NOT JUDGED",
    DeviceVerdict.PASSED: "passed",
}
DEVICE_DO: Final[Mapping[DeviceVerdict, str]] = {
    DeviceVerdict.FAILED: f"{_OUT_OF_SERVICE} Have it mended and test it again.",
    DeviceVerdict.FAILED_EARLY: "Safe, and to be mended by those licensed for it before it wears its seat.",
    DeviceVerdict.SHOWS_NOTHING: "Test again at {lowest} or more: lifted at less, dirt may keep it open.",
    DeviceVerdict.NOT_JUDGED: "Missing: {missing}. Write it down if it was seen; else test again.",
    DeviceVerdict.PASSED: "",
}
DEVICES: Final[Mapping[Device, tuple[str, str]]] = {
    Device.LOW_WATER_CUTOFF: ("low-water cutoff", "the burner stops while water still stands in the glass"),
    Device.SECOND_LOW_WATER_CUTOFF: (
        "second low-water cutoff",
        "the burner stops and stays off until a hand resets it",
    ),
    Device.FLAME_FAILURE: ("flame failure", "the fuel shuts within {highest} after the flame is lost"),
    Device.PILOT_TRIAL: ("trial for the pilot", "the fuel shuts within {highest} where no pilot lights"),
    Device.MAIN_TRIAL: ("trial for the main flame", "the fuel shuts within {highest} where no main flame lights"),
    Device.AIR_INTERLOCK: ("air interlock", "the burner stops when the air is gone"),
    Device.LOW_FUEL_PRESSURE: ("low fuel pressure", "the burner stops when the fuel pressure falls"),
    Device.HIGH_FUEL_PRESSURE: ("high fuel pressure", "the burner stops when the fuel pressure rises"),
    Device.LOW_FIRE_START: ("low-fire start", "the burner does not light unless it stands at low fire"),
    Device.FUEL_VALVE_LEAKAGE: ("fuel valve leakage", "each valve leaks no more than its maker allows"),
    Device.SAFETY_VALVE_BY_HAND: (
        "safety valve lifted by hand",
        "it opens wide and closes tight, lifted at {lowest} or more",
    ),
    Device.SAFETY_VALVE_BY_PRESSURE: ("safety valve by pressure", "it lifts between {lowest} and {highest}"),
}
"""What each is called, and when it passes."""

DRIFT: Final = "Drifts {slope} a year, between {lowest} and {highest} at 95 %."
DRIFT_NOT_SHOWN: Final = "No drift is shown: between {lowest} and {highest} a year at 95 %."
DRIFT_LEAVES: Final = "May leave its band {side} from {day} on."
DRIFT_ABOVE: Final = "upwards, towards danger,"
DRIFT_BELOW: Final = "downwards"
DRIFT_STAYS: Final = "Stays in its band for as far as can be seen."
DRIFT_NOT_JUDGED: Final = "Drift not judged: it takes two tests of one setting."
FOLLOWS: Final[Mapping[Follows, str]] = {
    Follows.CODE: "Next test by the interval of the code, {day}: its drift asks for no earlier one.",
    Follows.DRIFT: "Next test by {day}: its drift asks for it before the code does.",
    Follows.TOO_FEW_TESTS: "Next test by the interval of the code, {day}: too few tests to say more.",
}
ITEMS: Final[Mapping[Item, str]] = {
    Item.SETTINGS_COMPARED: "settings compared by eye with the card",
    Item.PRESSURE_AND_LEVEL_LOGGED: "pressure and water level written down",
    Item.LOW_WATER_CUTOFF: "low-water cutoff",
    Item.LOW_WATER_CUTOFF_SLOW_DRAIN: "low-water cutoff by slow drain",
    Item.FLAME_FAILURE: "flame failure, timed",
    Item.IGNITER: "igniter",
    Item.FIRING_RATE_LOOKED_AT: "firing-rate control looked at",
    Item.FIRING_RATE_BY_TECHNICIAN: "firing-rate control by a technician",
    Item.AIR_INTERLOCK: "air interlock",
    Item.FUEL_PRESSURE_INTERLOCKS: "fuel-pressure interlocks",
    Item.LOW_FIRE_START: "low-fire start",
    Item.FUEL_VALVE_LEAKAGE: "leakage of the fuel valves",
    Item.GAUGES_RECALIBRATED: "gauges recalibrated",
    Item.HIGH_LIMIT: "trip test of the high limit",
    Item.OPERATING_LIMIT: "trip test of the operating limit",
    Item.COMBUSTION: "combustion",
    Item.CONTROLS: "controls",
    Item.SAFETY_VALVE_BY_HAND: "safety valves lifted by hand",
    Item.SAFETY_VALVE_BY_PRESSURE: "safety valves tested by pressure",
}
WHOSE: Final[Mapping[Whose, str]] = {
    Whose.CODE: "the code",
    Whose.JURISDICTION: "the jurisdiction",
    Whose.INSURER: "the insurer",
    Whose.MAKER: "the maker",
    Whose.OWNER: "the owner",
    Whose.DRIFT: "the drift of the control",
}
NEVER_DONE: Final = "now: nobody knows that it was ever done"

KEYS: Final[Mapping[str, str]] = {
    "trip.control": "which control was tested",
    "trip.method": "how it was made to act",
    "trip.gauge": "which reference gauge was used",
    "trip.gauge_leg": "water leg of the reference gauge",
    "trip.set": "pressure at which it shall act",
    "trip.within": "how far from there it may act",
    "trip.rise": "how fast the pressure rose",
    "trip.opened": "whether it opened",
    "trip.held_until_reset": "whether it stayed off until a hand reset it",
    "trip.reading": "a rise up to where it acted, or to the abort pressure",
    "trip.reading.2": "a second reading, for no earlier test tells how well it repeats itself",
    "reference_gauge.accuracy": "class of the reference gauge",
    "reference_gauge.division": "divisions of the reference gauge",
    "reference_gauge.calibrated_on": "a calibration of the reference gauge within twelve months",
    "reference_gauge.expanded_uncertainty": "uncertainty of its calibration",
    "reference_gauge.to": "a reference gauge whose scale reaches",
    "device.works": "whether it did what it is for",
    "device.took": "how long it took",
    "device.at": "the pressure",
    "device.valve": "which safety valve",
    "history.second_test": "a second test of the same setting",
}
"""What a missing key of a test would tell."""
