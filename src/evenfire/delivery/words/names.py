"""Names of parts, terms, routes, weights and keys, as the trade says them."""

from typing import Final

from evenfire.judgement.case import BEYOND_STEAM
from evenfire.judgement.outcome import PART_OF_ROLE, Basis, Part, Route, Severity, Subject, TermName
from evenfire.plant.controls import Role

PARTS: Final = {
    Part.BOILER: "boiler",
    Part.BURNER: "burner",
    Part.SAFETY_VALVE: "safety valve",
    Part.PRESSURE_GAUGE: "pressure gauge",
    Part.OPERATING_LIMIT: "operating limit",
    Part.HIGH_LIMIT: "high limit",
    Part.FIRING_RATE: "firing-rate control",
    Part.LOW_FIRE_HOLD: "low-fire hold",
}
TERMS: Final = {
    TermName.TOLERANCE_OF_OPERATING_LIMIT: "tolerance of the operating limit",
    TermName.TOLERANCE_OF_HIGH_LIMIT: "tolerance of the high limit",
    TermName.TOLERANCE_OF_FIRING_RATE: "tolerance of the firing-rate control",
    TermName.TOLERANCE_OF_HOLD: "tolerance of the low-fire hold",
    TermName.TOLERANCE_OF_VALVE: "lift tolerance of the safety valve",
    TermName.RUN_ON_AT_CUT_OUT: "run-on after cut-out",
    TermName.RUN_ON_AT_FULL_FIRE: "run-on after a trip at full fire",
    TermName.UNDERSHOOT: "fall below cut-in during a restart",
    TermName.OVERSHOOT_OF_DROP: "overshoot when the load drops",
    TermName.FALL_AT_LOAD: "fall below high fire under load",
    TermName.LINE_DROP: "pressure lost in the line",
    TermName.VALVE_GAP: "gap wanted below the safety valve",
}
ROUTES: Final = {
    Route.MEASURED: "measured",
    Route.COMPUTED: "computed",
    Route.ASSUMED: "computed from an assumption",
    Route.SIMULATED: "simulated",
    Route.STATED: "as surveyed",
}
SEVERITIES: Final = {Severity.STOP: "STOP", Severity.WARN: "warn", Severity.ADVISE: "advise"}
SEVERITIES_EXPLAINED: Final = {
    Severity.STOP: "do not fire it like this",
    Severity.WARN: "works until something is at the edge of its tolerance",
    Severity.ADVISE: "good practice",
}
BASES: Final = {
    Basis.PUBLISHED: "published",
    Basis.DERIVED: "arithmetic",
    Basis.COMMON_PRACTICE: "common practice",
    Basis.FROM_MEMORY: "from memory: check the adopted edition",
}
DIALS: Final = {
    (Role.OPERATING_LIMIT, "main"): "operating-limit set point",
    (Role.OPERATING_LIMIT, "differential"): "operating-limit differential",
    (Role.HIGH_LIMIT, "main"): "high-limit set point",
    (Role.FIRING_RATE, "main"): "firing-rate set point",
    (Role.FIRING_RATE, "differential"): "firing-rate differential",
    (Role.LOW_FIRE_HOLD, "main"): "low-fire hold set point",
}

_KEYS: Final = {
    "output": "boiler output",
    "heating_surface": "heating surface",
    "water_volume": "water volume",
    "steam_volume": "steam volume",
    "metal_mass": "mass of metal",
    "feedwater_temperature": "feedwater temperature",
    "standing_loss": "standing loss",
    "vacuum_breaker": "whether air gets in when it cools",
    "feed_capacity": "capacity of the feedwater pump or valve",
    "level_band": "band of water level that the feed keeps",
    "low_water_cutoff": "water level at which the low-water cutoff acts",
    "boiler.wall": "inner diameter and thickness of the drum's or shell's wall",
    "non_return_valve": "whether there is a non-return valve",
    "new_refractory": "whether the refractory is new",
    "refractory_schedule": "supplier's drying schedule for the refractory",
    "measured.warm_up_rate": "measured warm-up rate",
    "measured.run_on": "measured run-on",
    "measured.undershoot": "measured fall below cut-in",
    "measured.contact_to_low_fire": "measured time from contact to low fire",
    "site.boilers_share_header": "whether the boilers share a header",
    "load.need": "lowest pressure that the plant needs",
    "load.wish": "highest pressure wanted",
    "load.rated_max": "lowest rating downstream",
    "load.line_drop": "pressure lost in the line at full load",
    "load.design_drop": "largest drop of load to be followed",
    "load.pick_up": "largest pick-up of load to be stood",
    "load.demand": "the load of the plant over a day",
    "gauge.to": "end of the gauge's scale",
    "gauge.division": "divisions of the gauge",
    "gauge.calibrated": "last calibration of the gauge before the reading",
    "gauge.water_leg": "water leg of the gauge",
    "safety_valve.set": "set pressure of the safety valve",
    "safety_valve.capacity": "stamped capacity of every safety valve",
    "safety_valve.blowdown": "blowdown of every safety valve",
    "safety_valve.orifice_area": "orifice area of the safety valve",
    "safety_valve.coefficient": "certified coefficient of the safety valve",
    "safety_valve.lift": "tested lift of the safety valves",
    "safety_valve.lift_tested_at": "boiler pressure at the last lift by hand",
    "as_found.switch": "firing switch, automatic or manual",
    "as_found.jumpers": "jumpers seen, or an empty list when you looked and saw none",
    "as_found.unexplained_resets": "high-limit resets without a found cause",
    "burner": "the burner",
    "burner.turndown": "turndown",
    "burner.input": "nameplate input of the burner",
    "burner.input_clocked": "input clocked at the fuel meter",
    "burner.efficiency": "efficiency at full fire",
    "burner.heat_lag": "heat lag",
    "burner.stroke": "actuator stroke, low to high fire",
    "burner.flame_failure": "flame-failure response time",
    "burner.prepurge_air_changes": "air changes of the prepurge",
    "burner.prepurge_air": "air flow of the prepurge",
    "burner.starts_at_low_fire": "whether the burner lights at low fire",
    "burner.start": "time of the start chain",
    "load.drop": "largest drop of load to be followed",
    "burner.start.delay": "start delay",
    "burner.start.drive_open": "damper drive to purge",
    "burner.start.prepurge": "prepurge time",
    "burner.start.drive_back": "damper drive to light-off",
    "burner.start.pilot_trial": "timed trial for the pilot",
    "burner.start.main_trial": "timed trial for the main flame",
    "burner.start.flame_to_low_fire": "time from flame to settled low fire",
    "burner.start.minimum_off": "minimum off time",
    "burner.start.postpurge": "postpurge time",
}
_OF_CONTROL: Final = {
    "differential_counts": "how the differential of the {control} counts",
    "tolerance": "tolerance of the {control}",
    "tolerance.dial": "tolerance of the {control} set by its scale",
    "tolerance.proved": "tolerance of the {control} proved at a gauge",
    "scale": "scale of the {control}",
    "lag": "lag of the {control}",
    "water_leg": "water leg of the {control}",
    "senses": "where the {control} is tapped",
    "valve_in_line": "whether a valve stands in the sensing line of the {control}",
    "siphon": "whether the {control} has a siphon",
    "own_element": "whether the {control} has its own element and switch",
    "element_rating": "rating of the sensing element of the {control}",
    "reset": "reset of the {control}, manual or automatic",
    "action": "action of the {control}",
    "gains": "gains of the {control}, which a survey cannot give yet",
}
_BEYOND_STEAM: Final = "nothing that a survey could give: a pressure so low that the steam properties do not reach it"
_SIMULATION: Final = (
    "the band of a controller that works it out itself: that needs a simulation, which is not there yet"
)


def name_of(subject: Subject) -> str:
    """What an outcome speaks of, with the name that the plant file gives it."""
    part = PARTS[subject.part]
    return f'{part} "{printable(subject.name)}"' if subject.name else part


def name_of_key(key: str) -> str:
    """What a missing key would tell, and the key itself; a key without a name is shown as it is."""
    name = _name(key)
    if key in {"simulation", BEYOND_STEAM}:
        return name
    if key.startswith("settings."):
        return f"{name} (key {key.removeprefix('settings.')} in the settings)"
    return f"{name} (key {key})"


def is_named(key: str) -> bool:
    """Whether a key has a name of its own."""
    return _name(key) != key


def printable(text: str) -> str:
    """A text from a plant file without characters that would upset a terminal."""
    return "".join(character if character.isprintable() else "\N{REPLACEMENT CHARACTER}" for character in text)


def _name(key: str) -> str:
    if key == "simulation":
        return _SIMULATION
    if key == BEYOND_STEAM:
        return _BEYOND_STEAM
    table, _, rest = key.partition(".")
    if table == "settings":
        return _name_of_setting(rest, key)
    if table == "controls":
        role, _, field = rest.partition(".")
        return _name_of_control(role, field, key)
    return _KEYS.get(key, key)


def _name_of_setting(field: str, key: str) -> str:
    if field == "read_on":
        return "day on which the settings were read"
    role = field.removesuffix("_differential")
    control = _control(role)
    if control is None:
        return key
    return f"{'setting' if role == field else 'differential'} of the {control}"


def _name_of_control(role: str, field: str, key: str) -> str:
    control = _control(role)
    if control is None:
        return key
    if not field:
        return f"the {control}"
    return _OF_CONTROL[field].format(control=control) if field in _OF_CONTROL else key


def _control(role: str) -> str | None:
    return next((PARTS[part] for each, part in PART_OF_ROLE.items() if each.value == role), None)
