"""Tests of the other safety devices: limits by hand from the rule book's table."""

import pytest

from evenfire.errors import ImpossibleValue
from evenfire.judgement.outcome import Basis
from evenfire.judgement.trip_test.devices import RULES, Device, DeviceTest, DeviceVerdict, judge_device
from evenfire.plant.safety_valve import SafetyValve
from evenfire.si import Dimension, GaugePa, Quantity
from tests.judgement.trip_test.trips_at_140 import gauge_psi

TIMED = {Device.FLAME_FAILURE, Device.PILOT_TRIAL, Device.MAIN_TRIAL}
VALVES = {Device.SAFETY_VALVE_BY_HAND, Device.SAFETY_VALVE_BY_PRESSURE}
AT_150 = SafetyValve(name="front", set_pressure=gauge_psi(150.0))
HEATING = SafetyValve(name="heating", set_pressure=gauge_psi(15.0))

# ANCH and 46CFR62, published: flame failure 4 s, trials 15 s.
TIMES = [
    (Device.FLAME_FAILURE, 4.0, DeviceVerdict.PASSED),
    (Device.FLAME_FAILURE, 4.1, DeviceVerdict.FAILED),
    (Device.PILOT_TRIAL, 15.0, DeviceVerdict.PASSED),
    (Device.PILOT_TRIAL, 15.5, DeviceVerdict.FAILED),
    (Device.MAIN_TRIAL, 10.0, DeviceVerdict.PASSED),
    (Device.MAIN_TRIAL, 16.0, DeviceVerdict.FAILED),
]


@pytest.mark.parametrize(("device", "took", "verdict"), TIMES)
def test_a_timed_device_acts_within_its_time(device: Device, took: float, verdict: DeviceVerdict) -> None:
    result = judge_device(DeviceTest(device=device, works=True, took=took))
    assert result.verdict is verdict
    assert result.rule.basis is Basis.PUBLISHED


# By pressure, VSH: 3 % of 150 is 4.5; 2 psi at 15. By hand, common practice: 75 % of 150 is 112.5.
PRESSURES = [
    (Device.SAFETY_VALVE_BY_PRESSURE, AT_150, 154.5, DeviceVerdict.PASSED),
    (Device.SAFETY_VALVE_BY_PRESSURE, AT_150, 145.5, DeviceVerdict.PASSED),
    (Device.SAFETY_VALVE_BY_PRESSURE, AT_150, 154.6, DeviceVerdict.FAILED),
    (Device.SAFETY_VALVE_BY_PRESSURE, AT_150, 145.4, DeviceVerdict.FAILED_EARLY),
    (Device.SAFETY_VALVE_BY_PRESSURE, HEATING, 17.0, DeviceVerdict.PASSED),
    (Device.SAFETY_VALVE_BY_PRESSURE, HEATING, 17.1, DeviceVerdict.FAILED),
    (Device.SAFETY_VALVE_BY_HAND, AT_150, 112.5, DeviceVerdict.PASSED),
    (Device.SAFETY_VALVE_BY_HAND, AT_150, 112.0, DeviceVerdict.SHOWS_NOTHING),
]


@pytest.mark.parametrize(("device", "valve", "at", "verdict"), PRESSURES)
def test_a_safety_valve_is_lifted_where_it_means_something(
    device: Device, valve: SafetyValve, at: float, verdict: DeviceVerdict
) -> None:
    result = judge_device(DeviceTest(device=device, works=True, at=gauge_psi(at), valve=valve))
    assert result.verdict is verdict
    assert result.verdict.is_unsafe is (verdict is DeviceVerdict.FAILED)


@pytest.mark.parametrize("device", Device)
def test_what_did_not_work_has_failed_whatever_else_is_known(device: Device) -> None:
    assert judge_device(DeviceTest(device=device, works=False)).verdict is DeviceVerdict.FAILED
    full = DeviceTest(device=device, works=False, took=1.0, at=gauge_psi(150.0), valve=AT_150)
    assert judge_device(full).verdict is DeviceVerdict.FAILED


@pytest.mark.parametrize("device", Device)
def test_silence_is_never_a_pass(device: Device) -> None:
    result = judge_device(DeviceTest(device=device))
    assert result.verdict is DeviceVerdict.NOT_JUDGED
    assert "device.works" in result.missing
    full = judge_device(DeviceTest(device=device, took=1.0, at=gauge_psi(150.0), valve=AT_150))
    assert full.verdict is DeviceVerdict.NOT_JUDGED


@pytest.mark.parametrize("device", [each for each in Device if each not in TIMED | VALVES])
def test_a_device_that_stops_the_burner_passes_when_it_did(device: Device) -> None:
    result = judge_device(DeviceTest(device=device, works=True))
    assert result.verdict is DeviceVerdict.PASSED
    assert result.rule.basis is Basis.FROM_MEMORY


def test_a_watch_or_a_valve_that_is_missing_is_named() -> None:
    assert judge_device(DeviceTest(device=Device.FLAME_FAILURE, works=True)).missing == ("device.took",)
    by_hand = judge_device(DeviceTest(device=Device.SAFETY_VALVE_BY_HAND, works=True, at=gauge_psi(140.0)))
    assert by_hand.missing == ("device.valve",)


def test_a_time_too_long_fails_though_nobody_wrote_that_it_works() -> None:
    assert judge_device(DeviceTest(device=Device.FLAME_FAILURE, took=9.0)).verdict is DeviceVerdict.FAILED


def test_every_device_has_a_rule_and_every_published_number_its_source() -> None:
    assert set(RULES) == set(Device)
    for rule in RULES.values():
        assert rule.citations or rule.basis is Basis.COMMON_PRACTICE


def test_what_cannot_be_is_refused() -> None:
    with pytest.raises(ImpossibleValue) as too_short:
        DeviceTest(device=Device.FLAME_FAILURE, took=-1.0)
    assert too_short.value.found.dimension is Dimension.TIME
    with pytest.raises(ImpossibleValue) as no_pressure:
        DeviceTest(device=Device.SAFETY_VALVE_BY_HAND, at=GaugePa(float("nan")))
    assert no_pressure.value.found.dimension is Dimension.GAUGE_PRESSURE


LACKING = [
    *((DeviceTest(device=each, works=True), ("device.took",)) for each in TIMED),
    *((DeviceTest(device=each, works=True), ("device.at", "device.valve")) for each in VALVES),
    *((DeviceTest(device=each, works=True, valve=AT_150), ("device.at",)) for each in VALVES),
    *((DeviceTest(device=each, works=True, at=gauge_psi(150.0)), ("device.valve",)) for each in VALVES),
]


@pytest.mark.parametrize(("test", "missing"), LACKING)
def test_a_device_that_works_without_its_measurement_is_not_judged(test: DeviceTest, missing: tuple[str, ...]) -> None:
    result = judge_device(test)
    assert (result.verdict, result.missing) == (DeviceVerdict.NOT_JUDGED, missing)


def test_a_time_is_told_of_what_is_timed_and_a_pressure_of_a_safety_valve() -> None:
    # Each with the limit that it is held against: 15 s; 150 psi and 3 % either way; three quarters of 150 psi.
    timed = judge_device(DeviceTest(device=Device.PILOT_TRIAL, works=True, took=9.0))
    assert (timed.observed, timed.lowest, timed.highest) == (
        Quantity(9.0, Dimension.TIME),
        None,
        Quantity(15.0, Dimension.TIME),
    )
    both = {"works": True, "took": 3.0, "at": gauge_psi(150.0), "valve": AT_150}
    lifted = judge_device(DeviceTest(device=Device.SAFETY_VALVE_BY_PRESSURE, **both))  # type: ignore[arg-type]
    assert lifted.observed == Quantity(gauge_psi(150.0), Dimension.GAUGE_PRESSURE)
    for limit, at in ((lifted.lowest, 145.5), (lifted.highest, 154.5)):
        assert limit is not None
        assert limit.dimension is Dimension.GAUGE_PRESSURE
        assert limit.value == pytest.approx(gauge_psi(at))
    by_hand = judge_device(DeviceTest(device=Device.SAFETY_VALVE_BY_HAND, **both))  # type: ignore[arg-type]
    assert by_hand.observed == Quantity(gauge_psi(150.0), Dimension.GAUGE_PRESSURE)
    assert by_hand.lowest == Quantity(0.75 * gauge_psi(150.0), Dimension.GAUGE_PRESSURE)


def test_what_failed_without_a_measurement_shows_none() -> None:
    assert judge_device(DeviceTest(device=Device.FLAME_FAILURE, works=False)).observed is None
    slow = judge_device(DeviceTest(device=Device.FLAME_FAILURE, works=False, took=2.0))
    assert slow.observed == Quantity(2.0, Dimension.TIME)


def test_a_lift_by_hand_rests_on_common_practice_and_a_lift_by_pressure_on_what_is_published() -> None:
    assert RULES[Device.SAFETY_VALVE_BY_HAND].basis is Basis.COMMON_PRACTICE
    assert RULES[Device.SAFETY_VALVE_BY_PRESSURE].basis is Basis.PUBLISHED
