"""The words of the pressure stack: trade words, a long and a short form each."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from evenfire.delivery.figures.firing_line import Steady
from evenfire.delivery.figures.stack_levels import AbsentKey, Column, LevelKind, Note


@dataclass(frozen=True, slots=True)
class Words:
    """What a level is called: where there is room, where there is little, and where there is hardly any."""

    full: str
    short: str
    least: str


LEVELS: Final[Mapping[LevelKind, Words]] = {
    LevelKind.MAWP: Words("MAWP: never above this", "MAWP", "MAWP"),
    LevelKind.RATED_MAX: Words("downstream rating", "downstream rating", "rating"),
    LevelKind.SAFETY_VALVE: Words("safety valve set", "safety valve set", "valve set"),
    LevelKind.EARLIEST_LIFT: Words("earliest lift of safety valve", "earliest lift", "lift"),
    LevelKind.HIGH_LIMIT: Words("high limit trip", "high limit trip", "high limit"),
    LevelKind.RESEAT: Words("reseat of safety valve", "reseat", "reseat"),
    LevelKind.WISH: Words("wish: nobody wants more", "wish", "wish"),
    LevelKind.CUT_OUT: Words("operating limit cut-out", "cut-out", "cut-out"),
    LevelKind.CUT_IN: Words("operating limit cut-in", "cut-in", "cut-in"),
    LevelKind.LOW_FIRE: Words("low fire, top of firing band", "low fire", "low fire"),
    LevelKind.HIGH_FIRE: Words("high fire, foot of firing band", "high fire", "high fire"),
    LevelKind.NEED: Words("need: users want at least this", "need", "need"),
    LevelKind.LOW_FIRE_HOLD: Words("low-fire hold", "low-fire hold", "hold"),
}

COLUMNS: Final[Mapping[Column, str]] = {
    Column.PLANT: "plant",
    Column.AS_FOUND: "as found",
    Column.PROPOSED: "proposed",
    Column.AS_LEFT: "as left",
}

SHORT_COLUMNS: Final[Mapping[Column, str]] = {
    Column.PLANT: "plant",
    Column.AS_FOUND: "found",
    Column.PROPOSED: "prop.",
    Column.AS_LEFT: "left",
}

STEADY: Final[Mapping[Steady, str]] = {
    Steady.STANDS: "stands",
    Steady.CYCLES: "cycles",
    Steady.TRIPS: "trips",
    Steady.HELD_LOW: "held low",
}

ABSENT: Final[Mapping[AbsentKey, str]] = {
    AbsentKey.WISH: "wish",
    AbsentKey.RATED_MAX: "downstream rating",
    AbsentKey.SAFETY_VALVE: "safety valve",
    AbsentKey.BLOWDOWN: "blowdown of safety valve",
    AbsentKey.NEED: "need",
    AbsentKey.LINE_DROP: "line drop, so need at the boiler",
    AbsentKey.HIGH_LIMIT: "high limit trip",
    AbsentKey.CUT_OUT: "cut-out",
    AbsentKey.CUT_IN: "cut-in",
    AbsentKey.HIGH_FIRE: "high fire",
    AbsentKey.LOW_FIRE: "low fire",
    AbsentKey.LOW_FIRE_HOLD: "low-fire hold",
    AbsentKey.BURNER: "burner",
    AbsentKey.TURNDOWN: "turndown",
    AbsentKey.FIRING_RATE_ACTION: "action of firing-rate control",
    AbsentKey.TOLERANCE_OF_OPERATING_LIMIT: "tolerance of operating limit",
    AbsentKey.TOLERANCE_OF_HIGH_LIMIT: "tolerance of high limit",
    AbsentKey.TOLERANCE_OF_FIRING_RATE: "tolerance of firing-rate control",
    AbsentKey.TOLERANCE_OF_HOLD: "tolerance of low-fire hold",
    AbsentKey.WATER_LEG_OF_OPERATING_LIMIT: "water leg of operating limit",
    AbsentKey.WATER_LEG_OF_HIGH_LIMIT: "water leg of high limit",
    AbsentKey.WATER_LEG_OF_FIRING_RATE: "water leg of firing-rate control",
    AbsentKey.WATER_LEG_OF_HOLD: "water leg of low-fire hold",
}

NOTES: Final[Mapping[Note, str]] = {
    Note.STALE_PROPOSAL: "STALE: the survey has changed since these settings were proposed. Settle again first.",
    Note.AT_THE_BOILER: "All pressures are at the boiler; the water in a sensing line makes its dial show another.",
    Note.BROKEN_SCALE: "The scale is broken where it is marked.",
    Note.FOUND_IN_MANUAL: "Found with the firing rate in manual: until it is in automatic it does not follow its line.",
    Note.FIRING_CAPPED: "Found with the fire held down by hand to {share}.",
    Note.NO_HOLD: "No low-fire hold is listed: in automatic it goes beyond low fire from cold.",
    Note.LEAST_TURNDOWN: "Several fuels: the line is for {fuel}, which turns down least.",
}
