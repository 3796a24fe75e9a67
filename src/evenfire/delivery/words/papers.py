"""What stands on papers: settings sheet, operator card, visit report, due list."""

from typing import Final

from evenfire.delivery.words.cautions import CAUTIONS
from evenfire.judgement.case import SettingsSet
from evenfire.plant.controls import Role

SHEET: Final = "Settings sheet"
CARD: Final = "Operator card"
VISIT: Final = "Visit report"
DUE: Final = "Due list"

STATES: Final = {
    SettingsSet.AS_FOUND: "AS FOUND{when}: A RECORD, NO ADVICE",
    SettingsSet.PROPOSED: "PROPOSED{when}: NOT SET YET",
    SettingsSet.AS_LEFT: "AS LEFT{when}",
}
"""On every page."""
UNFIT: Final = "{state}. DO NOT FIRE IT LIKE THIS"
COUNTERSIGNED_STATE: Final = "{state}. NOT ALL STOP RULES JUDGED"
ALL_CLEAR: Final = "Every stop rule was judged and is clear."
STOP_FOUND: Final = "What stops it stands at the head. The boiler is not to be fired until that is cured."
STOP: Final = "STOP: {what}"
NOT_ALL_JUDGED: Final = "No stop rule is broken, but not every one could be judged; those are named at the head."
UNJUDGED: Final = "NOT JUDGED, and it could stop the boiler: {question} Missing: {missing}."
UNJUDGED_IN_SHORT: Final = "Not judged: {what}"
UNPROVED: Final = "NOT PROVED, and it keeps people safe: {title}. Missing: {missing}."
COUNTERSIGNED: Final = (
    "Countersigned for what was not judged, by name: {name}, licence {licence}; typed when this was printed, not part "
    "of any signed record."
)
COUNTERSIGNED_IN_SHORT: Final = "Countersigned: {name}, {licence}. Typed, not signed."
STALE_BESIDE: Final = "The plant file also holds a proposal for an older survey. It is stale and not shown."
REPLACED: Final = "Some characters could not be printed. \N{REPLACEMENT CHARACTER} stands where one is missing."

REFUSED_STOP: Final = (
    "No {paper} was written: boiler {boiler}, settings {which}, breaks a stop rule: {what} Cure it first{record}."
)
OR_A_RECORD: Final = ", or write a sheet of the settings as found, marked so: --settings as-found"
REFUSED_UNJUDGED: Final = (
    "No {paper} was written: boiler {boiler}, settings {which}: {count} of what decides safety could not be judged: "
    "{what} Find out what is missing (evenfire check tells it), or let somebody answer for it: --countersigned-by "
    '"NAME, LICENCE".'
)
REFUSED_STALE: Final = (
    "{file}: the proposal for boiler {boiler} was made for another survey than this one. No {paper} is written of a "
    "stale proposal. Settle again: evenfire settle {file} --write"
)
REFUSED_EXAMPLES: Final = (
    "{file} still says FILL IN on lines {lines}: what stands there is an example, and no {paper} is written of an "
    "example. Replace each with what you read, and take its mark away."
)
REFUSED_EMPTY: Final = (
    "{file}: no pressure of boiler {boiler}, settings {which}, is known, so there is nothing for a card to tell. "
    "Fill in what the dials show."
)
REFUSED_LONG: Final = (
    "No card was written: what could not be judged does not fit on one page beside what an operator has to know. "
    "Find out what is missing; evenfire check tells it."
)
WRITTEN: Final = "Wrote {file}: {paper}. {state}."

TO_ACT: Final = "Where each control is to act"
ACTS: Final = "Where each control acts"
PROVE_FIRST: Final = "Set it until it acts there on a reference gauge. The dial is only a start: {dial}."
BY_SCALE: Final = "Set it by its scale: {dial}."
IS_SHOWN: Final = "Its dial shows {dial}."
WAS_PROVED: Final = "Proved on a reference gauge; its dial showed {dial}."
WITHIN_PROVED: Final = "within {tolerance}, proved"
WITHIN_DIAL: Final = "within {tolerance}, by dial"
WITHIN_UNKNOWN: Final = "tolerance not surveyed"
POINT_UNKNOWN: Final = "{name}: not known"
NOT_READ: Final = "not read"
LEFT_ELSEWHERE: Final = "as left is not as proposed"

MOVES_FROM: Final = "From the settings {found} to those proposed, one dial at a time, in this order."
NOT_PROVED: Final = "Not shown in motion: {title}. Missing: {missing}."
MISSING_ONLY: Final = "{weight}: {question} Missing: {missing}."
NOT_SIGNED: Final = (
    "NOT SIGNED. This sheet was made from a plant file, not from a signed visit. What is written below by hand is all "
    "the signature there is."
)
NOT_SIGNED_SHORT: Final = "Not signed."
SIGNED_SHORT: Final = "Signed by {signer}, {signed_at}."
SIGNED_SHORT_MARKED: Final = "Signed as {signer}, {signed_at}: {mark}."
CODE_OF_SURVEY: Final = "evenfire {paper}, not signed, settings {which}, survey {survey}"
CODE_OF_RECORD: Final = "evenfire record {record} key {fingerprint}"
CODE_SAYS: Final = "Code for a telephone: {text}"
FROM_MEMORY: Final = "{title} (from memory: check the adopted edition)"

STACK_SAYS: Final = "Pressure stack of {boiler}, {site}: every pressure on one scale, as in the tables of this sheet."
PROOF_SAYS: Final = "{title}: pressure and firing over time. {said}"

CARD_LINES: Final = {
    "valves": ("Safety valves", "open. Keep clear of their discharge."),
    "trip": ("High limit", "stops the burner until a hand resets it."),
    "cut_out": ("Operating limit", "stops the burner."),
    "cut_in": ("Operating limit", "starts it again, by itself."),
    "low_fire": ("Firing rate", "is down at low fire from here up."),
    "high_fire": ("Firing rate", "is at full fire from here down."),
    "hold": ("Low-fire hold", "lets go: below, low fire only."),
}
"""Name, and what happens at the number before it."""
CARD_TWO_POSITION: Final = {
    "low_fire": ("Firing rate", "goes to low fire."),
    "high_fire": ("Firing rate", "goes to high fire."),
}
CARD_NOT_READ: Final = "Not known: {names}."
CARD_DAILY: Final = (
    "Gauge as on other days, below the operating limit. Write it down.",
    "Water stands in the glass and moves a little.",
    "The burner is at low fire before it stops.",
    "Valves dry, nothing bridged, switches on automatic.",
)
CARD_DAILY_ON_OFF: Final = (
    "Gauge as on other days, below the operating limit. Write it down.",
    "Water stands in the glass and moves a little.",
    "It starts no more often than it used to.",
    "Valves dry, nothing bridged, switches on automatic.",
)
CARD_ACTED: Final = (
    "Look: gauge, water glass, flame. Write down, with time.",
    "No water in sight, a valve blew, a leak or a smell of fuel: fuel off, no reset, stay clear.",
    "Call before any reset. Say what you saw.",
)
"""What to do when the high limit has acted, up to the call."""
CARD_RESET: Final = (
    "Gauge above {pressure}, or no cause found: nobody resets.",
    "Cause found, all in order, who you called agrees: reset ONCE, stay, and call again.",
)
CARD_NO_RESET: Final = (
    "No pressure is known below which it may be reset: nobody resets until somebody qualified is there.",
)
"""Instead, where the cut-in is not known."""
CARD_NEVER: Final = ("It acts again: leave it off. Never reset twice, hold a reset in, bridge a limit or turn a dial.",)
CARD_CALL: Final = "Call (name, number)"
CARD_FOOT: Final = "{made_from} {signed}"
_OF_OPERATORS: Final = (0, 3, 6, 7, 10, 11)
CARD_CAUTIONS: Final[tuple[str, ...]] = tuple(CAUTIONS[place] for place in _OF_OPERATORS)
"""Those for people who run the boiler and open nothing."""
ABOUT_THE_HOLD: Final = CAUTIONS[7]
"""Of no meaning where there is no hold; instead:"""
NO_HOLD: Final = "Stay with a boiler that warms up."
NO_HOLD_BY_HAND: Final = "No low-fire hold: keep it at low fire by hand until {pressure}, and stay."
NO_HOLD_UNTIL_STEAM: Final = "No low-fire hold: keep it at low fire by hand until steam comes, and stay."

NAMES_OF_ROLES: Final = {
    Role.HIGH_LIMIT: "High limit",
    Role.OPERATING_LIMIT: "Operating limit",
    Role.FIRING_RATE: "Firing-rate control",
    Role.LOW_FIRE_HOLD: "Low-fire hold",
}
NOTHING_DUE: Final = "Nothing is due."
