"""What a visit asks for, field by field, and what stands against signing it."""

from typing import Final

from evenfire.delivery.visits.corrections import Corrected
from evenfire.delivery.visits.standing import Bar, Barred, Flag, Flagged

SHEET_HEAD: Final = (
    "Visit sheet of evenfire. Fill in what you read, between the quotes, with its unit; leave the rest empty.",
    "Enter it as often as you like: only what changed is taken. What was entered stays for ever; a correction",
    "is added to it.",
)

TABLES: Final = {
    "call": "The call",
    "as_found": "As found: read every dial before anything is touched",
    "temporary": "Temporary changes: anything set out of the way for a test, from opening to seen closed",
    "trip": "Trip tests on a reference gauge",
    "move": "Moves: tick each with the time when its dial stands and was read twice",
    "as_left": "As left: read at the dials after the last move, never copied from the proposal",
    "device": "Other safety devices tested on this call",
    "photo": "Photographs: the file beside this sheet, and what it shows",
    "note": "Notes",
}

FIELDS: Final = {
    "call.reason": "Why you were called.",
    "call.consent": "Who agreed for the plant to tests, by name. No test without it.",
    "call.arrived": "Day and time, 2026-11-25 10:42.",
    "call.given_up": "Only when this visit is given up unsigned: why. Empty it, and it goes on.",
    "operating_limit": "Main dial of the operating limit.",
    "operating_limit_differential": "Its differential.",
    "high_limit": "Dial of the high limit.",
    "firing_rate": "Main dial of the firing-rate control.",
    "firing_rate_differential": "Its throttling range.",
    "low_fire_hold": "Dial of the low-fire hold.",
    "switch": "Firing-rate switch on the panel: automatic or manual.",
    "as_found.manual_cap": "Firing held down by hand to at most this share of full fire.",
    "jumpers": 'Bypasses seen; "none" when you looked and saw none.',
    "as_found.unexplained_resets": "Resets of the high limit since the last visit for which no cause was found.",
    "as_left.cycles_seen": "Full cycles watched after the last move; three at least.",
    "as_left.service": 'How the boiler is left: "in service" or "out of service".',
    "as_left.locked_out_by": "Who locked it out, when it is left out of service.",
    "temporary.what": "What was changed: which control, from what to what.",
    "temporary.reason": "Why.",
    "temporary.opened_by": "Who made the change.",
    "temporary.opened_at": "When.",
    "temporary.closed_by": "Who put it back.",
    "temporary.closed_at": "When.",
    "temporary.verified_by": "Who saw that it was back.",
    "trip.control": "high_limit or operating_limit.",
    "trip.method": '"true rise" or "setting turned down"; the latter proves that it works, not where it trips.',
    "trip.gauge": "Serial of the reference gauge.",
    "trip.dial": "What its dial showed when it acted; touched after the test, it is not proved any more.",
    "trip.gauge_leg": "Height of water between the tap and that gauge; 0 in when there is none.",
    "trip.gauge_hangs": "Where the gauge hangs, seen from its tap: below or above.",
    "trip.gauge_leg_is": "That leg: full or unsure.",
    "trip.set": "Pressure at the boiler at which it shall act; left empty, what is told above.",
    "trip.within": "How far from there it may act; left empty, what is told above.",
    "trip.rise": "How far the gauge rose in the ten seconds before it acted.",
    "trip.at_low_fire": "The burner held at low fire by hand: yes or no.",
    "trip.at_the_stop": "Who stood at the stop.",
    "trip.reading": "The reference gauge at the moment it acted, one for each repeat.",
    "trip.burner_off": "From that moment until the flame was out, one for each repeat.",
    "trip.opened": "Whether it opened: yes or no.",
    "trip.stopped_by_hand": "Gauge when the burner was stopped by hand, where it did not act in time.",
    "trip.early_reset_took": "A reset before the pressure had fallen started it: yes or no; empty when not tried.",
    "trip.held_until_reset": "Burner stayed off, after the pressure fell, until a hand reset it: yes or no.",
    "trip.restarted_at": "Operating limit: gauge when the burner started again.",
    "trip.note": "Anything else.",
    "device.kind": "Which device.",
    "device.valve": "Which safety valve, by its name in the survey.",
    "device.works": "It did what it is for: yes or no.",
    "device.took": "How long it took.",
    "device.at": "Pressure at which it acted, or was tested.",
    "device.note": "How it was tested; anything else.",
    "move.words": "The move.",
    "move.done_at": "When the dial stood.",
    "move.done_by": "Who turned it.",
    "photo.file": "Name of the picture file.",
    "photo.shows": "What it shows.",
    "note.text": "",
}


def asked(table: str, key: str) -> str:
    """What the field of a visit asks for."""
    return FIELDS.get(f"{table}.{key}") or FIELDS.get(key, "")


BARS: Final = {
    Bar.TEMPORARY_CHANGE_OPEN: "Temporary change {rows} is open. Put it back, have somebody see it, write both down.",
    Bar.TEMPORARY_CHANGE_TIMES: (
        "Temporary change {rows} was closed before it was opened, by what was written down: {paths}. One of the two is "
        "wrong; write the right one."
    ),
    Bar.TEMPORARY_CHANGE_UNTOLD: "Temporary change {rows} does not say what was changed, why, by whom and when.",
    Bar.LIMIT_FAILED_IN_SERVICE: (
        "Trip test {rows} failed towards danger. The boiler cannot be left in service: lock it out, call the owner, "
        "mend or replace the control, test again. A later test makes it good once its dial is written down, and as "
        "long as the dial is not turned up afterwards."
    ),
    Bar.DEVICE_FAILED_IN_SERVICE: (
        "Device {rows} failed its test. The boiler cannot be left in service: lock it out, call the owner, mend it, "
        "test again."
    ),
    Bar.STOP_FINDING_IN_SERVICE: (
        "The settings as left break what no boiler may be fired with: {codes}. Mend it, or leave it out of service."
    ),
    Bar.UNSAFE_PROOF_IN_SERVICE: (
        "With the settings as left this fails in motion: {codes}. Mend it, or leave the boiler out of service."
    ),
    Bar.JUMPER_IN_SERVICE: "A bypass was left on. Take it off and test what it bridged, or leave it out of service.",
    Bar.JUMPERS_NOT_TOLD: 'Nobody says whether a bypass was left: look, and write "none" or what you saw.',
    Bar.TWO_VALUES: "Two values stand in {paths}. Choose one.",
    Bar.UNREADABLE: "Not understood: {paths}. Write the number with its unit, or one of the words of that field.",
    Bar.MOMENT_UNLIKELY: (
        "Day and time in {paths} cannot be meant: it lies after the moment at which it was typed, or more than 60 days "
        "before this visit was opened. The next tests are counted from it. Write the right one."
    ),
    Bar.NOT_READ_AS_LEFT: "Not read as left: {paths}. Read the dial; never copy it from the proposal.",
    Bar.SERVICE_NOT_TOLD: "Nobody says how the boiler is left: in service, or out of service.",
    Bar.LOCK_NOT_TOLD: "It is left out of service, and nobody says who locked it out.",
    Bar.NO_CONSENT: "Safety devices were tested, and nobody of the plant is named who agreed to it.",
    Bar.GIVEN_UP: "This visit was given up. To go on with it, empty call.given_up on its sheet.",
    Bar.NOBODY_AT_THE_STOP: "Trip test {rows} does not say who stood at the stop.",
}
"""What stands against signing."""

FLAGS: Final = {
    Flag.OUT_OF_SERVICE: "LEFT OUT OF SERVICE.",
    Flag.LIMIT_FAILED: "Trip test {rows} FAILED towards danger, and no later test made it good.",
    Flag.DEVICE_FAILED: "Device {rows} FAILED its test, and no later test made it good.",
    Flag.STOP_FINDING: "The settings as left break what no boiler may be fired with: {codes}.",
    Flag.UNSAFE_PROOF: "With the settings as left this fails in motion, towards danger: {codes}.",
    Flag.JUMPER_LEFT: "A bypass was left on, or nobody looked.",
    Flag.BYPASSED_FOR_A_TEST: (
        "Temporary change {rows} speaks of A BYPASS. No limit is ever bypassed, not for a test either: its setting is "
        "changed, with somebody at the stop. What it bridged has to be shown to work again."
    ),
    Flag.CORRECTED: "Corrected after it was entered: {paths}. What stood there before is told under Corrected.",
    Flag.SEEN_BY_THE_CLOSER: (
        "Temporary change {rows} was seen closed by the same person who closed it: nobody else looked."
    ),
    Flag.NOT_READ_AS_LEFT: "Not read as left: {paths}.",
    Flag.STOP_NOT_JUDGED: "Could not be judged, though no boiler may be fired without it: {codes}.",
    Flag.TRIP_UNDECIDED: "Trip test {rows} did NOT PASS: its high side is undecided, or a valve could lift first.",
    Flag.TRIP_NOT_JUDGED: "Trip test {rows} could not be judged: something was not written down.",
    Flag.DEVICE_NOT_JUDGED: "The test of device {rows} proves nothing: something was not written down, or not done.",
    Flag.FUNCTION_ONLY: "Trip test {rows} shows that the control works, not the pressure at which it acts as left.",
    Flag.TRIPS_LOW: "Trip test {rows} trips low: safe, and a nuisance until it is adjusted.",
    Flag.DIFFERENTIAL_NOT_AS_SET: (
        "In trip test {rows} the burner started again elsewhere than the dial of its differential has it."
    ),
    Flag.DEVICE_ACTS_EARLY: "Device {rows} acts early: safe, and to be mended.",
    Flag.TESTED_FOR_ANOTHER_AIM: (
        "Trip test {rows} was made against another pressure than the control is to act at: no pass."
    ),
    Flag.HIGH_LIMIT_NOT_TESTED: "The high limit was not tested on this visit.",
    Flag.PROVED_IN_PROPOSAL_ONLY: "Proposed as proved on a gauge, not proved: {paths}. It counts as set by its dial.",
    Flag.DIFFERS_FROM_PROPOSED: "Left elsewhere than proposed: {paths}.",
    Flag.NO_PROPOSAL: "Nothing was proposed on this visit.",
    Flag.PROPOSAL_STALE: "The proposal was made for other readings than stand here now.",
    Flag.MOVE_NOT_TICKED: "Not ticked: move {rows}.",
    Flag.FEW_CYCLES: "Fewer than three full cycles were watched after the last move.",
    Flag.SWITCH_NOT_AUTOMATIC: "The firing-rate switch was not written down as left in automatic.",
    Flag.NOT_PROVED: "Could not be proved as left: {codes}.",
    Flag.PROOF_FAILS: "Fails in motion as left: {codes}.",
}
"""What the head of a signed visit says of itself."""


def say_bar(barred: Barred) -> str:
    """What stands against signing, and what to do."""
    return _with_places(BARS[barred.bar], barred)


def say_flag(flagged: Flagged) -> str:
    """What a reader has to be told."""
    return _with_places(FLAGS[flagged.flag], flagged)


def _with_places(text: str, said: Barred | Flagged) -> str:
    return text.format(
        rows=", ".join(str(row) for row in said.rows), paths=", ".join(said.paths), codes=", ".join(said.codes)
    )


DIAL_NAMES: Final = {
    "operating_limit": "operating limit",
    "operating_limit_differential": "its differential",
    "high_limit": "high limit",
    "firing_rate": "firing-rate control",
    "firing_rate_differential": "its range",
    "low_fire_hold": "low-fire hold",
}

GAUGE_NOT_KNOWN: Final = (
    "Test {row} was read on gauge {gauge}, which this store does not know. Add it, with its calibration: evenfire "
    "store gauge {gauge}, evenfire store calibration {gauge}. Or correct the serial number."
)

NEWER_SURVEY: Final = (
    "A NEWER SURVEY of this boiler ({sha256}) was taken since. This visit stands on the one with which it was opened; "
    "to judge by the newer one, open another visit and give this one up (call.given_up on its sheet)."
)
GIVEN_UP: Final = "GIVEN UP: {why}"
JUDGED_ANEW: Final = (
    "Signed as record {record}, and what was signed stands there. Here it is judged anew, with the rules and gauges of "
    "today."
)
ENTERED_SINCE: Final = (
    "Nothing was signed: something was entered since you looked, perhaps on another device: {fields}. Look at it, then "
    "sign."
)
NOTHING_AGAINST: Final = "Nothing stands against signing it."
NOT_PROVED_AT_REST: Final = (
    "NOT PROVED YET: nothing that can be seen at rest stands against signing it. Its settings as left are set in "
    "motion before anybody signs, and that may still forbid it."
)
NOT_EVERY_DIAL_READ: Final = "Not proved yet: not every dial was read as left."
NOT_SET_IN_MOTION: Final = "NOT PROVED YET: the settings as left were not set in motion since something was entered."
NO_DIAL_READ: Final = "No dial was read yet."
DIFFERS: Final = "differs from proposed"
NOTHING_ENTERED: Final = (
    "Nothing was entered: no settings fit, or not all of it holds in motion; what would cure it stands above. Where "
    "the survey changes with it, write that into the plant file and open the visit anew: evenfire visit new PLANT. "
    "Settings of your own may be left all the same: they are judged, and the record says that nobody proposed them."
)

HIGHEST_OUT_OF_THE_WAY: Final = (
    "For a true rise of the high limit set the operating limit up to act at {highest} at most (at the boiler). There "
    "it still stops the burner before a safety valve may lift: {below}, less {off} that it may be off by its dial, "
    "less {run_on} that the pressure runs on from low fire."
)
OUT_OF_THE_WAY_NOT_KNOWN: Final = (
    "How far the operating limit may be set up for a true rise of the high limit is NOT KNOWN: {missing}. Do not set "
    "it up before that is known."
)

KEPT_SINCE: Final = (
    "{path}: something was entered there since this sheet was written, and this sheet changes nothing of it. It "
    "stays: {texts}. To change it write a new sheet: evenfire visit show --sheet FILE."
)


def corrected_in_entering(corrected: Corrected) -> tuple[str, str]:
    """What a sheet changed of what stood: a label and a line; what was taken back is told loudest."""
    if corrected.is_of_jumpers:
        left = f"now {corrected.now!r}" if corrected.now else "now nothing"
        return "BYPASS", (
            f"WITHDRAWN OR CHANGED: {corrected.path} was {corrected.was!r}, {left}. Go and look at it: if this sheet "
            "is an older copy, write it down again."
        )
    if corrected.is_taken_back:
        return "TAKEN BACK ", f"{corrected.path}: was {corrected.was!r}, now nothing. Write it again if it was so."
    return "changed", f"{corrected.path}: {corrected.was!r} -> {corrected.now!r}"


DO_NEXT: Final = {
    "signed": (
        "It is signed. Next, each with -o FILE.pdf: evenfire visit report {id}, evenfire sheet --visit {id}, evenfire "
        "card --visit {id}."
    ),
    "settle": "Next: evenfire visit settle, for settings and the order of the moves.",
    "sign": "Next: evenfire visit sign {id}",
    "enter": "Next: evenfire visit show {id} --sheet FILE, fill in what is missing, evenfire visit enter FILE.",
}
"""What comes next on a visit."""
