"""The survey in words: what each field is called, and what is said where one cannot be taken as it stands."""

from typing import Final

GROUPS: Final = {
    "site": "Site",
    "nameplate": "Nameplate",
    "safety_valves": "Safety valves",
    "burner": "Burner",
    "controls": "Controls and dials",
    "as_found": "As found",
    "as_left": "As left",
    "load": "Load",
    "measured": "Measured",
}
"""Parts of a survey, in the order in which somebody walks round a boiler."""

SECTIONS: Final = {
    "site": "Where the plant stands",
    "boiler": "The boiler",
    "boiler.safety_valve": "Safety valve",
    "boiler.burner": "Burner",
    "boiler.burner.start": "Start chain",
    "boiler.gauge": "Pressure gauge",
    "boiler.controls.operating_limit": "Operating limit",
    "boiler.controls.high_limit": "High limit",
    "boiler.controls.firing_rate": "Firing-rate control",
    "boiler.controls.low_fire_hold": "Low-fire hold",
    "boiler.as_found": "Dials and state as found",
    "boiler.as_left": "Dials as left",
    "boiler.measured": "With a watch and a gauge",
    "load": "What the plant wants",
}

ROWS: Final = {
    "boiler.burner": "burner",
    "boiler.safety_valve": "safety valve",
    "boiler.measured.run_on": "run-on",
    "load.demand.steps": "step",
}
"""What one more row of a list is called."""

LABELS: Final = {
    "site.barometer": "Barometer reading",
    "site.fuel_price.price": "Price of the fuel",
    "site.fuel_price.currency": "Currency of that price",
    "site.fuel_price.per": "Energy that the price is for",
    "site.boilers_share_header": "Boilers share one header",
    "kind": "Kind of boiler",
    "mawp": "Maximum allowable working pressure (MAWP)",
    "output": "Output at full fire",
    "electric_input": "Electric input",
    "metal_mass": "Mass of metal",
    "feed": "Feedwater comes in",
    "feed_capacity": "Capacity of the feedwater",
    "level_band": "Band of water level",
    "low_water_cutoff": "Water left at the low-water cutoff",
    "non_return_valve": "Non-return valve to the header",
    "inner_diameter": "Inner diameter of drum or shell",
    "thickness": "Wall of drum or shell",
    "refractory_schedule": "Drying schedule of the refractory",
    "burner.fuel": "Fuel",
    "burner.input": "Input from the nameplate",
    "burner.input_clocked": "Input clocked at the meter",
    "burner.stroke": "Stroke of the actuator",
    "burner.flame_failure": "Flame-failure response",
    "burner.prepurge_air_changes": "Air changes of the prepurge",
    "burner.prepurge_air": "Air flow of the prepurge",
    "burner.starts_at_low_fire": "Low-fire position proved before light-off",
    "start.delay": "Delay before the first movement",
    "start.drive_open": "Damper drives to purge",
    "start.drive_back": "Damper drives back to light-off",
    "start.purge_damper": "Damper during the purge",
    "start.pilot_trial": "Trial for ignition, pilot",
    "start.main_trial": "Trial for ignition, main flame",
    "start.flame_to_low_fire": "Main flame to low fire",
    "start.release_delay": "Low fire to release",
    "start.minimum_off": "Shortest pause",
    "safety_valve.name": "Name or place of the valve",
    "safety_valve.set": "Set pressure",
    "safety_valve.tested_lift": "Lift on the test certificate",
    "safety_valve.capacity": "Relieving capacity",
    "safety_valve.lift_tested_at": "Boiler pressure at the last lift by hand",
    "safety_valve.coefficient": "Coefficient of discharge",
    "gauge.to": "Scale ends at",
    "gauge.division": "Scale division",
    "gauge.calibrated": "Last calibration",
    "differential_scale.from": "Differential scale begins at",
    "differential_scale.to": "Differential scale ends at",
    "differential_scale.division": "Differential scale division",
    "differential_scale.fixed": "Differential, where it cannot be set",
    "scale.from": "Scale begins at",
    "scale.to": "Scale ends at",
    "scale.division": "Scale division",
    "differential_counts": "Differential counts",
    "tolerance.dial": "Tolerance, set by its dial",
    "tolerance.proved": "Tolerance, proved on a reference gauge",
    "water_leg.height": "Water leg, height",
    "water_leg.position": "Water leg, device is",
    "water_leg.filling": "Water leg, line is",
    "senses": "Line tapped at",
    "valve_in_line": "Shutoff valve in the line",
    "own_element": "Element and switch of its own",
    "element_rating": "Rating of the element",
    "reset_differential": "Reset differential",
    "contact": "Kind of contact",
    "serial": "Serial number or tag",
    "action": "How it answers pressure",
    "operating_limit": "Operating limit, main dial",
    "operating_limit_differential": "Operating limit, differential",
    "high_limit": "High limit, dial",
    "firing_rate": "Firing-rate control, main dial",
    "firing_rate_differential": "Firing-rate control, throttling range",
    "low_fire_hold": "Low-fire hold, dial",
    "proved": "Set against a reference gauge",
    "read_on": "Day of the reading",
    "switch": "Firing-rate switch",
    "manual_cap": "Firing held down by hand to",
    "jumpers": "Bypasses seen",
    "unexplained_resets": "Resets without a cause found",
    "load.need": "Lowest pressure needed",
    "load.need_at": "Needed at",
    "load.wish": "Highest pressure wanted",
    "load.rated_max": "Lowest rating downstream",
    "load.line_drop": "Pressure lost in the line",
    "load.may_dip_to": "May dip to",
    "load.may_dip_for": "May dip for",
    "pick_up.size": "Largest pick-up",
    "pick_up.over": "Pick-up within",
    "drop.size": "Largest drop",
    "drop.over": "Drop within",
    "load.draw": "Users draw steam by",
    "demand.shape": "How the load runs",
    "demand.steam": "Steam drawn all the time",
    "demand.hours": "Steam drawn, hour by hour",
    "demand.base": "Base load",
    "demand.batch": "Steam of a batch on top",
    "demand.lasting": "A batch runs for",
    "demand.per_hour": "Batches an hour",
    "demand.file": "File of the recording",
    "steps.for": "Step lasts",
    "steps.steam": "Steam drawn in this step",
    "run_on.rise": "Pressure rose by",
    "run_on.firing": "Firing when it was stopped",
    "run_on.load": "Steam drawn meanwhile",
    "run_on.at": "Gauge at the stop",
    "undershoot.fall": "Fall below cut-in",
    "undershoot.load": "Steam drawn during that fall",
    "measured.contact_to_low_fire": "Contact to heat of low fire",
    "measured.warm_up_rate": "Warm-up rate from cold",
}
"""What a field is called, by the end of its key; where nothing stands here, the key is a word of the trade itself."""


def label_of(key: str) -> str:
    """What the field of a key such as ``boiler.safety_valve.set`` is called."""
    parts = key.split(".")
    for start in range(len(parts)):
        known = LABELS.get(".".join(parts[start:]))
        if known is not None:
            return known
    plain = parts[-1].replace("_", " ")
    return plain[0].upper() + plain[1:]


def section_of(section: str, number: str = "") -> str:
    """What a part of a survey is called, with the number of its row."""
    parts = section.split(".")
    for end in range(len(parts), 0, -1):
        known = SECTIONS.get(".".join(parts[:end]))
        if known is not None:
            return f"{known} {number}".rstrip()
    return section


LEFT_EMPTY: Final = "Assumed when left empty."
NONE_WHERE_LEVEL: Final = "Write none where it is level with its tap."
ONE_A_LINE: Final = "One a line; none when there are none."
HOURS_A_LINE: Final = "One a line, {count} of them."

NOT_A_WORD: Final = "it is none of: {words}"
NOT_YES_NO: Final = "it is neither yes nor no"
NOT_A_DAY: Final = "it is no day; write it such as 2026-11-25"
NOT_A_NUMBER: Final = "it is no plain number such as {example}"
NOT_A_COUNT: Final = "it is no whole number"
NOT_HOW_MANY: Final = "it has {found} lines, and {wanted} are wanted"
IN_LINE: Final = "in line {line} {why}"
TOO_LONG: Final = "it is longer than {most} characters"
TOO_MANY: Final = "it has more than {most} lines"
NOT_ON_ONE_LINE: Final = "it holds signs that cannot be printed on one line"
NOT_POSSIBLE: Final = "it must be {limit}"

NEEDED: Final = "Nothing can be judged without it."
NEEDED_BESIDE: Final = "Needed beside what stands in the same part."
NOT_COUNTED: Final = "Does not count with what stands beside it."
LEFT_OUT: Final = "Left out of the judgement until it is right."
NOT_UNDERSTOOD: Final = "Not understood: {why}"
TWO_VALUES: Final = "Two values stand here. Choose one."

WHERE: Final = "{section}: {label}"

OPEN_TWICE: Final = "{boiler} is in this store already. Open its survey from the list of boilers."
NAMES_WANTED: Final = "Name the site and the boiler: each with 1 to {most} characters that can be printed."
MAY_ONLY_READ: Final = "{name} may read this store and nothing else."
FINISHED: Final = "This survey is finished already. Open a new one."
NO_SURVEY: Final = "{id} is a visit and no survey."
TYPED_SINCE: Final = "Something was typed since you looked: {fields}. Look at it, then take the survey."
NOT_TAKEN: Final = "It cannot be taken as a survey yet. {why}"
NOT_TAKEN_MORE: Final = "{why} And {count} more."
NO_PLANT: Final = "What is typed is no plant yet."
NOT_JUDGED_YET: Final = "Nothing is judged yet: fill in what is asked for first."
JUDGED_IN_PART: Final = "Judged without what cannot be read or stands in two values: that is not an all-clear."
OTHER_BOILER: Final = "Another boiler of the site"
TAKEN_SINCE: Final = (
    "Another survey of this site was taken after this one was begun: {origin}, {at}. What nobody typed here follows "
    "it; what was typed here stands over it."
)
TO_MEND: Final = "{count} to mend"
FILLED: Final = "{filled} of {of} filled in"
ONLY_WITH: Final = "Only with: {shapes}."
SUCH_AS: Final = "Such as {example}."
WAS: Final = "Surveyed: {before}."
NO_ROW: Final = "There is no such row on this survey any more."
NOTHING: Final = "nothing"
NOTHING_TO_DRAW: Final = "Nothing to draw yet: the stack stands here as soon as nameplate and a dial are known."
SURVEYED_FROM: Final = "Surveyed: {origin}, {at}."
TAKES_TOO_MUCH: Final = (
    "it takes more memory or time to read than any plant file",
    "Write a new one with `evenfire new FILE` and fill it in.",
)
OTHER_TEXT: Final = "The file is another one than was shown. Choose it again."
TAKEN: Final = "Taken as the newest survey of this site."
SAME: Final = "It says the very same as the newest survey of this site: nothing was added."
ALL_CLEAR: Final = "{count} rules are clear"
