"""What moves while a boiler runs, complete: a run goes on from a state exactly as if it had never stopped."""

from evenfire.physics.motion.model import Controls
from evenfire.physics.motion.records import Record


class Contents(Record):
    """Water, steam, metal and the heat that is on its way to them."""

    mass: float
    """Water and steam [kg]"""
    energy: float
    """Of water, steam, metal and what is on its way [J]"""
    on_the_way: float
    """Heat in gas, brick and tubes that the water will get even if the flame goes out [J]"""
    pressure: float
    """At which the water boils; closed, that of the boiler [Pa abs]"""
    is_vented: bool
    """Air stands above the water, at the pressure of the room"""


class Sensed(Record):
    """Boiler pressure as each control has it by now."""

    operating_limit: float
    """[Pa abs]"""
    high_limit: float
    """[Pa abs]"""
    firing_rate: float
    """[Pa abs]"""
    low_fire_hold: float
    """[Pa abs]"""


class Contacts(Record):
    """Every switch and valve."""

    operating_limit_open: bool
    high_limit_open: bool
    holds: bool
    """The low-fire hold keeps low fire"""
    locked_out: bool
    water_low: bool
    pump_runs: bool
    region: int
    """Of the firing-rate control"""
    lifted: int
    """One bit for each safety valve"""


class Flame(Record):
    """Where the burner is in its work."""

    phase: int
    until: float
    """End of the phase [s]; infinite where it has no clock"""
    off_since: float
    """[s]"""
    position: float
    """Of the drive, 0 low fire, 1 high fire [1]"""
    stopped_by: int


class Broken(Record):
    """What is broken at this moment."""

    operating_limit_welded: bool
    high_limit_welded: bool
    hold_bypassed: bool
    drive_stuck: bool
    drive_runs_to_full: bool
    damper_stuck: bool
    feed_stopped: bool
    power_off: bool
    water_low: bool
    flame_lost: bool
    load_gone: bool


class Totals(Record):
    """What has crossed the boundary since the start, summed by another rule than the states."""

    heat: float
    """From the burner, and given beside it [J]"""
    steam: float
    """Drawn [kg]"""
    relieved: float
    """Through safety valves [kg]"""
    feed: float
    """[kg]"""
    steam_energy: float
    """With all steam that left [J]"""
    lost: float
    """From the shell [J]"""
    purged: float
    """With purge air [J]"""


class Extremes(Record):
    """The highest and the lowest pressure so far."""

    highest: float
    """[Pa abs]"""
    highest_at: float
    """[s]"""
    lowest: float
    """[Pa abs]"""
    lowest_at: float
    """[s]"""


class State(Record):
    """A boiler at one moment."""

    time: float
    """Since the start of the run [s]"""
    step: float
    """The loop will try next [s]; nought before the first"""
    contents: Contents
    sensed: Sensed
    contacts: Contacts
    flame: Flame
    broken: Broken
    acting: Controls
    """Where the controls act now, drifted as they may be"""
    totals: Totals
    extremes: Extremes
    slope: float
    """Of the boiler's pressure where the last step ended [Pa/s]"""
    rows: int
    """Of the trace that are written"""
