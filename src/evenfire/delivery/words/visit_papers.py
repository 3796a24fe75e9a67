"""What stands on the report of a visit, and on the sheet and the card that are made of one."""

from typing import Final

from evenfire.delivery.visits.fields import Service

NOT_SIGNED: Final = "NOT SIGNED: AN OPEN VISIT"
CHANGE_OPEN: Final = "NOT SIGNED, AND A TEMPORARY CHANGE IS OPEN"
GIVEN_UP: Final = "NOT SIGNED: A VISIT THAT WAS GIVEN UP"
SIGNED: Final = "SIGNED VISIT OF {day}"
SIGNED_OUT: Final = "SIGNED VISIT OF {day}: LEFT OUT OF SERVICE"
AND_AMENDED: Final = "{state}. AMENDED"
AND_MARKED: Final = "{state}. {mark}"
SIGNER_UNKNOWN: Final = "SIGNER NOT KNOWN HERE"
KEY_WITHDRAWN: Final = "SIGNED BY A WITHDRAWN KEY"
BARS: Final = "Signing is barred: {bar}"
NOTHING_BARS: Final = "Nothing stands against signing it. Until then it may change."
IS_AMENDED: Final = "AMENDED since it was signed: read the amendments before anything else."
IS_AMENDED_ELSEWHERE: Final = (
    "AMENDED since it was signed. The amendments stand in the visit report; read them before anything else."
)
UNSIGNED: Final = (
    "NOT SIGNED. This report shows an open visit as it stands; more may be entered, and nothing of it is a record yet."
)
UNSIGNED_SHEET: Final = (
    "NOT SIGNED. This sheet was made from a visit that is still open. What is written below by hand is all the "
    "signature there is."
)
SIGNED_SHEET: Final = (
    "Made from a signed visit: settings, readings and tests are those of its record; they were judged anew for this "
    "sheet, by the versions at its foot."
)
LEFT_AND_SIGNED: Final = "{state}, SIGNED"
FROM_AN_OPEN_VISIT: Final = "{state}, VISIT NOT SIGNED"
FROM_RECORD: Final = "Record {record}. {made_from}"
CODE: Final = "evenfire visit {visit}, not signed, survey {survey}"

LEFT: Final = {
    "": "Nobody wrote down yet how the boiler is left.",
    Service.IN_SERVICE.value: "Left in service.",
    Service.OUT_OF_SERVICE.value: "LEFT OUT OF SERVICE.",
}
LOCKED: Final = "Locked out by {by}."
SWITCH: Final = "Firing-rate switch left in {switch}."
NO_SWITCH: Final = "Nobody wrote how the firing-rate switch was left."
NO_BYPASS: Final = "No bypass was seen."
BYPASS: Final = "BYPASS LEFT ON: {what}."
BYPASS_UNTOLD: Final = "NOBODY WROTE WHETHER A BYPASS WAS LEFT ON."
CYCLES: Final = "Full cycles watched after the last move: {count}."
CYCLES_UNTOLD: Final = "Nobody wrote how many full cycles were watched."

CALL: Final = {"reason": "Why", "consent": "Agreed by", "arrived": "Arrived"}
FOUND: Final = {
    "as_found.switch": "Switch found",
    "as_found.manual_cap": "Held down to",
    "as_found.jumpers": "Bypasses found",
    "as_found.unexplained_resets": "Resets, no cause",
}
"""What was read beside the dials, by its field."""
OPENED: Final = "Opened"
OPENED_BY: Final = "{at} UTC by {by}"
SURVEY: Final = "Survey"
SERIALS: Final = {"serial": "serial {text}", "registration": "registration {text}"}
JUDGED_THEN: Final = "Record {record}, judged then by {versions}."
VERSIONS: Final = "evenfire {engine}, rule book {rule_book}, physics {physics}"
WHEN_NOT_TOLD: Final = "time not written down"
WHO_NOT_TOLD: Final = "nobody named"
WHO_AND_WHEN: Final = "{who}, {when}"
STILL_OPEN: Final = "NOT CLOSED"
NOT_SEEN: Final = "NOBODY"
CHANGE_UNTOLD: Final = "what was not written down"

AS_FOUND: Final = "Findings, as found"
AS_LEFT: Final = "Findings, as left"
RULE: Final = "{subject}, rule {code}."
NO_FINDING: Final = "Nothing that was judged is out of order. Judged and in order: {count} rules."
NO_FINDING_AT_ALL: Final = "Nothing could be judged."
QUOTED: Final = "Findings are quoted as they were signed, in the units of the signature."
NOT_LEFT: Final = "The settings as left: no dial was read as left."
NOT_IN_MOTION: Final = "In motion, as left: not every dial was read as left, so that nothing was shown."
UNREADABLE: Final = "{what} of this record cannot be read by this program. It is kept as it was signed."
ASSUMED: Final = "{names}. Each is listed with its reason in the documents of evenfire."

HOLDS: Final = "{watched} ({observed}; limit {limit}; {margin} left)"
FAILS: Final = "it does NOT hold that {watched} ({observed}; limit {limit}; {margin} on the wrong side)"
PLAINLY: Final = "{watched}"
PLAINLY_FAILS: Final = "it does NOT hold that {watched}"
TELLS: Final = "Nothing was demanded of it."

ASKED: Final = "{pressure}, within {band}"
ACCEPTED: Final = "from {lowest} to {highest}, guard bands taken off"
ACCEPTED_FOR_SAFETY: Final = (
    "for safety up to {highest}, guard band taken off; with this gauge and so few repeats no reading shows more"
)
UNCERTAINTY: Final = "{expanded} at 95 % (k = {factor}); standard {standard}. Of it: {parts}."
ON_GAUGE: Final = "On the gauge: {readings}"
BURNER_OFF: Final = "; flame out after {times}"
STOPPED: Final = "; stopped by hand at {at}"
ABORT: Final = "To be broken off at {at} on the gauge."
NO_TRUE_RISE: Final = "NO TRUE RISE was to be made: its abort pressure lies {short} too low."
AT_LOW_FIRE: Final = {"yes": "burner held at low fire", "no": "burner NOT held at low fire", "": ""}
AT_THE_STOP: Final = "{who} at the stop"
CERTIFICATE: Final = "{gauge}, certificate {certificate}"
NO_CERTIFICATE: Final = "{gauge}, no certificate on record"
DIAL: Final = "its dial showed {dial}"
HELD: Final = {"yes": "Stayed off until a hand reset it", "no": "DID NOT STAY OFF until a hand reset it"}
EARLY: Final = {
    "yes": "A RESET BEFORE THE PRESSURE HAD FALLEN STARTED IT",
    "no": "a reset before the pressure had fallen was refused",
}
RESTARTED: Final = "Started again by itself at {at}"
ALSO: Final = "Also {verdict}: {what} {do}"
CONTROL_UNTOLD: Final = "Control not written down"
TEST: Final = "Test {row}: {control}"
WORKED: Final = {
    "yes": "did what it is for",
    "no": "DID NOT DO what it is for",
    "": "whether it worked: not written down",
}
DEVICE_UNTOLD: Final = "Device not written down"
PHOTO_LOST: Final = "This photograph is not in the store."
PHOTO_UNREADABLE: Final = "This photograph cannot be shown: {why}."
PHOTO_UNTOLD: Final = "Nobody wrote what it shows."
AMENDED_BY: Final = "{name}, {licence}, {at}. Key {fingerprint}{standing}"
NO_LICENCE: Final = "no licence on record"
STANDING: Final = ": {label}"
ANOTHER_AMENDMENT: Final = "To the amendment {record}: {text}"
SIGNER: Final = "Signature: {label}. {what} {do}"
DOES_NOT_VERIFY: Final = (
    "No paper was written: record {record} DOES NOT VERIFY, for its content, its id and its signature do not belong "
    "together. See what is wrong: evenfire verify --store PLACE."
)
REFUSED: Final = "No {paper} was written of boiler {boiler}: {what} Nobody is told to run a boiler like this.{record}"
OR_A_RECORD: Final = " A sheet of the settings as found may be written, marked as a record: --settings as-found"
NO_PROPOSAL_LEFT: Final = (
    "This visit is signed, and what was proposed on it is past: ask for --settings as-left, or as-found."
)
NO_SURVEY: Final = (
    "The survey of this visit is not in this store as it was signed, so that nothing can be made of its settings. Take "
    "in the records of this boiler once more: evenfire store import FILE; evenfire visit report needs no survey."
)
NO_SETTINGS: Final = (
    "What was typed on this visit cannot be read by this program, so that nothing can be made of its settings. The "
    "report shows what was signed: evenfire visit report."
)
DIFFERS: Final = "Judged otherwise now than when it was signed (by {then}): {what}."
DIFFERENCE: Final = "{what} Then {then}, now {now}"
NOT_ASKED: Final = "not asked"
OTHER_AIM: Final = (
    "TESTED AGAINST ANOTHER AIM than the control is to act at: what it was tested for is not what was asked of it."
)
TAKEN_BACK: Final = "(empty)"

TABLES: Final = {
    "as_found": "as found",
    "proposed": "proposed",
    "as_left": "as left",
    "call": "call",
    "temporary": "temporary change",
    "trip": "trip test",
    "device": "device test",
    "move": "move",
    "photo": "photograph",
    "note": "note",
}
"""Of a field on the sheet of a visit, as people say it."""
FIELDS: Final = {
    "operating_limit": "operating limit",
    "operating_limit_differential": "differential of the operating limit",
    "high_limit": "high limit",
    "firing_rate": "firing-rate control",
    "firing_rate_differential": "range of the firing-rate control",
    "low_fire_hold": "low-fire hold",
    "switch": "firing-rate switch",
    "manual_cap": "held down to",
    "jumpers": "bypasses",
    "unexplained_resets": "resets without a cause",
    "cycles_seen": "full cycles watched",
    "service": "how it was left",
    "locked_out_by": "who locked it out",
    "reason": "why",
    "consent": "who agreed for the plant",
    "arrived": "day and time of arrival",
    "given_up": "why it was given up",
    "what": "what was changed",
    "opened_by": "who made it",
    "opened_at": "when it was made",
    "closed_by": "who put it back",
    "closed_at": "when it was put back",
    "verified_by": "who saw it back",
    "set": "pressure it shall act at",
    "within": "how far from there it may act",
    "gauge": "reference gauge",
    "gauge_leg": "water leg of the gauge",
    "gauge_hangs": "where the gauge hangs",
    "gauge_leg_is": "whether that leg is full",
    "rise": "rise in ten seconds",
    "at_low_fire": "burner held at low fire",
    "at_the_stop": "who stood at the stop",
    "opened": "whether it opened",
    "stopped_by_hand": "gauge when stopped by hand",
    "early_reset_took": "whether an early reset took",
    "held_until_reset": "whether it stayed off until reset",
    "restarted_at": "gauge at the restart",
    "burner_off": "time until the flame was out",
    "kind": "which device",
    "valve": "which safety valve",
    "works": "whether it worked",
    "took": "how long it took",
    "at": "pressure",
    "done_at": "when it was done",
    "done_by": "who did it",
    "shows": "what it shows",
    "hash": "file",
    "proved": "controls to be proved on a gauge",
}
"""The same; what is not here is called as on the sheet."""
NAMED_ALONE: Final = frozenset(
    {
        "operating_limit",
        "operating_limit_differential",
        "high_limit",
        "firing_rate",
        "firing_rate_differential",
        "low_fire_hold",
    }
)
"""Fields that a flag names without their table."""
