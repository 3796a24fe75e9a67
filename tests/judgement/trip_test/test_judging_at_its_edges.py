"""Trip tests at the very edge of a limit, and what is said beside a verdict: by hand, from what each is for.

A limit that is just met is met: JCGM 106 has the limits of acceptance as part of what is accepted (3.3.9, from memory).
"""

from dataclasses import replace

import pytest

from evenfire.judgement.behaviour import Estimate
from evenfire.judgement.outcome import Route
from evenfire.judgement.trip_test.abort import Abort, Bound, MustNotBeMade
from evenfire.judgement.trip_test.gauge import ReferenceGauge
from evenfire.judgement.trip_test.judging import judge_trip
from evenfire.judgement.trip_test.repeatability import Scatter
from evenfire.judgement.trip_test.trip import Acceptance, Caution, Earlier, Method, Reading, TripTest, Verdict
from evenfire.plant.controls import Role
from evenfire.si import PA_PER_PSI, DiffPa, GaugePa
from tests.judgement.trip_test.trips_at_140 import PERFECT, gauge, gauge_psi, psi, readings, trip

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
MUST_NOT = MustNotBeMade(
    set_pressure=gauge_psi(140.0),
    highest_abort=gauge_psi(138.0),
    earliest_lift=gauge_psi(141.0),
    run_on=Estimate(psi(2.0), Route.MEASURED),
    allowance=psi(1.0),
)
OPERATING = replace(
    trip(140.4, 140.6),
    role=Role.OPERATING_LIMIT,
    held_until_reset=None,
    early_reset_took=None,
    restarted_at=gauge_psi(125.5),
)
TURNED = replace(trip(90.0), method=Method.TURNED_DOWN)


def verdict_at(pressure: GaugePa) -> Verdict:
    """Of three readings alike; how well it repeats itself is then the same wherever they stand."""
    return judge_trip(replace(trip(), readings=(Reading(shown=pressure),) * 3), KNOWN_WELL).verdict


def limits() -> Acceptance:
    found = judge_trip(trip(140.0, 140.0, 140.0), KNOWN_WELL).acceptance
    assert found is not None
    return found


def test_a_limit_that_is_just_met_is_met() -> None:
    assert verdict_at(limits().highest) is Verdict.PASSED
    assert verdict_at(limits().lowest) is Verdict.PASSED
    assert verdict_at(gauge_psi(136.0)) is Verdict.SAFE_MAY_TRIP_LOW, "at set less band, not below"


@pytest.mark.parametrize("beyond", [DiffPa(1.0), psi(0.1)])
def test_a_limit_that_is_passed_by_a_pascal_is_passed(beyond: DiffPa) -> None:
    assert verdict_at(GaugePa(limits().highest + beyond)) is Verdict.UNDECIDED_HIGH
    assert verdict_at(GaugePa(limits().lowest - beyond)) is Verdict.SAFE_MAY_TRIP_LOW
    assert verdict_at(GaugePa(gauge_psi(136.0) - beyond)) is Verdict.TRIPS_LOW


def test_what_was_measured_is_told_whole() -> None:
    # By hand: 0.2 psi over 40 degrees of freedom and three readings alike come to 0.195 over 42. With 0.218 psi of the
    # gauge the mean has u = 0.245 and the next action 0.3135, of which the degrees of freedom are some 158 (JCGM 100,
    # G.4.1): t is 1.655 on one side. Just at the limit of acceptance it acts below its upper limit the next time with
    # 95 %, for that is how the guard band is made (JCGM 106, 8.3), and never below 136.
    at = limits().highest
    result = judge_trip(replace(trip(), readings=(Reading(shown=at),) * 3), KNOWN_WELL)
    assert result.trip == pytest.approx(at)
    assert result.repeatability is not None
    assert result.repeatability.degrees_of_freedom == 42
    assert result.repeatability.standard_deviation / PA_PER_PSI == pytest.approx(0.2 * (40 / 42) ** 0.5)
    assert result.budget is not None
    assert result.budget.standard_uncertainty / PA_PER_PSI == pytest.approx(0.245, abs=0.001)
    assert result.guard_above is not None
    assert result.guard_above / PA_PER_PSI == pytest.approx(1.655 * 0.3135, abs=0.001)
    assert result.probability_below_upper == pytest.approx(0.95, abs=1e-6)
    assert result.probability_within == pytest.approx(0.95, abs=1e-6)
    assert {"ASSUMED_DOUBT_OF_HEIGHT", "ASSUMED_DOUBT_OF_WATER", "ASSUMED_READING_DELAY"} <= set(result.assumptions)


def test_the_last_mark_at_either_end_of_a_scale_can_be_read() -> None:
    for scale in (gauge(to=140.0), replace(gauge(), lowest=gauge_psi(140.0))):
        assert judge_trip(trip(140.0, 140.0, 140.0, on=scale), KNOWN_WELL).verdict is Verdict.PASSED


@pytest.mark.parametrize("scale", [gauge(to=139.5), replace(gauge(), lowest=gauge_psi(138.5))])
def test_one_reading_beyond_the_scale_is_enough_not_to_judge(scale: ReferenceGauge) -> None:
    # One of three lies beyond one end or the other.
    test = replace(trip(139.0, 138.0, 140.0), gauge=scale)
    result = judge_trip(test, KNOWN_WELL)
    assert (result.verdict, result.missing) == (Verdict.NOT_JUDGED, ("reference_gauge.to",))


# Silence is never a pass: what shows it safe is not said while something is missing, what speaks against it is.
BESIDE_NOT_JUDGED = [
    (trip(143.6, 143.6, 143.6), None, (Verdict.UNDECIDED_HIGH,)),
    (trip(140.0, 140.0, 140.0), MUST_NOT, (Verdict.MUST_NOT_BE_MADE,)),
    (trip(140.0, 140.0, 140.0), None, ()),
    (trip(120.0, 120.0, 120.0), None, ()),
    (TURNED, None, ()),
]


@pytest.mark.parametrize(("test", "abort", "also"), BESIDE_NOT_JUDGED)
def test_beside_what_is_not_judged_stands_only_what_speaks_against_it(
    test: TripTest, abort: MustNotBeMade | None, also: tuple[Verdict, ...]
) -> None:
    untried = replace(test, held_until_reset=None)
    result = judge_trip(untried, KNOWN_WELL, abort)
    assert (result.verdict, result.also) == (Verdict.NOT_JUDGED, also)


def test_a_fail_is_never_called_safe_in_the_same_breath() -> None:
    # Mean 138.9 of three that scatter by 4.8 psi: shown neither above 136 nor below 144, and one stands above 144.
    result = judge_trip(trip(136.1, 136.1, 144.5), KNOWN_WELL)
    assert (result.verdict, result.also) == (Verdict.TRIPS_HIGH, (Verdict.UNDECIDED_HIGH,))
    undecided = judge_trip(trip(136.1, 136.1, 143.5), KNOWN_WELL)
    assert (undecided.verdict, undecided.also) == (Verdict.UNDECIDED_HIGH, ())


@pytest.mark.parametrize("opened", [True, None])
def test_a_test_stopped_before_its_abort_pressure_needs_a_reading_however_it_was_made(opened: bool | None) -> None:
    stopped = replace(TURNED, readings=(), opened=opened, stopped_by_hand=gauge_psi(120.0))
    result = judge_trip(stopped, KNOWN_WELL, ABORT)
    assert result.verdict is Verdict.NOT_JUDGED
    assert "trip.reading" in result.missing
    read = judge_trip(replace(trip(140.0, 140.2, 139.8), stopped_by_hand=gauge_psi(142.0)), KNOWN_WELL, ABORT)
    assert (read.verdict, read.missing) == (Verdict.PASSED, ())


def test_a_setting_turned_down_needs_no_reading() -> None:
    result = judge_trip(replace(TURNED, readings=()), KNOWN_WELL, ABORT)
    assert (result.verdict, result.missing) == (Verdict.FUNCTION_ONLY, ())


def test_a_setting_turned_down_has_no_abort_pressure() -> None:
    # 143.7 psi lies above the abort pressure of a true rise, 143.5, and far below set and band, 149.
    shown = replace(trip(143.7, band=9.0), method=Method.TURNED_DOWN)
    assert judge_trip(shown, KNOWN_WELL, ABORT).verdict is Verdict.FUNCTION_ONLY


def test_where_a_setting_turned_down_acted_is_told_only_where_that_was_too_high() -> None:
    # Turned down it acts wherever the dial is put: that says nothing of where it acts as left.
    assert judge_trip(TURNED, KNOWN_WELL).highest_seen is None
    high = judge_trip(replace(TURNED, readings=readings(150.0)), KNOWN_WELL)
    assert high.highest_seen == gauge_psi(150.0)
    assert judge_trip(trip(140.0, 140.2, 139.8), KNOWN_WELL).highest_seen == pytest.approx(gauge_psi(140.2))


def test_an_action_above_the_ceiling_fails_though_nobody_knows_where_it_shall_act() -> None:
    # A MAWP is a limit by itself.
    test = replace(trip(146.0), set_pressure=None, ceiling=gauge_psi(145.5))
    assert judge_trip(test, KNOWN_WELL).verdict is Verdict.TRIPS_HIGH


def test_without_a_gauge_it_is_the_gauge_that_is_missing_and_not_the_reading() -> None:
    assert judge_trip(replace(trip(140.0, 140.2), gauge=None), KNOWN_WELL).missing == ("trip.gauge",)


def test_a_stop_takes_as_long_as_the_slowest_of_them() -> None:
    timed = tuple(Reading(shown=gauge_psi(140.0), burner_off_after=each) for each in (2.0, 4.0, 3.0))
    assert judge_trip(replace(trip(), readings=timed), KNOWN_WELL).slowest_stop == 4.0


def test_a_proved_tolerance_reaches_to_the_reading_that_was_furthest_off() -> None:
    # By hand: nine at 140.0 and one at 140.9 average 140.09, and the one is 0.81 off. They do not scatter too wildly (F
    # of 9 and 40 degrees of freedom at 95 % is 2.12, any table; 0.081 over 0.04 is 2.03), and pooled come to 0.22 psi:
    # the next action is expected within half a psi.
    proved = judge_trip(trip(*[140.0] * 9, 140.9, on=PERFECT), KNOWN_WELL).proved
    assert proved is not None
    assert proved.tolerance / PA_PER_PSI == pytest.approx(0.81)


def test_only_an_operating_limit_that_met_a_true_rise_has_a_differential() -> None:
    # Facts of the trade: a high limit stays off until a hand resets it; a dial turned down restarts somewhere else.
    differential = judge_trip(OPERATING, KNOWN_WELL).differential
    assert differential is not None
    assert differential / PA_PER_PSI == pytest.approx(15.0)
    assert judge_trip(replace(OPERATING, method=Method.TURNED_DOWN), KNOWN_WELL).differential is None
    assert judge_trip(replace(OPERATING, readings=()), KNOWN_WELL).differential is None
    high_limit = judge_trip(replace(trip(140.4, 140.6), restarted_at=gauge_psi(125.5)), KNOWN_WELL)
    assert high_limit.differential is None
    no_gauge = judge_trip(replace(OPERATING, gauge=None), KNOWN_WELL).differential
    assert no_gauge == differential, "both were read on one gauge, whichever it was"


# Acted at 140.4 and 140.6 psi. A burner restarts at a fall: a restart at or above where it acted was read wrong, and so
# was one below the begin of the scale.
RESTARTS = [
    (0.0, 125.5, False),
    (0.0, 140.3, False),
    (0.0, 140.4, True),
    (0.0, 140.5, True),
    (0.0, 145.0, True),
    (125.5, 125.5, False),
    (126.0, 125.5, True),
]


@pytest.mark.parametrize(("begins", "restarted", "is_wrong"), RESTARTS)
def test_a_restart_that_cannot_be_is_told_and_no_differential_made_of_it(
    begins: float, restarted: float, is_wrong: bool
) -> None:
    scale = replace(gauge(), lowest=gauge_psi(begins))
    result = judge_trip(replace(OPERATING, gauge=scale, restarted_at=gauge_psi(restarted)), KNOWN_WELL)
    assert (Caution.RESTART_NOT_BELOW in result.cautions) is is_wrong
    assert (result.differential is None) is is_wrong
    assert Caution.RESTART_NOT_READ not in result.cautions


# 15 psi was read.
AS_SET = [
    (psi(13.0), psi(2.0), False),  # off by no more than it may be
    (psi(17.0), psi(2.0), False),
    (psi(12.9), psi(2.0), True),
    (psi(17.1), psi(2.0), True),
    (None, psi(2.0), False),
    (psi(12.0), None, False),
]


@pytest.mark.parametrize(("wanted", "within", "told"), AS_SET)
def test_a_differential_is_told_off_only_where_it_is_known_what_it_shall_be(
    wanted: DiffPa | None, within: DiffPa | None, told: bool
) -> None:
    result = judge_trip(replace(OPERATING, differential_set=wanted, differential_within=within), KNOWN_WELL)
    assert (Caution.DIFFERENTIAL_NOT_AS_SET in result.cautions) is told


NOT_FOR_THIS = [
    # Only a true rise is made at low fire; only a high limit is reset; only an operating limit restarts by itself.
    (replace(TURNED, at_low_fire=None), Caution.NOT_AT_LOW_FIRE),
    (replace(trip(140.0), restarted_at=gauge_psi(145.0)), Caution.RESTART_NOT_BELOW),
    (trip(140.0), Caution.RESTART_NOT_READ),
    (OPERATING, Caution.EARLY_RESET_NOT_TRIED),
]


@pytest.mark.parametrize(("test", "caution"), NOT_FOR_THIS)
def test_a_caution_is_kept_for_the_tests_that_it_is_about(test: TripTest, caution: Caution) -> None:
    assert caution not in judge_trip(test, KNOWN_WELL).cautions


@pytest.mark.parametrize(("seconds", "told"), [((5.0,), False), ((5.2,), True), ((1.0, 5.2, 1.0), True)])
def test_a_burner_is_slow_to_stop_after_more_than_five_seconds(seconds: tuple[float, ...], told: bool) -> None:
    # The five seconds are an assumption, and said to be one.
    timed = tuple(Reading(shown=gauge_psi(140.0), burner_off_after=each) for each in seconds)
    result = judge_trip(replace(trip(), readings=timed), KNOWN_WELL)
    assert (Caution.SLOW_TO_STOP in result.cautions) is told


# Common practice, no source: the middle 80 % of a scale; of one from 100 to 200 psi that is 110 to 190.
ON_THE_SCALE = [
    ((111.0,), False),
    ((189.0,), False),
    ((109.0,), True),
    ((191.0,), True),
    ((150.0, 191.0, 150.0), True),
    ((115.0, 185.0), False),
]


@pytest.mark.parametrize(("shown", "told"), ON_THE_SCALE)
def test_the_last_tenth_of_a_scale_at_either_end_is_better_left_unused(shown: tuple[float, ...], told: bool) -> None:
    scale = replace(gauge(to=200.0), lowest=gauge_psi(100.0))
    result = judge_trip(trip(*shown, on=scale), KNOWN_WELL)
    assert (Caution.READ_NEAR_THE_END_OF_THE_SCALE in result.cautions) is told


@pytest.mark.parametrize("tenth", [1, 9])
def test_the_middle_80_percent_of_a_scale_has_both_its_ends(tenth: int) -> None:
    # A scale of 10 bar, read at 1 and at 9 bar, where pascals are whole numbers.
    scale = replace(gauge(), highest=GaugePa(1e6))
    test = replace(trip(on=scale), readings=(Reading(shown=GaugePa(tenth * 1e5)),))
    assert Caution.READ_NEAR_THE_END_OF_THE_SCALE not in judge_trip(test, KNOWN_WELL).cautions
