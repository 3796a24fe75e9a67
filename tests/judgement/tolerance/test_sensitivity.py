"""Which surveyed value each margin hangs on: signs and sizes against arithmetic on paper."""

from dataclasses import replace
from functools import cache

import pytest

from evenfire.judgement.outcome import Route
from evenfire.judgement.proofs.learning import Progress
from evenfire.judgement.tolerance.measurements import Measurement
from evenfire.judgement.tolerance.sensitivity import MotionPull, Sensitivity, Stake, sensitivities, sensitivity
from evenfire.plant.known import Missing, Origin
from evenfire.si import PA_PER_PSI, DiffPa, GaugePa
from tests.surveys import case_of, survey

BOARD_MILL = "board-mill"


@cache
def told(name: str = BOARD_MILL) -> Sensitivity:
    return sensitivity(case_of(survey(plant=name)))


def pull(code: str, key: str, of: Sensitivity | None = None) -> MotionPull:
    margin = (of or told()).of(code)
    assert margin is not None
    return next(each for each in margin.pulls if each.key == key)


def test_the_water_tube_with_little_storage_says_that_run_on_decides_its_high_limit() -> None:
    margin = told().of("high-limit-stops-before-valve")
    assert margin is not None
    assert margin.deciding is not None
    assert margin.deciding.key == "burner.heat_lag"
    assert margin.helps[0].measurement is Measurement.RUN_ON
    best = told().most_helpful
    assert best is not None
    assert (best.measurement, best.code) == (Measurement.RUN_ON, "high-limit-stops-before-valve")
    assert best.keys[0] == "burner.heat_lag"


def test_a_quarter_more_lag_is_a_quarter_more_run_on() -> None:
    # Fire x lag / storage, 30.2 MMBtu/h = 8.85 MW; the loop loses a few per cent of it to the shell while it comes.
    case = case_of(survey(plant=BOARD_MILL))
    trip = case.stack.trip
    assert not isinstance(trip, Missing)
    storage = case.behaviour.storage(GaugePa(trip)).value
    quarter = 0.25 * 8.85e6 * 8.0 / storage
    found = pull("high-limit-stops-before-valve", "burner.heat_lag")
    assert found.higher == pytest.approx(-quarter, rel=0.1)
    assert found.lower == pytest.approx(quarter, rel=0.1)


def test_a_tenth_more_water_stores_more_and_widens_what_run_on_narrows() -> None:
    found = pull("high-limit-stops-before-valve", "water_volume")
    # A tenth of the run-on at most: metal stores too.
    run_on = 7.4 * PA_PER_PSI
    assert 0.04 * run_on < found.higher < 0.1 * run_on
    assert found.lower < 0.0


def test_a_tolerance_pulls_with_the_share_that_it_may_be_off() -> None:
    # A quarter of 3 psi on the dial.
    found = pull("high-limit-below-valve", "controls.high_limit.tolerance")
    assert found.higher == pytest.approx(-0.75 * PA_PER_PSI, rel=1e-6)
    assert found.lower == pytest.approx(0.75 * PA_PER_PSI, rel=1e-6)


def test_half_a_foot_of_water_leg_is_two_tenths_of_a_psi() -> None:
    # 0.433 psi per foot (HB1919), 0.15 m = 0.492 ft; a control below its tap acts early, so a longer leg trips earlier.
    found = pull("high-limit-below-valve", "controls.high_limit.water_leg")
    assert found.higher == pytest.approx(0.433 * 0.15 / 0.3048 * PA_PER_PSI, rel=2e-3)


def test_a_fifth_more_line_drop_raises_the_need_by_it() -> None:
    found = pull("need-at-full-load", "load.line_drop")
    assert found.higher == pytest.approx(-0.4 * PA_PER_PSI, rel=1e-6)


def test_a_slower_start_lets_the_restart_fall_further() -> None:
    found = pull("restart-holds-need", "burner.start")
    assert found.higher < 0.0 < found.lower


def test_doubts_add_as_independent_ones_do() -> None:
    for margin in told().margins:
        squares = sum(max(abs(each.higher), abs(each.lower)) ** 2 for each in margin.pulls)
        assert margin.doubt**2 == pytest.approx(squares, rel=1e-9)
        assert list(margin.pulls) == sorted(margin.pulls, key=lambda each: -each.size)
        assert all(0.0 <= help_.after < help_.before == margin.doubt for help_ in margin.helps)


def test_a_measured_value_keeps_a_fifth_of_its_doubt() -> None:
    # Of 0.75 psi of tolerance and 0.213 psi of water leg, by hand: after proving the trip 0.15 and 0.213.
    margin = told().of("high-limit-below-valve")
    assert margin is not None
    proved = next(each for each in margin.helps if each.measurement is Measurement.TRIP_POINT)
    assert proved.before == pytest.approx((0.75**2 + 0.213**2) ** 0.5 * PA_PER_PSI, rel=1e-3)
    assert proved.after == pytest.approx((0.15**2 + 0.213**2) ** 0.5 * PA_PER_PSI, rel=2e-3)


def test_the_worst_margin_leads() -> None:
    standings = [margin.standing for margin in told().margins]
    assert standings == sorted(standings)
    assert told().margins[0].room < 0.0


def test_a_measured_run_on_takes_the_lag_out_of_the_high_limit() -> None:
    edits = {"boiler.measured.run_on": [{"rise": "7 psi", "firing": "100 %", "load": "0 %"}]}
    measured = sensitivity(case_of(survey(edits, BOARD_MILL)))
    code = "high-limit-stops-before-valve"
    margin, before = measured.of(code), told().of(code)
    assert margin is not None
    assert before is not None
    assert "burner.heat_lag" not in {each.key for each in margin.pulls}
    found = pull(code, "measured.run_on", measured)
    # A tenth of seven psi.
    assert found.higher == pytest.approx(-0.7 * PA_PER_PSI, rel=0.1)
    assert found.origin is Origin.MEASURED
    assert margin.doubt < 0.6 * before.doubt


def test_what_was_assumed_is_doubted_more_than_what_was_surveyed() -> None:
    assumed = sensitivity(
        case_of(survey({"boiler.burner.heat_lag": None, "boiler.burner.1.heat_lag": None}, BOARD_MILL))
    )
    found, surveyed = pull("high-limit-stops-before-valve", "burner.heat_lag", assumed), told()
    assert found.origin is Origin.ASSUMED
    assert found.doubt.value == 2 * pull("high-limit-stops-before-valve", "burner.heat_lag", surveyed).doubt.value


def test_a_boiler_that_cannot_be_simulated_is_weighed_by_closed_forms_and_says_what_is_missing() -> None:
    found = sensitivity(case_of(survey({"boiler.controls.firing_rate.action": "pid"}, BOARD_MILL)))
    assert found.route is Route.COMPUTED
    assert found.missing == ("controls.firing_rate.gains",)
    assert found.of("high-limit-stops-before-valve") is not None
    assert "low-fire-before-cut-out" in dict(found.not_weighed)


def test_it_tells_how_far_it_is() -> None:
    items = list(sensitivities(case_of(survey(plant="vertical"))))
    steps = [item for item in items if isinstance(item, Progress)]
    assert [step.done for step in steps] == list(range(len(steps)))
    assert isinstance(items[-1], Sensitivity)


def test_a_burner_with_two_fires_is_weighed_too() -> None:
    edits = {"boiler.burner.firing": "low-high-off", "boiler.burner.1.firing": "low-high-off"}
    found = sensitivity(case_of(survey(edits, BOARD_MILL)))
    assert found.route is Route.SIMULATED
    # Full fire goes on through the stroke of the drive: a tenth more of it drives the pressure further up.
    assert pull("low-fire-before-cut-out", "burner.stroke", found).higher < 0.0


def test_every_value_of_a_sound_survey_can_be_more_and_less() -> None:
    assert told().not_varied == ()
    assert told().identity != told("vertical").identity


def test_what_is_measured_first_is_what_most_is_at_stake_for() -> None:
    for name in ("laundry", "board-mill", "school", "school-by-dial", "vertical", "rental-trailer-brewery"):
        found = told(name)
        best = found.most_helpful
        assert best is not None
        chosen = found.of(best.code)
        assert chosen is not None
        helped = [margin for margin in found.margins if margin.helps]
        assert chosen.stake is min(margin.stake for margin in helped)
        alike = [margin for margin in helped if margin.stake is chosen.stake]
        if chosen.stake is not Stake.NOTHING:
            assert best.gain <= max(help_.gain for margin in alike for help_ in margin.helps)
            worse = alike[: alike.index(chosen)]
            assert not any(help_.does_the_same_as(best) for margin in worse for help_ in margin.helps)


def test_safety_comes_before_a_verdict_and_a_verdict_before_an_amount() -> None:
    # The laundry's low fire comes 9 psi too late, which no measurement mends; its high limit has 1.7 psi give or take
    # 0.8, and safety hangs on it.
    found = told("laundry")
    assert found.margins[0].code == "low-fire-before-cut-out"
    assert found.margins[0].stake is Stake.AMOUNT
    best = found.most_helpful
    assert best is not None
    assert best.code == "high-limit-stops-before-valve"
    # The trailer holds 47 psi less than the brewery needs: nothing but an amount is left to measure.
    brewery = told("rental-trailer-brewery").most_helpful
    assert brewery is not None
    margin = told("rental-trailer-brewery").of(brewery.code)
    assert margin is not None
    assert margin.stake is Stake.AMOUNT


def test_a_margin_that_nothing_moves_is_sure_on_its_side() -> None:
    still = next(margin for margin in told("vertical").margins if not margin.pulls)
    assert still.stake is Stake.NOTHING
    short = replace(still, room=DiffPa(-1.0))
    assert short.is_short_for_sure
    assert short.stake is Stake.SAFETY
