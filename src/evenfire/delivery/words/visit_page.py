"""Short labels of the fields of a visit, and what its page says beside them."""

from typing import Final

from evenfire.delivery.words.visits import asked

LABELS: Final = {
    "call.reason": "Called for",
    "call.consent": "Tests agreed by",
    "call.arrived": "Arrived",
    "call.given_up": "Given up, because",
    "operating_limit": "Operating limit",
    "operating_limit_differential": "Its differential",
    "high_limit": "High limit",
    "firing_rate": "Firing-rate control",
    "firing_rate_differential": "Its throttling range",
    "low_fire_hold": "Low-fire hold",
    "switch": "Firing-rate switch",
    "as_found.manual_cap": "Firing held down by hand",
    "jumpers": "Bypasses",
    "as_found.unexplained_resets": "Unexplained resets",
    "as_left.cycles_seen": "Cycles watched",
    "as_left.service": "The boiler is left",
    "as_left.locked_out_by": "Locked out by",
    "temporary.what": "What is changed",
    "temporary.reason": "Why",
    "temporary.opened_by": "Changed by",
    "temporary.opened_at": "Changed at",
    "temporary.closed_by": "Put back by",
    "temporary.closed_at": "Put back at",
    "temporary.verified_by": "Seen to be back by",
    "trip.control": "Control",
    "trip.method": "Made to act by",
    "trip.gauge": "Reference gauge",
    "trip.dial": "Its dial",
    "trip.gauge_leg": "Water leg of the gauge",
    "trip.gauge_hangs": "The gauge hangs",
    "trip.gauge_leg_is": "That leg is",
    "trip.set": "Shall act at",
    "trip.within": "To within",
    "trip.rise": "Rise in the last ten seconds",
    "trip.at_low_fire": "Held at low fire",
    "trip.at_the_stop": "At the stop stands",
    "trip.reading": "Gauge when it acted",
    "trip.burner_off": "Until the flame was out",
    "trip.opened": "It opened",
    "trip.stopped_by_hand": "Gauge when stopped by hand",
    "trip.early_reset_took": "An early reset started it",
    "trip.held_until_reset": "Stayed off until reset",
    "trip.restarted_at": "Gauge when it started again",
    "trip.note": "Note",
    "device.kind": "Device",
    "device.valve": "Safety valve",
    "device.works": "It works",
    "device.took": "It took",
    "device.at": "At a pressure of",
    "device.note": "Note",
    "move.done_at": "Dial stood at",
    "move.done_by": "Turned by",
    "photo.shows": "It shows",
    "note.text": "Note",
}
"""What a field is called beside its box."""
SAID_BY_LABEL: Final = frozenset(
    {
        "operating_limit",
        "operating_limit_differential",
        "high_limit",
        "firing_rate",
        "firing_rate_differential",
        "low_fire_hold",
        "temporary.reason",
        "temporary.opened_by",
        "temporary.opened_at",
        "temporary.closed_by",
        "temporary.closed_at",
        "temporary.verified_by",
        "trip.control",
        "trip.gauge",
        "trip.at_the_stop",
        "trip.opened",
        "device.kind",
        "move.done_at",
        "move.done_by",
        "photo.shows",
    }
)
"""Fields of which the label says all that a sheet explains."""
CALLED: Final = {"high_limit": "High limit", "operating_limit": "Operating limit"}
"""Words of a choice that are shown otherwise than they are kept."""

STEPS: Final = {
    "call": "The call",
    "as_found": "As found",
    "temporary": "Temporary changes",
    "trip": "Trip tests",
    "move": "Moves",
    "as_left": "As left",
    "device": "Other devices",
    "photo": "Photographs",
    "note": "Notes",
    "sign": "Sign",
}
"""The steps of a visit, in their order."""
LEADS: Final = {
    "as_found": "Read every dial before anything is touched.",
    "temporary": "No limit is ever bypassed: what is changed is its setting, with somebody at the stop.",
    "as_left": "Read at the dials after the last move, never copied from the proposal.",
}
"""What is said before the fields of a step."""

NO_GAUGE_YET: Final = "Write down the reference gauge: where to break off is told then."
NO_CONTROL_YET: Final = "Which control is tested? Where to break off is told then."
STOP_THERE: Final = "STOP THE BURNER BY HAND when the gauge shows this."
MAKE_NO_RISE: Final = "Make no true rise as it stands; why is told below."
NO_ABORT: Final = "NO TRUE RISE"
NOT_CONNECTED: Final = "DO NOT CONNECT"
TURNED_DOWN: Final = "Its setting is turned down to the pressure: nothing has to rise."
USUAL_CHANGES: Final = ("operating limit set up", "low-fire hold set up")
USUAL_REASONS: Final = ("true rise of the high limit", "warm-up watched")
"""What is written for most temporary changes; a control that is taken out of its circuit is never offered."""


def label_of(table: str, key: str) -> str:
    """What a field is called."""
    return LABELS.get(f"{table}.{key}") or LABELS[key]


def hint_of(table: str, key: str) -> str:
    """What a sheet explains of it, where that says more than its label."""
    return "" if {key, f"{table}.{key}"} & SAID_BY_LABEL else asked(table, key)
