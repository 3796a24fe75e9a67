"""Where a trip test is broken off, on boilers in trade units; every number is mental arithmetic."""

from dataclasses import replace

import pytest

from evenfire.judgement.case import Case
from evenfire.judgement.trip_test.abort import Abort, Bound, DoNotConnect, MustNotBeMade, abort_of, expected_rate
from evenfire.judgement.trip_test.gauge import ReferenceGauge
from evenfire.plant.known import Missing
from evenfire.si import PA_PER_PSI, DiffPa
from tests.judgement.plants_for_rules import HIGH_PRESSURE, LOW_PRESSURE, REMOVED, Edits, Table, case_of, edited
from tests.judgement.trip_test.trips_at_140 import PERFECT, gauge, gauge_psi, leg, psi

# No rise while it is read: what is left of the doubt of a perfect gauge is the second in which it is read late.
READ_LATE = 0.13
"""1.96 / 1.73 x the rise in a second, which is below a tenth of a psi on these boilers [psi]."""


def case_with(table: Table, edits: Edits) -> Case:
    return case_of(edited(table, edits))


def test_the_band_ends_the_test_where_the_valve_is_far() -> None:
    # HIGH_PRESSURE: valves at 150 psi lift at 145.5 (3 %, VSH); run-on 1 psi; set 135, band 2: 137 is far below.
    found = abort_of(case_of(HIGH_PRESSURE), gauge_psi(135.0), psi(2.0), gauge())
    assert isinstance(found, Abort)
    assert found.bound is Bound.BAND
    assert found.at_boiler / PA_PER_PSI == pytest.approx(137.0)
    assert found.on_gauge / PA_PER_PSI == pytest.approx(137.0)
    assert found.earliest_lift / PA_PER_PSI == pytest.approx(145.5)


def test_the_valve_ends_the_test_where_the_band_would_reach_it() -> None:
    # 145.5 - 1 = 144.5, less what the gauge may be off.
    found = abort_of(case_of(HIGH_PRESSURE), gauge_psi(143.0), psi(4.0), PERFECT)
    assert isinstance(found, Abort)
    assert found.bound is Bound.EARLIEST_LIFT
    assert 144.5 - READ_LATE < found.at_boiler / PA_PER_PSI < 144.5


@pytest.mark.parametrize(("set_at", "may_be_made"), [(144.3, True), (144.6, False), (150.0, False)])
def test_a_test_that_a_valve_would_end_first_must_not_be_made(set_at: float, may_be_made: bool) -> None:
    found = abort_of(case_of(HIGH_PRESSURE), gauge_psi(set_at), psi(2.0), PERFECT)
    assert isinstance(found, Abort if may_be_made else MustNotBeMade)
    if isinstance(found, MustNotBeMade):
        assert found.short_by / PA_PER_PSI == pytest.approx(set_at - 144.5, abs=READ_LATE)


def test_a_coarse_gauge_can_forbid_a_test_that_a_fine_one_allows() -> None:
    # A gauge of 3 psi class: 1.96 x 3 / 1.73 = 3.4 psi and more are kept from 144.5.
    case = case_of(HIGH_PRESSURE)
    assert isinstance(abort_of(case, gauge_psi(142.0), psi(2.0), gauge()), Abort)
    assert isinstance(abort_of(case, gauge_psi(142.0), psi(2.0), gauge(3.0, 1.0, 0.5)), MustNotBeMade)


@pytest.mark.parametrize(("division", "shown"), [(1.0, 144.0), (2.0, 144.0), (0.2, 144.3)])
def test_what_is_watched_can_be_read_and_is_never_above_the_bound(division: float, shown: float) -> None:
    # Half a division is what a person reads: 144.37 and more down to that.
    coarse = replace(PERFECT, division=psi(division))
    found = abort_of(case_of(HIGH_PRESSURE), gauge_psi(140.0), psi(8.0), coarse)
    assert isinstance(found, Abort)
    assert found.on_gauge <= found.at_boiler
    step = division / 2
    read = found.on_gauge / PA_PER_PSI / step
    assert read == pytest.approx(round(read), abs=1e-6)
    assert found.on_gauge / PA_PER_PSI <= shown + 0.1


def test_a_gauge_far_below_its_tap_shows_more_when_the_burner_has_to_stop() -> None:
    # Ten feet of water, 4.33 psi (HB1919): at 137 psi in the boiler it shows 141.33; to half a division, 141.
    found = abort_of(case_of(HIGH_PRESSURE), gauge_psi(135.0), psi(2.0), gauge(division=1.0, water_leg=leg(10.0)))
    assert isinstance(found, Abort)
    assert found.on_gauge / PA_PER_PSI == pytest.approx(141.0)


def test_the_low_pressure_boiler_has_next_to_no_room() -> None:
    # A 15 psi valve lifts at 13 (2 psi, VSH and from memory); run-on 0.3 psi: 12.7 at most.
    found = abort_of(case_of(LOW_PRESSURE), gauge_psi(11.5), psi(2.0), gauge(0.05, 0.1, 0.03, to=30.0))
    assert isinstance(found, Abort)
    assert found.bound is Bound.EARLIEST_LIFT
    assert 12.3 < found.at_boiler / PA_PER_PSI < 12.7


MISSING: list[tuple[Edits, str]] = [
    ({"boiler.safety_valve": REMOVED}, "safety_valve.set"),
    ({"boiler.water_volume": REMOVED}, "water_volume"),
    ({"boiler.burner": REMOVED}, "burner"),
]


@pytest.mark.parametrize(("edits", "key"), MISSING)
def test_what_is_not_known_of_the_boiler_leaves_it_open(edits: Edits, key: str) -> None:
    found = abort_of(case_with(HIGH_PRESSURE, edits), gauge_psi(135.0), psi(2.0), gauge())
    assert isinstance(found, Missing)
    assert key in found.keys


def test_what_is_not_known_of_the_gauge_leaves_it_open() -> None:
    found = abort_of(case_of(HIGH_PRESSURE), gauge_psi(135.0), psi(2.0), gauge(water_leg=None))
    assert found == Missing(("trip.gauge_leg",))


@pytest.mark.parametrize(("to", "set_at"), [(30.0, 121.8), (136.0, 135.0), (140.0, 135.0), (30.0, 150.0)])
@pytest.mark.parametrize("known", [True, False])
def test_a_gauge_whose_scale_the_pressure_may_leave_is_not_to_be_connected(
    to: float, set_at: float, known: bool
) -> None:
    # The valves lift at 145.5 psi (3 %, VSH): until then a control that does not act lets the pressure rise.
    short = gauge(to=to) if known else replace(gauge(to=to), calibrated_on=None)
    found = abort_of(case_of(HIGH_PRESSURE), gauge_psi(set_at), psi(2.0), short)
    assert isinstance(found, DoNotConnect)
    assert found.scale_ends / PA_PER_PSI == pytest.approx(to)
    assert found.could_meet / PA_PER_PSI == pytest.approx(max(145.5, set_at + 2.0))


def test_run_on_past_the_rating_downstream_is_told() -> None:
    case = case_with(HIGH_PRESSURE, {"load.rated_max": "136 psi"})
    found = abort_of(case, gauge_psi(135.0), psi(2.0), gauge())
    assert isinstance(found, Abort)
    assert found.passes_downstream_rating is True
    unknown = abort_of(case_with(HIGH_PRESSURE, {"load.rated_max": REMOVED}), gauge_psi(135.0), psi(2.0), gauge())
    assert isinstance(unknown, Abort)
    assert unknown.passes_downstream_rating is None


def test_low_fire_raises_a_fire_tube_of_200_horsepower_by_some_psi_a_minute() -> None:
    # By hand: steam tables have 353.0 F at 140 psia and 358.4 F at 150, 0.54 F/psi. 1450 gal are 10,800 lb of hot
    # water, x 1.05 Btu/lb/F, and 17,500 lb of steel x 0.12: 7,300 Btu/psi. Low fire is a quarter of 200 x 33,475 Btu/h,
    # 1.67 MBtu/h: 3.8 psi/min.
    rate = expected_rate(case_of(HIGH_PRESSURE), gauge_psi(135.0))
    assert not isinstance(rate, Missing)
    assert rate.value * 60 / PA_PER_PSI == pytest.approx(3.8, abs=0.3)


def test_the_burner_is_stopped_by_hand_no_higher_than_the_band_where_the_gauge_can_show_it() -> None:
    # 135 and 0.6 psi is 135.6; a gauge divided in halves is read to a quarter: 135.5, never 135.75.
    found = abort_of(case_of(HIGH_PRESSURE), gauge_psi(135.0), psi(0.6), gauge(division=0.5, water_leg=leg(0.0)))
    assert isinstance(found, Abort)
    assert found.on_gauge / PA_PER_PSI == pytest.approx(135.5)


def test_a_gauge_too_coarse_for_the_band_is_read_at_its_next_mark() -> None:
    # Divided in fives, read to 2.5: the band ends between 135 and 137.5, and at 135 a healthy one need not have acted.
    found = abort_of(case_of(HIGH_PRESSURE), gauge_psi(135.1), psi(0.5), gauge(division=5.0, water_leg=leg(0.0)))
    assert isinstance(found, Abort)
    assert found.on_gauge / PA_PER_PSI == pytest.approx(137.5)


def abort_with(edits: Edits, set_at: float, band: float, on: ReferenceGauge) -> Abort:
    found = abort_of(case_with(HIGH_PRESSURE, edits), gauge_psi(set_at), psi(band), on)
    assert isinstance(found, Abort)
    return found


# How far the pressure may come after the stop, by hand: where the burner is stopped, the run-on of 1 psi, and the doubt
# of the gauge (95 %). HIGH_PRESSURE at 135 within 2, and the fine gauge: u is 0.21 psi, U 0.42: 137 + 1 + 0.42 = 138.4.
# One divided in fours reads to 136: u 1.17, U 2.29, and 137 + 1 + 2.29 = 140.3, for the band ends at 137.
# One divided in fives that shows nothing between 135.1 and 135.6 is stopped at 137.5: u 1.46, U 2.85: 141.35.
ENDS_AT = [
    (gauge(), 135.0, 2.0, 138.2, 138.6),
    (gauge(division=4.0), 135.0, 2.0, 140.0, 140.6),
    (gauge(division=5.0), 135.1, 0.5, 141.1, 141.6),
]


@pytest.mark.parametrize(("on", "set_at", "band", "passed", "kept"), ENDS_AT)
def test_what_the_pressure_may_come_to_counts_run_on_and_gauge_from_where_the_burner_is_stopped(
    on: ReferenceGauge, set_at: float, band: float, passed: float, kept: float
) -> None:
    assert abort_with({"load.rated_max": f"{passed} psi"}, set_at, band, on).passes_downstream_rating is True
    assert abort_with({"load.rated_max": f"{kept} psi"}, set_at, band, on).passes_downstream_rating is False


def test_a_rating_that_is_just_reached_is_not_passed() -> None:
    found = abort_with({}, 135.0, 2.0, gauge())
    just = (found.at_boiler + found.run_on.value + found.allowance) / PA_PER_PSI
    assert abort_with({"load.rated_max": f"{just:.9f} psi"}, 135.0, 2.0, gauge()).passes_downstream_rating is False
    assert abort_with({"load.rated_max": f"{just - 0.001:.9f} psi"}, 135.0, 2.0, gauge()).passes_downstream_rating


@pytest.mark.parametrize(("set_at", "may_be_made"), [(141.9, True), (142.0, True), (142.1, False)])
def test_a_test_is_made_only_where_the_gauge_has_a_mark_between_setting_and_bound(
    set_at: float, may_be_made: bool
) -> None:
    # Divided in fours it is read to 2 psi: U is 1.96 x 2 / 1.73 = 2.26, the bound 145.5 - 1 - 2.26 = 142.24, and 142 is
    # the last mark below. A control set at 142.1 would be broken off before it has to act.
    found = abort_of(case_of(HIGH_PRESSURE), gauge_psi(set_at), psi(2.0), replace(PERFECT, division=psi(4.0)))
    assert isinstance(found, Abort if may_be_made else MustNotBeMade)
    if isinstance(found, MustNotBeMade):
        assert found.highest_abort / PA_PER_PSI == pytest.approx(142.0)


def test_a_bound_that_stands_on_a_mark_is_read_at_that_mark() -> None:
    # A correction moves what the gauge shows and leaves its doubt: here it puts the bound on 144.
    found = abort_with({}, 143.0, 4.0, gauge())
    shift = DiffPa(found.at_boiler - gauge_psi(144.0))
    at_mark = abort_with({}, 143.0, 4.0, replace(gauge(), correction=shift))
    assert at_mark.on_gauge / PA_PER_PSI == pytest.approx(144.0)


def test_a_gauge_whose_scale_ends_at_the_lift_of_the_valve_can_be_connected() -> None:
    found = abort_of(case_of(HIGH_PRESSURE), gauge_psi(135.0), psi(2.0), gauge(to=145.5))
    assert isinstance(found, Abort)
    too_short = abort_of(case_of(HIGH_PRESSURE), gauge_psi(135.0), psi(2.0), gauge(to=145.4))
    assert isinstance(too_short, DoNotConnect)


def test_a_mark_at_the_setting_itself_lies_within_the_band() -> None:
    # 135 and 0.2 psi, read to a quarter: 135.0 is no lower than where the control shall act.
    assert abort_with({}, 135.0, 0.2, gauge(division=0.5)).on_gauge / PA_PER_PSI == pytest.approx(135.0)


def test_all_that_is_not_known_of_boiler_and_gauge_is_told_at_once() -> None:
    found = abort_of(
        case_with(HIGH_PRESSURE, {"boiler.burner": REMOVED}), gauge_psi(135.0), psi(2.0), gauge(water_leg=None)
    )
    assert isinstance(found, Missing)
    assert {"burner", "trip.gauge_leg"} <= set(found.keys)


def test_the_fuel_that_raises_the_pressure_fastest_counts() -> None:
    # A second fuel of half the heat changes nothing; one of more heat raises it by as much faster. Gas heats as the
    # plate says, 200 x 33,475 Btu/h; oil as was clocked, 16.6 MBtu/h at 80 %.
    boilers = HIGH_PRESSURE["boiler"]
    assert isinstance(boilers, list)
    assert isinstance(boilers[0], dict)
    burners = boilers[0]["burner"]
    assert isinstance(burners, list)
    gas = burners[0]
    assert isinstance(gas, dict)
    rates = []
    for heat in ("8.3 MMBtu/h", "4.15 MMBtu/h", "16.6 MMBtu/h"):
        oil: Table = {**gas, "fuel": "light oil", "input": heat, "input_clocked": heat}
        rate = expected_rate(case_with(HIGH_PRESSURE, {"boiler.burner": [gas, oil]}), gauge_psi(135.0))
        assert not isinstance(rate, Missing)
        rates.append(rate.value)
    assert rates[1] == pytest.approx(rates[0])
    assert rates[2] == pytest.approx(rates[0] * 16.6e6 * 0.8 / (200 * 33_475), rel=1e-4)
