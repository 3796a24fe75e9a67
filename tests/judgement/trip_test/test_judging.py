"""How a trip test comes out: the sides are written by hand, from what a limit is for."""

from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from evenfire.judgement.behaviour import Estimate
from evenfire.judgement.outcome import Route
from evenfire.judgement.trip_test.abort import Abort, Bound, MustNotBeMade
from evenfire.judgement.trip_test.judging import judge_trip
from evenfire.judgement.trip_test.repeatability import Scatter
from evenfire.judgement.trip_test.trip import Caution, Earlier, Method, Reading, TripTest, Verdict
from evenfire.plant.controls import Position, Role
from evenfire.si import PA_PER_PSI, DiffPa, GaugePa
from tests.judgement.trip_test.trips_at_140 import PERFECT, gauge, gauge_psi, leg, psi, readings, trip

KNOWN_WELL = Earlier(this_control=(Scatter(sum_of_squares=40 * psi(0.2) ** 2, degrees_of_freedom=40),))
"""It repeats within 0.2 psi, one standard deviation, and that is as good as certain."""
ABORT = Abort(
    at_boiler=gauge_psi(143.5),
    on_gauge=gauge_psi(143.5),
    bound=Bound.EARLIEST_LIFT,
    earliest_lift=gauge_psi(145.5),
    run_on=Estimate(psi(1.5), Route.MEASURED),
    allowance=psi(0.5),
    passes_downstream_rating=False,
)

# With the fine gauge, u of the gauge: 0.25 and 0.25 psi rectangular, 0.05 normal, 0.1 rectangular: 0.218 psi. Repeating
# within 0.2 psi: the mean of three has u = 0.247, the next action 0.317. So 140 +- 4 psi passes from
# 136 + 1.96 x 0.247 = 136.48 to 144 - 1.65 x 0.317 = 143.48 (JCGM 106, guarded acceptance; by hand).
BY_READING = [
    ((140.0, 140.2, 139.8), Verdict.PASSED),
    ((136.6, 136.6, 136.6), Verdict.PASSED),
    ((136.4, 136.4, 136.4), Verdict.SAFE_MAY_TRIP_LOW),
    ((136.1, 136.1, 136.1), Verdict.SAFE_MAY_TRIP_LOW),
    ((135.9, 135.9, 135.9), Verdict.TRIPS_LOW),
    ((120.0, 120.0, 120.0), Verdict.TRIPS_LOW),
    ((143.4, 143.4, 143.4), Verdict.PASSED),
    ((143.6, 143.6, 143.6), Verdict.UNDECIDED_HIGH),
    ((144.0, 144.0, 144.0), Verdict.UNDECIDED_HIGH),
    ((144.1, 144.1, 144.1), Verdict.TRIPS_HIGH),
    ((142.0, 142.0, 144.1), Verdict.TRIPS_HIGH),  # one action above its upper limit is enough
    ((150.0,), Verdict.TRIPS_HIGH),
]


@pytest.mark.parametrize(("shown", "verdict"), BY_READING)
def test_the_verdict_follows_the_readings(shown: tuple[float, ...], verdict: Verdict) -> None:
    assert judge_trip(trip(*shown), KNOWN_WELL).verdict is verdict


# What is done or not, whatever it read: written by hand from what a high limit is for.
BY_FUNCTION = [
    ({"opened": False}, Verdict.DID_NOT_OPEN, ()),
    ({"stopped_by_hand": gauge_psi(143.5)}, Verdict.DID_NOT_OPEN, ()),
    ({"opened": False, "readings": (), "gauge": None, "set_pressure": None}, Verdict.DID_NOT_OPEN, ("trip.reading",)),
    ({"held_until_reset": False}, Verdict.DOES_NOT_LATCH, ()),
    ({"early_reset_took": True}, Verdict.DOES_NOT_LATCH, ()),
    ({"held_until_reset": None}, Verdict.NOT_JUDGED, ("trip.held_until_reset",)),
    ({"opened": None}, Verdict.NOT_JUDGED, ("trip.opened",)),
    ({"method": None}, Verdict.NOT_JUDGED, ("trip.method",)),
    ({"method": Method.TURNED_DOWN}, Verdict.FUNCTION_ONLY, ()),
    ({"method": Method.TURNED_DOWN, "opened": False}, Verdict.DID_NOT_OPEN, ()),
    ({"method": Method.TURNED_DOWN, "held_until_reset": False}, Verdict.DOES_NOT_LATCH, ()),
    ({"method": Method.TURNED_DOWN, "readings": readings(90.0)}, Verdict.FUNCTION_ONLY, ()),
    ({"method": Method.TURNED_DOWN, "held_until_reset": None}, Verdict.NOT_JUDGED, ("trip.held_until_reset",)),
    ({"role": Role.OPERATING_LIMIT, "held_until_reset": None}, Verdict.PASSED, ()),
    ({"role": Role.OPERATING_LIMIT, "held_until_reset": False}, Verdict.PASSED, ()),
    ({"set_pressure": None}, Verdict.NOT_JUDGED, ("trip.set",)),
    ({"band": None}, Verdict.NOT_JUDGED, ("trip.within",)),
    ({"rate": None}, Verdict.NOT_JUDGED, ("trip.rise",)),
    ({"gauge": None}, Verdict.NOT_JUDGED, ("trip.gauge",)),
    ({"gauge": gauge(water_leg=None)}, Verdict.NOT_JUDGED, ("trip.gauge_leg",)),
    ({"gauge": replace(gauge(), permissible_error=None)}, Verdict.NOT_JUDGED, ("reference_gauge.accuracy",)),
    ({"gauge": replace(gauge(), division=None)}, Verdict.NOT_JUDGED, ("reference_gauge.division",)),
    (
        {"gauge": replace(gauge(), expanded_uncertainty=None)},
        Verdict.NOT_JUDGED,
        ("reference_gauge.expanded_uncertainty",),
    ),
    ({"gauge": replace(gauge(), calibrated_on=None)}, Verdict.NOT_JUDGED, ("reference_gauge.calibrated_on",)),
    # UFC, published: a gauge is calibrated within twelve months.
    (
        {"gauge": replace(gauge(), calibrated_on=date(2025, 11, 24))},
        Verdict.NOT_JUDGED,
        ("reference_gauge.calibrated_on",),
    ),
    ({"gauge": replace(gauge(), calibrated_on=date(2025, 11, 25))}, Verdict.PASSED, ()),
    (
        {"gauge": replace(gauge(), calibrated_on=date(2026, 11, 26))},
        Verdict.NOT_JUDGED,
        ("reference_gauge.calibrated_on",),
    ),
    ({"gauge": gauge(to=135.0)}, Verdict.NOT_JUDGED, ("reference_gauge.to",)),
    ({"readings": ()}, Verdict.NOT_JUDGED, ("trip.reading",)),
    # A fail is told from what is there, though the gauge proves nothing.
    ({"gauge": None, "readings": readings(150.0)}, Verdict.TRIPS_HIGH, ("trip.gauge",)),
    ({"held_until_reset": None, "readings": readings(150.0)}, Verdict.TRIPS_HIGH, ("trip.held_until_reset",)),
    ({"method": None, "readings": readings(150.0)}, Verdict.TRIPS_HIGH, ("trip.method",)),
    ({"method": Method.TURNED_DOWN, "readings": readings(150.0)}, Verdict.TRIPS_HIGH, ()),
    # 0.433 psi a foot (HB1919): ten feet below the tap the gauge shows 4.3 psi too much, above it too little.
    ({"gauge": gauge(water_leg=leg(10.0)), "readings": readings(144.2, 144.3, 144.4)}, Verdict.PASSED, ()),
    (
        {"gauge": gauge(water_leg=leg(10.0, Position.ABOVE_TAP)), "readings": readings(140.2, 140.3, 140.4)},
        Verdict.TRIPS_HIGH,
        (),
    ),
    ({"gauge": replace(gauge(), correction=psi(5.0))}, Verdict.TRIPS_HIGH, ()),
]


@pytest.mark.parametrize(("edit", "verdict", "missing"), BY_FUNCTION)
def test_the_verdict_follows_what_was_done_and_written_down(
    edit: dict[str, object], verdict: Verdict, missing: tuple[str, ...]
) -> None:
    test = replace(trip(140.0, 140.2, 139.8), **edit)  # type: ignore[arg-type]
    result = judge_trip(test, KNOWN_WELL)
    assert result.verdict is verdict
    assert set(missing) <= set(result.missing)
    assert bool(missing) == bool(result.missing)
    assert result.verdict.is_safe is (verdict in {Verdict.PASSED, Verdict.SAFE_MAY_TRIP_LOW, Verdict.TRIPS_LOW})


@pytest.mark.parametrize("edit", [{"opened": False}, {"held_until_reset": False}])
def test_a_fail_is_never_told_together_with_a_pass(edit: dict[str, bool]) -> None:
    result = judge_trip(replace(trip(140.0, 140.2, 139.8), **edit), KNOWN_WELL)  # type: ignore[arg-type]
    assert result.also == ()
    assert result.proved is None


def test_one_reading_of_a_control_never_tested_before_is_not_judged() -> None:
    result = judge_trip(trip(140.0))
    assert (result.verdict, result.missing) == (Verdict.NOT_JUDGED, ("trip.reading.2",))
    assert judge_trip(trip(140.0), KNOWN_WELL).verdict is Verdict.PASSED


def test_a_stop_by_hand_below_the_abort_pressure_shows_nothing() -> None:
    early = replace(trip(), opened=None, stopped_by_hand=gauge_psi(142.0))
    assert judge_trip(early, KNOWN_WELL, ABORT).verdict is Verdict.NOT_JUDGED
    assert judge_trip(early, KNOWN_WELL).verdict is Verdict.DID_NOT_OPEN
    at_abort = replace(early, stopped_by_hand=gauge_psi(143.5))
    assert judge_trip(at_abort, KNOWN_WELL, ABORT).verdict is Verdict.DID_NOT_OPEN


MUST_NOT = MustNotBeMade(
    set_pressure=gauge_psi(140.0),
    highest_abort=gauge_psi(138.0),
    earliest_lift=gauge_psi(141.0),
    run_on=Estimate(psi(2.0), Route.MEASURED),
    allowance=psi(1.0),
)


@pytest.mark.parametrize(("shown", "is_unsafe"), [(143.4, False), (143.6, True), (144.1, True)])
def test_an_action_above_the_abort_pressure_fails_though_the_band_goes_further(shown: float, is_unsafe: bool) -> None:
    # Broken off at 143.5 psi: above that a valve may lift before the burner has stopped; the band goes to 149 psi.
    result = judge_trip(trip(shown, shown, shown, band=9.0), KNOWN_WELL, ABORT)
    assert (result.verdict is Verdict.TRIPS_HIGH) is is_unsafe
    assert result.most == gauge_psi(143.5)


def test_no_upper_limit_reaches_above_the_pressure_of_the_boiler_or_the_lift_of_a_valve() -> None:
    # Set 140 within 9 would allow 149; the boiler may work at 145.5 at most.
    bounded = replace(trip(145.6, 145.6, 145.6, band=9.0), ceiling=gauge_psi(145.5))
    result = judge_trip(bounded, KNOWN_WELL)
    assert result.verdict is Verdict.TRIPS_HIGH
    close = judge_trip(replace(bounded, readings=readings(145.3, 145.3, 145.3)), KNOWN_WELL)
    assert close.verdict is Verdict.UNDECIDED_HIGH, "the guard band is kept below the ceiling"
    assert close.acceptance is not None
    assert close.acceptance.upper_limit == gauge_psi(145.5)


@pytest.mark.parametrize("shown", [136.0, 139.0, 140.0, 143.9])
def test_a_true_rise_made_where_it_must_not_be_made_never_passes(shown: float) -> None:
    result = judge_trip(trip(shown, shown, shown), KNOWN_WELL, MUST_NOT)
    assert result.verdict is Verdict.MUST_NOT_BE_MADE
    assert not result.verdict.is_safe
    assert result.proved is None
    late = judge_trip(trip(144.5, 144.5, 144.5), KNOWN_WELL, MUST_NOT)
    assert late.verdict is Verdict.TRIPS_HIGH
    assert Verdict.MUST_NOT_BE_MADE in late.also
    turned = replace(trip(90.0), method=Method.TURNED_DOWN)
    assert judge_trip(turned, KNOWN_WELL, MUST_NOT).verdict is Verdict.FUNCTION_ONLY


def test_a_test_against_another_pressure_than_its_aim_proves_nothing() -> None:
    test = trip(140.0, 140.2, 139.8)
    assert judge_trip(test, KNOWN_WELL).proved is not None
    assert judge_trip(replace(test, is_other_aim=True), KNOWN_WELL).proved is None


@pytest.mark.parametrize("shown", [121.8, 140.0, 150.0])
def test_a_reading_beyond_the_scale_of_the_gauge_is_not_judged(shown: float) -> None:
    result = judge_trip(trip(shown, shown, shown, on=gauge(to=30.0)), KNOWN_WELL)
    assert (result.verdict, result.missing) == (Verdict.NOT_JUDGED, ("reference_gauge.to",))
    # A pegged gauge shows that the pressure was at its end at least, and that alone may be too much.
    assert judge_trip(trip(150.0, on=gauge(to=146.0)), KNOWN_WELL).verdict is Verdict.TRIPS_HIGH


OPERATING = replace(trip(140.4, 140.6), role=Role.OPERATING_LIMIT, held_until_reset=None, early_reset_took=None)
AS_SET = replace(OPERATING, differential_set=psi(15.0), differential_within=psi(2.0))


@pytest.mark.parametrize(("restarted", "caution"), [(125.5, False), (127.4, False), (127.6, True), (123.4, True)])
def test_a_differential_that_is_not_as_set_is_told(restarted: float, caution: bool) -> None:
    # 140.5 psi on average; set 15 psi, within 2.
    result = judge_trip(replace(AS_SET, restarted_at=gauge_psi(restarted)), KNOWN_WELL)
    assert (Caution.DIFFERENTIAL_NOT_AS_SET in result.cautions) is caution
    assert result.proved is not None
    assert result.proved.differential is not None
    assert result.proved.differential / PA_PER_PSI == pytest.approx(140.5 - restarted)


def test_a_differential_that_was_not_read_or_cannot_be_is_not_proved() -> None:
    unread = judge_trip(AS_SET, KNOWN_WELL)
    assert unread.proved is not None
    assert unread.proved.differential is None
    above = judge_trip(replace(AS_SET, restarted_at=gauge_psi(140.5)), KNOWN_WELL)
    assert Caution.RESTART_NOT_BELOW in above.cautions, "a burner restarts when the pressure has fallen"
    assert above.differential is None
    assert above.proved is not None
    assert above.proved.differential is None


def test_a_wide_scatter_today_is_told_and_counts() -> None:
    result = judge_trip(trip(137.0, 140.0, 143.0), KNOWN_WELL)
    assert Caution.ERRATIC in result.cautions
    assert result.verdict is Verdict.UNDECIDED_HIGH


CAUTIONS = [
    ({"at_low_fire": None}, Caution.NOT_AT_LOW_FIRE),
    ({"at_low_fire": False}, Caution.NOT_AT_LOW_FIRE),
    ({"early_reset_took": None}, Caution.EARLY_RESET_NOT_TRIED),
    # CSD-1, from memory: six months.
    ({"gauge": replace(gauge(), calibrated_on=date(2026, 5, 24))}, Caution.CALIBRATION_OLDER_THAN_USUAL),
    ({"readings": (Reading(shown=gauge_psi(140.0), burner_off_after=6.0),)}, Caution.SLOW_TO_STOP),
    # Common practice, no source: the middle 80 % of a scale.
    ({"gauge": gauge(to=150.0)}, Caution.READ_NEAR_THE_END_OF_THE_SCALE),
    ({"role": Role.OPERATING_LIMIT}, Caution.RESTART_NOT_READ),
    ({"wider_was_typed": True}, Caution.WIDER_BAND_TYPED),
]


@pytest.mark.parametrize(("edit", "caution"), CAUTIONS)
def test_a_caution_stands_beside_the_verdict(edit: dict[str, object], caution: Caution) -> None:
    clean = trip(140.0, 140.2, 139.8)
    assert judge_trip(clean, KNOWN_WELL).cautions == ()
    assert judge_trip(replace(clean, **edit), KNOWN_WELL).cautions == (caution,)  # type: ignore[arg-type]


def test_an_operating_limit_tells_its_differential_whatever_the_gauge_is_off() -> None:
    test = replace(trip(140.0, 141.0), role=Role.OPERATING_LIMIT, restarted_at=gauge_psi(125.5))
    for hung in (gauge(), gauge(water_leg=leg(10.0)), replace(gauge(), correction=psi(2.0))):
        differential = judge_trip(replace(test, gauge=hung), KNOWN_WELL).differential
        assert differential is not None
        assert differential / PA_PER_PSI == pytest.approx(15.0)


def test_a_pass_gives_back_where_it_acts_and_how_far_off_it_may_be() -> None:
    # By hand: 1.96 to 2.01 (t of more than 40 degrees of freedom) times 0.317 psi for the next action.
    proved = judge_trip(trip(140.4, 140.5, 140.6), KNOWN_WELL).proved
    assert proved is not None
    assert proved.trip / PA_PER_PSI == pytest.approx(140.5)
    assert 1.96 * 0.317 - 0.005 < proved.tolerance / PA_PER_PSI < 2.01 * 0.317 + 0.005
    assert proved.tolerance_about_set - proved.tolerance == pytest.approx(psi(0.5))


def test_a_proved_tolerance_is_never_less_than_the_readings_were_off() -> None:
    # Their mean is 140.07 psi, and the last one was 1.13 psi above it.
    proved = judge_trip(trip(139.0, 140.0, 141.2, on=PERFECT), Earlier()).proved
    assert proved is not None
    assert proved.tolerance >= psi(1.13)


@pytest.mark.parametrize("shown", [(150.0, 150.0), (120.0, 120.0, 120.0), (143.6, 143.6, 143.6)])
def test_what_did_not_pass_gives_nothing_back(shown: tuple[float, ...]) -> None:
    assert judge_trip(trip(*shown), KNOWN_WELL).proved is None


SHOWN = st.floats(120.0, 160.0)
BANDS = st.floats(0.2, 20.0)
GAUGES = st.builds(gauge, st.floats(0.0, 5.0), st.floats(0.01, 5.0), st.floats(0.0, 2.0))
EARLIER = st.sampled_from([Earlier(), KNOWN_WELL])


@st.composite
def trip_tests(draw: st.DrawFn) -> TripTest:
    """Most controls repeat within a psi, some scatter wildly."""
    middle, wide = draw(SHOWN), draw(st.sampled_from([0.1, 1.0, 10.0]))
    around = draw(st.lists(st.floats(-1.0, 1.0), min_size=1, max_size=5))
    return trip(*(middle + wide * each for each in around), band=draw(BANDS), on=draw(GAUGES))


@given(trip_tests(), st.floats(0.0, 30.0), EARLIER)
def test_a_later_worse_reading_never_turns_a_fail_into_a_pass(test: TripTest, worse: float, earlier: Earlier) -> None:
    before = judge_trip(test, earlier)
    highest, lowest = (choose(each.shown for each in test.readings) for choose in (max, min))
    if before.verdict is Verdict.TRIPS_HIGH:
        after = judge_trip(
            replace(test, readings=(*test.readings, Reading(shown=GaugePa(highest + psi(worse))))), earlier
        )
        assert after.verdict is Verdict.TRIPS_HIGH
    if before.verdict is Verdict.TRIPS_LOW:
        after = judge_trip(
            replace(test, readings=(*test.readings, Reading(shown=GaugePa(lowest - psi(worse))))), earlier
        )
        assert after.verdict in {Verdict.TRIPS_LOW, Verdict.UNDECIDED_HIGH}


@given(trip_tests(), st.floats(0.0, 10.0), EARLIER)
def test_a_wider_band_never_turns_a_pass_into_a_fail(test: TripTest, wider: float, earlier: Earlier) -> None:
    assert test.band is not None
    before = judge_trip(test, earlier)
    after = judge_trip(replace(test, band=DiffPa(test.band + psi(wider))), earlier)
    assert after.verdict.is_safe or not before.verdict.is_safe
    assert after.verdict is Verdict.PASSED or before.verdict is not Verdict.PASSED


@given(trip_tests(), EARLIER)
def test_what_passes_for_safety_lies_below_its_upper_limit_with_95_percent(test: TripTest, earlier: Earlier) -> None:
    result = judge_trip(test, earlier)
    if result.probability_below_upper is not None:
        is_sure = result.probability_below_upper >= 0.95 - 1e-6
        assert is_sure or not result.verdict.is_safe
        assert result.verdict.is_safe or result.verdict is Verdict.TRIPS_HIGH or result.probability_below_upper <= 0.951


@given(trip_tests(), st.sampled_from(["opened", "held_until_reset", "method", "set_pressure", "band", "gauge", "rate"]))
def test_what_nobody_wrote_down_never_passes(test: TripTest, field: str) -> None:
    result = judge_trip(replace(test, **{field: None}), KNOWN_WELL)  # type: ignore[arg-type]
    assert not result.verdict.is_safe
    assert result.missing
