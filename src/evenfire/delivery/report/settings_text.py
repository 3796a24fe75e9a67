"""One set of settings as text: where each control acts, what its dial shows, how it is to be set."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from evenfire.delivery.report.page import Page
from evenfire.delivery.words import PARTS
from evenfire.judgement.case import Case
from evenfire.judgement.outcome import PART_OF_ROLE
from evenfire.plant.controls import Role
from evenfire.plant.known import Missing
from evenfire.plant.settings import DialReading
from evenfire.si import Dimension, Quantity

ORDER: Final = (Role.HIGH_LIMIT, Role.OPERATING_LIMIT, Role.FIRING_RATE, Role.LOW_FIRE_HOLD)
"""From the top of the stack down."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SetControl:
    """One control with where it acts, what its dial shows and how it is set."""

    role: Role
    name: str
    points: tuple[tuple[str, str], ...]
    """What the trade calls each point, and its pressure"""
    points_now: tuple[tuple[str, str], ...]
    """As it was read last"""
    dial: str
    how: str


def controls_text(controls: Sequence[SetControl], page: Page) -> str:
    """Each control in its own block."""
    return "\n".join(_block(each, page) for each in controls)


def set_controls(case: Case, now: Case, page: Page) -> tuple[SetControl, ...]:
    """Each control that is set, from the top of the stack down, beside what its dial shows now."""
    return tuple(
        SetControl(
            role=role,
            name=PARTS[PART_OF_ROLE[role]],
            points=shown_points(case, role, page),
            points_now=shown_points(now, role, page),
            dial=_dial(reading, now, role, page),
            how=_how(case, role, page),
        )
        for role in ORDER
        if (reading := case.settings.of(role)) is not None
    )


def shown_points(case: Case, role: Role, page: Page) -> tuple[tuple[str, str], ...]:
    """The acting points of a control that are known, in the reader's units."""
    return tuple(
        (name, page.show(Quantity(value, Dimension.GAUGE_PRESSURE)))
        for name, value in points_of(case, role)
        if not isinstance(value, Missing)
    )


def points_of(case: Case, role: Role) -> tuple[tuple[str, float | Missing], ...]:
    """The acting points of a control at the boiler [Pa gauge], by what the trade calls them."""
    stack = case.stack
    match role:
        case Role.HIGH_LIMIT:
            return (("trips at", stack.trip),)
        case Role.OPERATING_LIMIT:
            return (("cut-out", stack.cut_out), ("cut-in", stack.cut_in))
        case Role.FIRING_RATE:
            return (("full fire up to", stack.high_fire), ("low fire from", stack.low_fire))
        case Role.LOW_FIRE_HOLD:
            return (("releases at", stack.hold),)


def _block(control: SetControl, page: Page) -> str:
    points = ", ".join(f"{name} {pressure}" for name, pressure in control.points)
    lines = [page.paragraph(line, indent=8) for line in (control.dial, control.how)]
    return "\n".join([page.labelled(f"{control.name}: ", points), *lines])


def _dial(reading: DialReading, now: Case, role: Role, page: Page) -> str:
    was = now.settings.of(role)
    text = f"dial {reading_text(reading, page)}"
    if was is None:
        return text
    if reading_text(was, page) == reading_text(reading, page):
        return f"{text}, as it is"
    return f"{text} ({now.which.value} {reading_text(was, page)})"


def _how(case: Case, role: Role, page: Page) -> str:
    control = case.boiler.controls.of(role)
    proved = role in case.settings.proved
    tolerance = None if control is None else control.tolerance.proved if proved else control.tolerance.dial
    # The tolerance of the setting alone: what is unsure of a water leg is no leave to set it less well.
    near = "" if tolerance is None else f", to within {page.show(Quantity(tolerance, Dimension.PRESSURE_DIFFERENCE))}"
    if proved:
        return f"prove it: set it until it acts at that pressure on a reference gauge{near}; the dial is only a start"
    return f"set by its scale{near}"


def reading_text(reading: DialReading, page: Page) -> str:
    """What a dial shows."""
    main = page.show(Quantity(reading.main, Dimension.GAUGE_PRESSURE))
    if reading.differential is None:
        return main
    return f"{main}, differential {page.show(Quantity(reading.differential, Dimension.PRESSURE_DIFFERENCE))}"
