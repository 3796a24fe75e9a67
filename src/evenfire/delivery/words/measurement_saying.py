"""What is said of a margin, of the values that move it and of the measurement that would make it surer."""

from collections.abc import Iterator
from math import ceil
from typing import Final

from evenfire.delivery.units import Rounding, UnitSystem, show_signed
from evenfire.delivery.words import measurements as words
from evenfire.delivery.words.demands import DEMANDS
from evenfire.delivery.words.entry import Show
from evenfire.delivery.words.measurements import MeasurementWords
from evenfire.delivery.words.names import PARTS, name_of_key
from evenfire.judgement.case import Case
from evenfire.judgement.outcome import PART_OF_ROLE
from evenfire.judgement.tolerance.measurements import Measurement
from evenfire.judgement.tolerance.reading_run_on import reading_of_run_on
from evenfire.judgement.tolerance.sensitivity import Help, MarginPulls, MotionPull, Stake
from evenfire.plant.controls import Role
from evenfire.plant.known import Missing, Origin
from evenfire.si import Dimension, Quantity

NOISE: Final = 1e-6
"""Of a factor that is a whole hundredth [1]."""


def name_of_measurement(help_: Help) -> str:
    """What is measured, its control named."""
    return _entry(help_).name.format_map(_places(help_))


def what_to_measure(help_: Help, case: Case, show: Show) -> MeasurementWords:
    """The measurement as an instruction, its control named and its pressure given."""
    entry, places = _entry(help_), {**_places(help_), **_reading(case, show)}
    return MeasurementWords(
        name=entry.name.format_map(places), do=entry.do.format_map(places), write=entry.write.format_map(places)
    )


def say_why(help_: Help, margin: MarginPulls, show: Show) -> str:
    """Why of all measurements this one."""
    return words.WHY.format(
        stake=words.SAFETY_IS_SHORT if _is_unsafe_for_sure(margin) else words.STAKES[margin.stake],
        demand=DEMANDS[margin.code],
        room=say_room(margin, show),
        before=_size(help_.before, show),
        after=_size(help_.after, show),
    )


def say_margin(margin: MarginPulls, show: Show) -> str:
    """A margin and how sure it is."""
    text = words.MARGIN if margin.pulls else words.FIRM
    return text.format(demand=DEMANDS[margin.code], room=say_room(margin, show), doubt=_size(margin.doubt, show))


def say_room(margin: MarginPulls, show: Show) -> str:
    """Room, or by how much it is short; neither looks better than it is."""
    size = Quantity(abs(margin.room), Dimension.PRESSURE_DIFFERENCE)
    if margin.room < 0.0:
        return words.SHORT_BY.format(short=show(size, rounding=Rounding.UP))
    return words.ROOM.format(room=show(size, rounding=Rounding.DOWN))


def say_pulls(margin: MarginPulls, most: int, system: UnitSystem, show: Show) -> Iterator[str]:
    """The values that move it most."""
    for place, pull in enumerate(margin.pulls[:most]):
        told = _pull(pull, system, show)
        yield f"{words.PULLS.format(first=told)}." if place == 0 else f"Then {told}."


def say_help(help_: Help, show: Show) -> str:
    """What the best measurement does for a margin."""
    return words.HELP.format(name=name_of_measurement(help_), after=_size(help_.after, show))


def stands(margin: MarginPulls) -> str:
    """One word for the side of a page."""
    return words.SHORT if _is_unsafe_for_sure(margin) else words.STANDS[margin.stake]


def say_briefly(margin: MarginPulls, show: Show) -> str:
    """A margin that holds, and what moves it most."""
    told = say_margin(margin, show)
    if margin.deciding is None:
        return told
    return words.ITEM.format(margin=told, key=name_of_key(margin.deciding.key))


def _is_unsafe_for_sure(margin: MarginPulls) -> bool:
    return margin.stake is Stake.SAFETY and margin.is_short_for_sure


def _pull(pull: MotionPull, system: UnitSystem, show: Show) -> str:
    return words.PULL.format(
        key=name_of_key(pull.key),
        origin=", assumed" if pull.origin is Origin.ASSUMED else "",
        doubt=show(pull.doubt),
        higher=_change(pull.higher, system),
        lower=_change(pull.lower, system),
    )


def _change(change: float, system: UnitSystem) -> str:
    return show_signed(Quantity(change, Dimension.PRESSURE_DIFFERENCE), system)


def _size(size: float, show: Show) -> str:
    return show(Quantity(size, Dimension.PRESSURE_DIFFERENCE), rounding=Rounding.UP)


def _control(help_: Help) -> Role | None:
    """The control that is measured, where it is one."""
    if help_.term is not None or not help_.keys or not help_.keys[0].startswith("controls."):
        return None
    return Role(help_.keys[0].split(".")[1])


def _entry(help_: Help) -> MeasurementWords:
    if help_.measurement is Measurement.TRIP_POINT and _control(help_) is Role.HIGH_LIMIT:
        return words.OF_HIGH_LIMIT
    entry = words.MEASUREMENTS[help_.measurement]
    return entry if help_.term is None else words.OF_TERM.get(help_.term, entry)


def _places(help_: Help) -> dict[str, str]:
    role = _control(help_)
    return {"control": "" if role is None else PARTS[PART_OF_ROLE[role]], "role": "" if role is None else role.value}


def _reading(case: Case, show: Show) -> dict[str, str]:
    """Where a run-on from full fire is read, and how much more it is at the trip; rounded to the careful side."""
    reading = reading_of_run_on(case)
    if isinstance(reading, Missing):
        return {"at": words.WELL_BELOW, "factor": words.AT_MOST_SO_MUCH_MORE}
    at = show(Quantity(reading.at, Dimension.GAUGE_PRESSURE), rounding=Rounding.UP)
    return {"at": at, "factor": f"{ceil(100.0 * reading.factor - NOISE) / 100.0:.2f}"}
