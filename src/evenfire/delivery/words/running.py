"""Wording of a run: what broke, what stopped the burner, what held the pressure, what happened."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from evenfire.delivery.units import show_signed
from evenfire.delivery.units.showing import UnitSystem
from evenfire.judgement.motion.holding import Held
from evenfire.judgement.motion.loading import FaultAt
from evenfire.physics import control_logic
from evenfire.physics.motion.faults import Fault
from evenfire.physics.motion.happenings import Happening
from evenfire.physics.motion.run import Event, Phase
from evenfire.plant.boiler import Boiler
from evenfire.si import Dimension, Quantity

AMOUNT: Final = "AMOUNT"
"""Stands in a form of a fault for a difference of pressure with its sign."""

FAULTS: Final[Mapping[Fault, str]] = {
    Fault.OPERATING_LIMIT_WELDED: "operating limit welded",
    Fault.HIGH_LIMIT_WELDED: "high limit welded",
    Fault.HOLD_BYPASSED: "hold bypassed",
    Fault.DRIVE_STUCK: "drive stuck",
    Fault.DRIVE_STUCK_AT_FULL: "drive stuck at full",
    Fault.DAMPER_STUCK_IN_PURGE: "damper stuck in purge",
    Fault.OPERATING_LIMIT_DRIFTED: f"operating limit drifts {AMOUNT}",
    Fault.HIGH_LIMIT_DRIFTED: f"high limit drifts {AMOUNT}",
    Fault.FIRING_RATE_DRIFTED: f"firing rate drifts {AMOUNT}",
    Fault.HOLD_DRIFTED: f"hold drifts {AMOUNT}",
    Fault.FEED_STOPPED: "feed stopped",
    Fault.POWER_OFF: "power off",
    Fault.LOW_WATER: "low water",
    Fault.FLAME_LOST: "flame lost",
    Fault.LOAD_GONE: "load gone",
}
"""What may break, in the words that a person types."""
DRIFTS: Final = frozenset(fault for fault, words in FAULTS.items() if AMOUNT in words)

STOPS: Final[Mapping[int, str]] = {
    control_logic.LOCKOUT: "a lockout of the burner control",
    control_logic.NO_POWER: "loss of power",
    control_logic.HIGH_LIMIT: "the high limit",
    control_logic.LOW_WATER: "the low-water cutoff",
    control_logic.OPERATING_LIMIT: "the operating limit",
}
"""What stopped the burner."""

STOP_NAMES: Final[Mapping[int, str]] = {
    control_logic.LOCKOUT: "lockout",
    control_logic.NO_POWER: "no power",
    control_logic.HIGH_LIMIT: "high limit",
    control_logic.LOW_WATER: "low water",
    control_logic.OPERATING_LIMIT: "operating limit",
    control_logic.NOTHING: "nothing",
}
"""The same, for programs."""

HELD: Final[Mapping[Held, str]] = {
    Held.FIRING_RATE: "The firing rate alone held the pressure; nothing had to stop the burner for it.",
    Held.OPERATING_LIMIT: "The operating limit held the pressure.",
    Held.HIGH_LIMIT: "THE HIGH LIMIT had to hold the pressure.",
    Held.SAFETY_VALVES: "ONLY THE SAFETY VALVES held the pressure.",
    Held.NOTHING: "NOTHING HELD THE PRESSURE.",
}


@dataclass(frozen=True, slots=True)
class Told:
    """How an event is told; ``{which}`` is what its subject names."""

    words: str
    with_pressure: bool = True
    with_firing: bool = False


HAPPENINGS: Final[Mapping[Happening, Told]] = {
    Happening.BURNER_STOPPED: Told("burner stopped by {which}", with_firing=True),
    Happening.OPERATING_LIMIT_OPENED: Told("operating limit opened"),
    Happening.OPERATING_LIMIT_CLOSED: Told("operating limit closed"),
    Happening.HIGH_LIMIT_OPENED: Told("high limit opened"),
    Happening.HIGH_LIMIT_CLOSED: Told("high limit closed again"),
    Happening.RESET_REFUSED: Told("reset of the high limit refused: pressure had not fallen far enough"),
    Happening.HOLD_TOOK: Told("low-fire hold took hold"),
    Happening.HOLD_LET_GO: Told("low-fire hold let go"),
    Happening.VALVE_LIFTED: Told("safety valve{which} lifted"),
    Happening.VALVE_RESEATED: Told("safety valve{which} closed"),
    Happening.PUMP_STARTED: Told("feed pump started"),
    Happening.PUMP_STOPPED: Told("feed pump stopped"),
    Happening.WATER_LOW: Told("water fell to the low-water cutoff"),
    Happening.WATER_RESTORED: Told("water rose again over the low-water cutoff"),
    Happening.VENT_CLOSED: Told("steam has driven the air out", with_pressure=False),
    Happening.AIR_LET_IN: Told("pressure fell to nought and air came in", with_pressure=False),
    Happening.FAULT_BEGAN: Told("FAULT: {which}"),
    Happening.FAULT_ENDED: Told("fault over: {which}"),
    Happening.LOCKED_OUT: Told("burner control locked out: the flame was lost"),
    Happening.UNLOCKED: Told("lockout of the burner control reset"),
    Happening.LOW_FIRE_REACHED: Told("drive down at low fire"),
    Happening.HIGH_FIRE_REACHED: Told("drive up at full fire"),
    Happening.TURNED_DOWN: Told("pressure turned down"),
    Happening.TURNED_UP: Told("pressure turned up"),
}

PHASES: Final[Mapping[Phase, str]] = {
    Phase.OFF: "burner off",
    Phase.DELAY: "start: delay",
    Phase.DRIVE_OPEN: "start: damper opens for the purge",
    Phase.PREPURGE: "start: purge",
    Phase.DRIVE_BACK: "start: damper comes back",
    Phase.PILOT: "start: pilot",
    Phase.MAIN: "start: main trial",
    Phase.FLAME: "burner lit",
    Phase.LOW_FIRE: "at low fire, not yet released",
    Phase.RELEASED: "released to the firing rate",
    Phase.POSTPURGE: "postpurge",
}

NOBODY_RESET: Final = "nobody reset it"
ONE_BOILER: Final = (
    "SEVERAL BOILERS: this run gives the whole load to this one alone; its neighbours stand still and share nothing."
)
JUMPERS: Final = (
    "JUMPERS WERE SEEN as found ({seen}). The run takes every control as connected; to see the boiler as it was, give "
    'each bypass as a fault, such as --fault "operating limit welded @ 0h".'
)
IN_MANUAL: Final = "Found with the firing rate in manual; the run takes it as in automatic."
CAPPED: Final = "Firing is held down by hand to {share}, as found."
WORST_LOAD: Final = (
    "Nobody stated the load (key load.demand), so it runs at the steady load at which this burner starts most often"
)
QUIET: Final = (
    "A quiet run: no trip of the high limit, no safety valve, no low water, no lockout, no low-fire hold under steam."
)
NOT_QUIET: Final = (
    "NOT A QUIET RUN: what was wrong stands above. There was no trip of the high limit, no safety valve, no low water, "
    "no lockout and no low-fire hold under steam."
)
CANNOT: Final = "NOT JUDGED: a run needs what the survey does not tell. Missing:"
AS_FAR: Final = "What is told below is as far as the run came."


def fault_words(fault: FaultAt, system: UnitSystem) -> str:
    """What breaks, with its amount in the reader's units."""
    amount = show_signed(Quantity(fault.amount, Dimension.PRESSURE_DIFFERENCE), system)
    return FAULTS[fault.fault].replace(AMOUNT, amount)


def happened(event: Event, boiler: Boiler, faults: tuple[FaultAt, ...], system: UnitSystem) -> str:
    """What happened, without its time and pressure."""
    if event.kind is Happening.PHASE_BEGAN:
        return PHASES[Phase(event.subject)]
    return HAPPENINGS[event.kind].words.format(which=_which(event, boiler, faults, system))


def _which(event: Event, boiler: Boiler, faults: tuple[FaultAt, ...], system: UnitSystem) -> str:
    match event.kind:
        case Happening.BURNER_STOPPED:
            return STOPS[event.subject]
        case Happening.FAULT_BEGAN | Happening.FAULT_ENDED:
            return fault_words(faults[event.subject], system)
        case Happening.VALVE_LIFTED | Happening.VALVE_RESEATED:
            name = boiler.safety_valves[event.subject].name
            return f' "{name}"' if name else ""
        case _:
            return ""
