"""Trip tests and tests of other devices of a visit as lines of its report, out of the body that is signed."""

from collections.abc import Iterator

from evenfire.delivery.papers.content import DeviceTestLine, TripTestLine
from evenfire.delivery.papers.visit_body import Body, number_of, shown, shown_value, table_of, texts_of
from evenfire.delivery.records.searchable import rows_of, text_of
from evenfire.delivery.report.page import Page
from evenfire.delivery.units import Rounding
from evenfire.delivery.words import PARTS
from evenfire.delivery.words import visit_papers as words
from evenfire.delivery.words.trip_test_saying import TripNumbers, say_after, say_passes, say_verdict
from evenfire.delivery.words.trip_tests import (
    CAUTIONS,
    DEVICE_VERDICTS,
    DEVICES,
    METHODS,
    ORIGINS,
    VERDICT_NAMES,
)
from evenfire.judgement.outcome import PART_OF_ROLE
from evenfire.judgement.trip_test.budget import Origin
from evenfire.judgement.trip_test.devices import Device, DeviceVerdict
from evenfire.judgement.trip_test.trip import Caution, Method, Verdict
from evenfire.plant.controls import Role
from evenfire.si import Dimension, Quantity

_PRESSURE, _DIFFERENCE = Dimension.GAUGE_PRESSURE, Dimension.PRESSURE_DIFFERENCE


def trip_lines(body: Body, page: Page) -> Iterator[TripTestLine]:
    """Every trip test of the visit, in its order."""
    for row in rows_of(body, "trip_tests"):
        try:
            yield _trip(row, Verdict(text_of(row, "verdict")), page)
        except ValueError:
            yield _unreadable_trip(row)


def device_lines(body: Body, page: Page) -> Iterator[DeviceTestLine]:
    """Every test of another device, in its order."""
    for row in rows_of(body, "devices"):
        try:
            yield _device(row, page)
        except ValueError:
            told = words.UNREADABLE.format(what=f"Test {_row(row)}")
            yield DeviceTestLine(
                device=text_of(row, "device"), result=told, limit="", verdict=text_of(row, "verdict"), passed=False
            )


def _trip(row: Body, verdict: Verdict, page: Page) -> TripTestLine:
    numbers = _numbers(row)
    said = say_verdict(verdict, numbers, page.show)
    also = [Verdict(each) for each in texts_of(row, "also")]
    return TripTestLine(
        control=words.TEST.format(row=_row(row), control=_control(row)),
        method=_method(row, page),
        gauge=_gauge(row),
        asked=_asked(row, page),
        readings=_readings(row, page),
        result=shown(row, "trip_pa_gauge", page, _PRESSURE),
        uncertainty=_uncertainty(row, page),
        accepted=_accepted(numbers, page),
        verdict=VERDICT_NAMES[verdict],
        passed=verdict.is_safe,
        reset=_reset(row, page),
        do=said.do,
        note=text_of(row, "note"),
        told=" ".join(each for each in (said.what, said.why) if each),
        beside=(
            *(_also(each, numbers, page) for each in also),
            *((words.OTHER_AIM,) if text_of(row, "other_aim") == "yes" else ()),
            *_abort(row, page),
            *(CAUTIONS[Caution(each)] for each in texts_of(row, "cautions")),
        ),
    )


def _numbers(row: Body) -> TripNumbers:
    """What was signed; between which pressures it passes is what set, band, uncertainty and guard band come to."""
    set_, band = number_of(row, "set_pa_gauge"), number_of(row, "within_pa")
    doubt, guard = number_of(row, "expanded_uncertainty_pa"), number_of(row, "guard_above_pa")
    lower = upper = None
    if set_ is not None and band is not None:
        lower, upper = set_ - band, set_ + band
    highest = upper - guard if upper is not None and guard is not None else None
    # Records of before these were written hold neither.
    most, passes_up_to = number_of(row, "most_pa_gauge"), number_of(row, "passes_up_to_pa_gauge")
    return TripNumbers(
        stopped=number_of(row, "stopped_by_hand_pa_gauge"),
        highest_seen=number_of(row, "highest_seen_pa_gauge"),
        trip=number_of(row, "trip_pa_gauge"),
        lower=lower,
        upper=upper if most is None else most,
        lowest=lower + doubt if lower is not None and doubt is not None else None,
        highest=highest if passes_up_to is None else passes_up_to,
        doubt=doubt,
        below_upper=number_of(row, "probability_below_upper"),
        missing=texts_of(row, "missing"),
    )


def _unreadable_trip(row: Body) -> TripTestLine:
    return TripTestLine(
        control=words.TEST.format(row=_row(row), control=text_of(row, "control") or words.CONTROL_UNTOLD),
        method="",
        gauge="",
        asked="",
        readings="",
        result="",
        uncertainty="",
        accepted="",
        verdict=text_of(row, "verdict"),
        passed=False,
        reset="",
        do="",
        told=words.UNREADABLE.format(what=f"Test {_row(row)}"),
    )


def _row(row: Body) -> str:
    number = row.get("row")
    return str(number) if isinstance(number, int) else "?"


def _control(row: Body) -> str:
    name = text_of(row, "control")
    if not name:
        return words.CONTROL_UNTOLD
    part, serial = PARTS[PART_OF_ROLE[Role(name)]], text_of(row, "serial")
    return f"{part} {serial}" if serial else part


def _method(row: Body, page: Page) -> str:
    method, who = text_of(row, "method"), text_of(row, "at_the_stop")
    dial = shown(row, "dial_pa_gauge", page, _PRESSURE)
    parts = (
        METHODS[Method(method)] if method else "",
        words.AT_LOW_FIRE.get(text_of(row, "at_low_fire"), ""),
        words.AT_THE_STOP.format(who=who) if who else "",
        words.DIAL.format(dial=dial) if dial else "",
    )
    return _sentence("; ".join(each for each in parts if each))


def _gauge(row: Body) -> str:
    gauge, certificate = text_of(row, "gauge"), text_of(row, "certificate")
    if not gauge:
        return ""
    if not certificate:
        return words.NO_CERTIFICATE.format(gauge=gauge)
    return words.CERTIFICATE.format(gauge=gauge, certificate=certificate)


def _asked(row: Body, page: Page) -> str:
    pressure = shown(row, "set_pa_gauge", page, _PRESSURE)
    band = shown(row, "within_pa", page, _DIFFERENCE)
    return words.ASKED.format(pressure=pressure, band=band) if pressure and band else pressure


def _readings(row: Body, page: Page) -> str:
    rows = rows_of(row, "readings")
    read = [text for each in rows if (text := shown(each, "shown_pa_gauge", page, _PRESSURE))]
    times = [f"{value:.1f} s" for each in rows if (value := number_of(each, "burner_off_s")) is not None]
    stopped = shown(row, "stopped_by_hand_pa_gauge", page, _PRESSURE)
    told = words.ON_GAUGE.format(readings=", ".join(read)) if read else ""
    told += words.BURNER_OFF.format(times=", ".join(times)) if times else ""
    told += words.STOPPED.format(at=stopped) if stopped else ""
    return _sentence(told.removeprefix("; "))


def _uncertainty(row: Body, page: Page) -> str:
    expanded = shown(row, "expanded_uncertainty_pa", page, _DIFFERENCE, Rounding.UP)
    factor = number_of(row, "coverage_factor")
    if not expanded or factor is None:
        return ""
    parts = (
        f"{ORIGINS[Origin(text_of(each, 'origin'))]} "
        f"{shown(each, 'standard_uncertainty_pa', page, _DIFFERENCE, Rounding.UP)}"
        for each in rows_of(row, "budget")
    )
    standard = shown(row, "standard_uncertainty_pa", page, _DIFFERENCE, Rounding.UP)
    return words.UNCERTAINTY.format(
        expanded=expanded, factor=f"{factor:.2f}", standard=standard, parts="; ".join(parts)
    )


def _accepted(numbers: TripNumbers, page: Page) -> str:
    lowest = shown_value(numbers.lowest, page, _PRESSURE, Rounding.UP)
    highest = shown_value(numbers.highest, page, _PRESSURE, Rounding.DOWN)
    if numbers.lowest is None or numbers.highest is None:
        return ""
    is_between = number_in_text(lowest) < number_in_text(highest)
    told = words.ACCEPTED if is_between else words.ACCEPTED_FOR_SAFETY
    return told.format(lowest=lowest, highest=highest)


def _reset(row: Body, page: Page) -> str:
    restarted = shown(row, "restarted_at_pa_gauge", page, _PRESSURE)
    parts = (
        words.HELD.get(text_of(row, "held_until_reset"), ""),
        words.EARLY.get(text_of(row, "early_reset_took"), ""),
        words.RESTARTED.format(at=restarted) if restarted else "",
    )
    told = _sentence("; ".join(each for each in parts if each))
    return f"{told}." if told else ""


def _also(verdict: Verdict, numbers: TripNumbers, page: Page) -> str:
    said = say_verdict(verdict, numbers, page.show)
    return words.ALSO.format(verdict=VERDICT_NAMES[verdict], what=said.what, do=said.do)


def _abort(row: Body, page: Page) -> Iterator[str]:
    if text_of(row, "method") != Method.TRUE_RISE.value:
        return
    abort = table_of(row, "abort")
    at = shown(abort, "on_gauge_pa_gauge", page, _PRESSURE, Rounding.DOWN)
    short = shown(abort, "must_not_be_made_short_by_pa", page, _DIFFERENCE, Rounding.UP)
    if at:
        yield words.ABORT.format(at=at)
    if short:
        yield words.NO_TRUE_RISE.format(short=short)


def _device(row: Body, page: Page) -> DeviceTestLine:
    device, valve = text_of(row, "device"), text_of(row, "valve")
    verdict = DeviceVerdict(text_of(row, "verdict") or DeviceVerdict.NOT_JUDGED.value)
    if not device:
        return DeviceTestLine(
            device=words.DEVICE_UNTOLD, result="", limit="", verdict=DEVICE_VERDICTS[verdict], passed=False
        )
    kind, passes = Device(device), table_of(row, "passes")
    lowest = _limit(passes, "lowest")
    limit = say_passes(kind, lowest, _limit(passes, "highest"), page.show)
    name = DEVICES[kind][0]
    took = shown(row, "took_s", page, Dimension.TIME)
    result = (
        words.WORKED.get(text_of(row, "works"), ""),
        f"in {took}" if took else "",
        at and f"at {at}" if (at := shown(row, "at_pa_gauge", page, _PRESSURE)) else "",
    )
    return DeviceTestLine(
        device=_sentence(f"{name} {valve}" if valve else name),
        result=_sentence(", ".join(each for each in result if each)),
        limit=limit,
        verdict=DEVICE_VERDICTS[verdict],
        passed=verdict is DeviceVerdict.PASSED,
        note=text_of(row, "note"),
        do=say_after(verdict, lowest, texts_of(row, "missing"), page.show),
    )


def _limit(passes: Body, name: str) -> Quantity | None:
    for unit, dimension in (("pa_gauge", _PRESSURE), ("s", Dimension.TIME)):
        value = number_of(passes, f"{name}_{unit}")
        if value is not None:
            return Quantity(value, dimension)
    return None


def number_in_text(shown: str) -> float:
    """The number of a pressure as it is shown: what a reader compares."""
    return float(shown.partition(" ")[0].replace(",", ""))


def _sentence(text: str) -> str:
    return f"{text[0].upper()}{text[1:]}" if text else ""
