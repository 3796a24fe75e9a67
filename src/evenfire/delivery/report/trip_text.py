"""Trip tests and tests of other devices as text: told beforehand, and how they came out."""

from collections.abc import Iterator

from evenfire.delivery.report.page import Page
from evenfire.delivery.visit_answers import JudgedDevice, JudgedTrip, WantedTrip
from evenfire.delivery.words import PARTS
from evenfire.judgement.outcome import PART_OF_ROLE
from evenfire.judgement.trip_test.abort import Abort, AbortAnswer, MustNotBeMade
from evenfire.plant.known import Missing
from evenfire.si import Dimension, Quantity


def trip_text(trip: JudgedTrip, page: Page) -> str:
    """One trip test: the verdict, the number, what to do."""
    result = trip.result
    return page.labelled(f"{trip.entry.row}", f"{result.verdict.value}: {', '.join(result.missing)}")


def device_text(device: JudgedDevice, page: Page) -> str:
    """One test of another safety device."""
    verdict = "not judged" if device.result is None else device.result.verdict.value
    return page.labelled(f"{device.entry.row}", f"{device.entry.kind}: {verdict}")


def wanted_text(wanted: WantedTrip, page: Page) -> Iterator[str]:
    """A test that is to be made: where it shall act, on which gauge, where it is broken off."""
    name = PARTS[PART_OF_ROLE[wanted.role]]
    acts = page.show(Quantity(wanted.set_pressure, Dimension.GAUGE_PRESSURE))
    within = page.show(Quantity(wanted.band, Dimension.PRESSURE_DIFFERENCE))
    yield f"{name}: shall act at {acts}, to within {within}."
    for serial, abort in wanted.aborts:
        yield f"On gauge {serial}: {_abort(abort, page)}"


def _abort(abort: AbortAnswer, page: Page) -> str:
    match abort:
        case Abort(on_gauge=on_gauge):
            shown = page.show(Quantity(on_gauge, Dimension.GAUGE_PRESSURE))
            return f"STOP BY HAND AT {shown} if it has not acted."
        case MustNotBeMade(short_by=short_by):
            short = page.show(Quantity(short_by, Dimension.PRESSURE_DIFFERENCE))
            return f"NO TRUE RISE: a safety valve could lift first, {short} too early."
        case Missing(keys=keys):
            return f"where to break it off is not known; wanted: {', '.join(keys)}."
