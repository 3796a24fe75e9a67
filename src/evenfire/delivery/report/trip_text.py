"""Trip tests and tests of other devices as text: told beforehand, and how they came out."""

from collections.abc import Iterator

from evenfire.delivery.report.page import Page
from evenfire.delivery.visit_answers import JudgedDevice, JudgedTrip, WantedTrip
from evenfire.delivery.words import PARTS
from evenfire.delivery.words.trip_test_saying import (
    say_abort,
    say_budget,
    say_device,
    say_gauge,
    say_trip,
    say_which_gauge,
)
from evenfire.delivery.words.trip_tests import CAUTIONS as CAUTIONS_BESIDE
from evenfire.delivery.words.trip_tests import METHODS, NO_PASS, OTHER_AIM, VERDICT_NAMES
from evenfire.judgement.outcome import PART_OF_ROLE
from evenfire.judgement.trip_test.abort import DoNotConnect, MustNotBeMade
from evenfire.judgement.trip_test.trip import Method
from evenfire.si import Dimension, Quantity

REPEATS = 3


def trip_text(trip: JudgedTrip, page: Page) -> str:
    """One trip test: the verdict, the number, what to do."""
    return _rows_text(trip_rows(trip, page), page)


def trip_rows(trip: JudgedTrip, page: Page) -> list[tuple[str, str]]:
    """The rows of that: a word in the margin, and a sentence; the first is the verdict."""
    result, entry = trip.result, trip.entry
    said = say_trip(trip.test, result, page.show)
    name = "which control was not written down" if entry.control is None else PARTS[PART_OF_ROLE[entry.control]]
    how = "" if entry.method is None else f", {METHODS[entry.method]}"
    is_no_pass = trip.is_other_aim and result.verdict.is_safe
    called = NO_PASS if is_no_pass else VERDICT_NAMES[result.verdict]
    head = f"{name}{how}: {called}. {said.what}"
    do = OTHER_AIM if is_no_pass else said.do
    rows = [(f"test {entry.row}", f"{head[0].upper()}{head[1:]}")]
    rows += [(label, text) for label, text in (("why", said.why), ("do", do)) if text]
    for verdict in result.also:
        also = say_trip(trip.test, result, page.show, verdict)
        rows.append(("also", f"{VERDICT_NAMES[verdict]}. {also.what} {also.do}"))
    if isinstance(trip.abort, MustNotBeMade | DoNotConnect) and entry.method is Method.TRUE_RISE:
        rows.append(("CAUTION", " ".join(say_abort(trip.abort, page.show))))
    if result.differential is not None:
        read = page.show(Quantity(result.differential, Dimension.PRESSURE_DIFFERENCE))
        rows.append(("differential", f"The burner started again {read} below where it acted."))
    rows += [("note", CAUTIONS_BESIDE[each]) for each in result.cautions]
    budget = say_budget(result, page.show)
    return [*rows, ("from", budget)] if budget else rows


def device_text(device: JudgedDevice, page: Page) -> str:
    """One test of another safety device."""
    return _rows_text(device_rows(device, page), page)


def device_rows(device: JudgedDevice, page: Page) -> list[tuple[str, str]]:
    """The rows of that: a word in the margin, and a sentence; the first is the verdict."""
    if device.result is None:
        return [(f"test {device.entry.row}", "Which device was not written down: it shows nothing.")]
    said = say_device(device.result, page.show)
    rows = [(f"test {device.entry.row}", said.what)]
    return rows + [(label, text) for label, text in (("why", said.why), ("do", said.do)) if text]


def _rows_text(rows: list[tuple[str, str]], page: Page) -> str:
    return "\n".join(page.labelled(label, text) for label, text in rows)


def wanted_text(wanted: WantedTrip, page: Page) -> Iterator[str]:
    """A test that is to be made: where it shall act, which gauge can decide it, where it is broken off."""
    name = PARTS[PART_OF_ROLE[wanted.role]]
    acts = page.show(Quantity(wanted.set_pressure, Dimension.GAUGE_PRESSURE))
    within = page.show(Quantity(wanted.band, Dimension.PRESSURE_DIFFERENCE))
    which = " ".join(say_which_gauge(wanted.plan, REPEATS, page.show))
    yield f"{name[0].upper()}{name[1:]}: shall act at {acts}, to within {within}. {which}"
    aborts = dict(wanted.aborts)
    for plan in wanted.plan.gauges:
        abort = aborts[plan.gauge.serial]
        if plan.ends_too_low:
            yield say_gauge(plan, REPEATS, page.show)
            continue
        told = say_abort(abort, page.show)
        yield f"{say_gauge(plan, REPEATS, page.show)} {' '.join(told)}"
