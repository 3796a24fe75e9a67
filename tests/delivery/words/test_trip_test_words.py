"""Wording of trip tests: an entry for everything, everything filled in, short, and nothing unsafe in it."""

from collections.abc import Collection, Iterator
from dataclasses import replace
from datetime import date, timedelta
from enum import Enum
from functools import partial

import pytest

from evenfire.delivery.units import UnitSystem, show
from evenfire.delivery.words import trip_tests as words
from evenfire.delivery.words.trip_test_saying import (
    budget_rows,
    say_abort,
    say_budget,
    say_device,
    say_drift,
    say_due,
    say_gauge,
    say_interval,
    say_trip,
    say_which_gauge,
)
from evenfire.judgement.trip_test.abort import abort_of
from evenfire.judgement.trip_test.budget import Kind, Origin, Shape
from evenfire.judgement.trip_test.devices import Device, DeviceTest, DeviceVerdict, judge_device
from evenfire.judgement.trip_test.drift import Follows, PastTest, drift_of
from evenfire.judgement.trip_test.due import Interval
from evenfire.judgement.trip_test.gauge import InDate
from evenfire.judgement.trip_test.intervals import Item, Whose
from evenfire.judgement.trip_test.judging import judge_trip
from evenfire.judgement.trip_test.planning import Planned, Suits, plan_of
from evenfire.judgement.trip_test.repeatability import Pool, Scatter
from evenfire.judgement.trip_test.trip import Caution, Earlier, Method, TripTest, Verdict
from evenfire.plant.known import Missing
from evenfire.plant.safety_valve import SafetyValve
from tests.judgement.plants_for_rules import HIGH_PRESSURE, REMOVED, case_of, edited
from tests.judgement.trip_test.trips_at_140 import TODAY, gauge, gauge_psi, psi, trip

US = partial(show, system=UnitSystem.US)
SI = partial(show, system=UnitSystem.SI)
LONGEST = 230
EARLIER = Earlier(this_control=(Scatter(sum_of_squares=40 * psi(0.2) ** 2, degrees_of_freedom=40),))

NAMED: list[tuple[type[Enum], Collection[object]]] = [
    (Verdict, words.VERDICTS),
    (Verdict, words.VERDICT_NAMES),
    (Caution, words.CAUTIONS),
    (Method, words.METHODS),
    (Origin, words.ORIGINS),
    (Kind, words.KINDS),
    (Shape, words.SHAPES),
    (Pool, words.POOLS),
    (Suits, words.SUITS),
    (InDate, words.IN_DATE),
    (DeviceVerdict, words.DEVICE_VERDICTS),
    (DeviceVerdict, words.DEVICE_DO),
    (Device, words.DEVICES),
    (Follows, words.FOLLOWS),
    (Item, words.ITEMS),
    (Whose, words.WHOSE),
]


@pytest.mark.parametrize(("kind", "said"), NAMED, ids=lambda each: getattr(each, "__name__", ""))
def test_everything_has_its_words(kind: type[Enum], said: Collection[object]) -> None:
    assert set(said) == set(kind)


MUST_NOT = abort_of(case_of(HIGH_PRESSURE), gauge_psi(150.0), psi(2.0), gauge())
TESTS: dict[Verdict, TripTest] = {
    Verdict.PASSED: trip(140.0, 140.2),
    Verdict.SAFE_MAY_TRIP_LOW: trip(136.2, 136.2),
    Verdict.TRIPS_LOW: trip(130.0, 130.0),
    Verdict.UNDECIDED_HIGH: trip(143.8, 143.8),
    Verdict.TRIPS_HIGH: trip(150.0, 150.0),
    Verdict.DID_NOT_OPEN: replace(trip(), opened=False, stopped_by_hand=gauge_psi(144.0)),
    Verdict.DOES_NOT_LATCH: replace(trip(140.0, 140.0), held_until_reset=False),
    Verdict.FUNCTION_ONLY: replace(trip(100.0), method=Method.TURNED_DOWN),
    Verdict.MUST_NOT_BE_MADE: trip(141.0, 141.0),
    Verdict.NOT_JUDGED: replace(trip(140.0), rate=None, gauge=gauge(water_leg=None)),
}


def sentences() -> Iterator[str]:
    for system in (US, SI):
        for verdict, test in TESTS.items():
            result = judge_trip(test, EARLIER, MUST_NOT if verdict is Verdict.MUST_NOT_BE_MADE else None)
            assert result.verdict is verdict
            said = say_trip(test, result, system)
            yield from (said.what, said.why, said.do)
            yield say_budget(result, system)
        case = case_of(HIGH_PRESSURE)
        for at in (135.0, 143.0, 150.0):
            yield from say_abort(abort_of(case, gauge_psi(at), psi(2.0), gauge()), system)
        yield from say_abort(abort_of(case, gauge_psi(135.0), psi(2.0), gauge(to=30.0)), system)
        unknown = case_of(edited(HIGH_PRESSURE, {"boiler.safety_valve": REMOVED}))
        yield from say_abort(abort_of(unknown, gauge_psi(135.0), psi(2.0), gauge(water_leg=None)), system)
        valve = SafetyValve(name="front", set_pressure=gauge_psi(150.0))
        for device in Device:
            for works in (True, False, None):
                for at in (100.0, 140.0, 150.0):
                    test_of = DeviceTest(device=device, works=works, took=at / 10, at=gauge_psi(at), valve=valve)
                    said = say_device(judge_device(test_of), system)
                    yield from (said.what, said.why, said.do)
            yield from (say_device(judge_device(DeviceTest(device=device)), system).do,)


def test_every_sentence_is_filled_in_and_short() -> None:
    told = list(sentences())
    assert len(told) > 300
    for sentence in told:
        assert "{" not in sentence
        assert "None" not in sentence
        assert "  " not in sentence
        assert len(sentence) <= LONGEST, sentence
        assert not sentence or sentence[-1] == ".", sentence


@pytest.mark.parametrize("verdict", [verdict for verdict in Verdict if verdict.is_unsafe])
def test_an_unsafe_limit_keeps_the_boiler_out_of_service(verdict: Verdict) -> None:
    test = TESTS[verdict]
    assert "out of service" in say_trip(test, judge_trip(test, EARLIER), US).do
    assert words.VERDICT_NAMES[verdict].startswith("FAILED")


@pytest.mark.parametrize(
    "verdict", [Verdict.MUST_NOT_BE_MADE, Verdict.UNDECIDED_HIGH, Verdict.NOT_JUDGED, Verdict.FUNCTION_ONLY]
)
def test_what_was_not_shown_is_never_called_passed(verdict: Verdict) -> None:
    name = words.VERDICT_NAMES[verdict].lower()
    assert "passed" not in name.replace("not passed", "")


def test_a_failed_device_keeps_the_boiler_out_of_service() -> None:
    result = judge_device(DeviceTest(device=Device.FLAME_FAILURE, works=True, took=6.0))
    said = say_device(result, US)
    assert said.what == "flame failure: FAILED (6 s)."
    assert "4 s" in said.why
    assert "out of service" in said.do


def test_the_numbers_of_a_pass_are_told() -> None:
    # Fine gauge, 0.2 psi repeatability: see the judging cases: 140.1 psi, passes from 136.48 to 143.48.
    test = trip(140.0, 140.2, 140.1)
    result = judge_trip(test, EARLIER)
    told = say_trip(test, result, US).what
    assert told.startswith("It acted at 140.1 psi on average, give or take 0.")
    assert "from 136.5 psi to 143.4 psi passes" in told
    assert result.budget is not None
    assert len(budget_rows(result.budget, US)[0]) == len(words.BUDGET_HEAD)


def test_a_gauge_that_would_be_overrun_is_told_first_of_all_not_to_be_connected() -> None:
    short = replace(gauge(to=30.0, serial="G-30"), calibrated_on=None)
    planned = Planned(set_pressure=gauge_psi(121.8), band=psi(2.0), on=TODAY, rate=psi(0.1))
    (plan,) = plan_of(planned, (short,)).gauges
    assert say_gauge(plan, 3, US) == "G-30: DO NOT CONNECT: its scale ends at 30 psi."
    told = say_abort(abort_of(case_of(HIGH_PRESSURE), gauge_psi(121.8), psi(2.0), short), US)
    assert told[0].startswith("DO NOT CONNECT: its scale ends at 30 psi")
    assert "145.5 psi" in told[0], "there the valves lift: 150 psi less 3 % (VSH)"


def test_the_abort_pressure_is_the_loudest_word() -> None:
    told = say_abort(abort_of(case_of(HIGH_PRESSURE), gauge_psi(135.0), psi(2.0), gauge()), US)
    assert told[0] == ("STOP THE BURNER BY HAND when the gauge shows 137 psi and it has not acted: it has failed then.")
    none = say_abort(abort_of(case_of(HIGH_PRESSURE), gauge_psi(150.0), psi(2.0), gauge()), US)
    assert none[0].startswith("NO TRUE RISE")


def test_which_gauge_to_take_is_said_before_the_test() -> None:
    planned = Planned(set_pressure=gauge_psi(140.0), band=psi(4.0), on=TODAY, rate=psi(0.1))
    coarse, fine = gauge(3.0, 5.0, 0.5, serial="C-1"), gauge(serial="F-1")
    plan = plan_of(planned, (coarse, fine, gauge(water_leg=None, serial="U-1")))
    assert say_which_gauge(plan, 3, US) == ("Take F-1.",)
    told = [say_gauge(each, 3, US) for each in plan.gauges]
    assert told[0].startswith("F-1: can decide")
    assert told[1].startswith("C-1: CANNOT decide")
    assert "trip.gauge_leg" in told[2]
    without = say_which_gauge(plan_of(planned, (coarse,)), 3, US)
    assert without[0] == "None of these gauges can decide it."


def test_a_drift_is_told_with_its_day() -> None:
    first = date(2020, 3, 1)
    history = tuple(
        PastTest(on=first + timedelta(days=365 * year), set_error=psi(0.5 * year), standard_uncertainty=psi(0.02))
        for year in range(4)
    )
    told = say_drift(drift_of(history, psi(2.0), Interval(months=12)), US)
    assert told[0].startswith("Drifts 0.5 psi a year")
    assert any(each.startswith("May leave its band upwards") for each in told)
    assert told[-1].startswith("Next test by")
    assert say_drift(Missing(("history.second_test",)), US)[0] == words.DRIFT_NOT_JUDGED


def test_an_interval_has_the_name_that_the_trade_gives_it() -> None:
    assert say_interval(Interval(days=1)) == "daily"
    assert say_interval(Interval(months=12)) == "yearly"
    assert say_interval(Interval(months=6)) == "every 6 months"
    assert say_interval(Interval(days=90)) == "every 90 days"
    assert say_due(None) == words.NEVER_DONE
    assert say_due(date(2026, 11, 25)) == "2026-11-25"
