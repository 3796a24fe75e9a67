"""How fast a run warms and how that strains its wall, on temperatures written by hand."""

from dataclasses import replace

import numpy as np
import pytest

from evenfire.judgement.proofs.result import Shown
from evenfire.judgement.proofs.staging import TRUE, Stage, stages_of
from evenfire.judgement.proofs.warming import (
    _low_fire_rates,
    fastest_warming,
    firing_schedule,
    kept_low,
    wall_strain,
    warms_slowly,
)
from evenfire.physics.schedule import FireByTheClock
from tests.judgement.proofs.runs_by_hand import shown
from tests.surveys import case_of, survey

F_AN_HOUR = 1 / 1.8 / 3600


def warmed(*legs: tuple[float, float], begin: float = 293.15, firing: float = 0.5) -> Shown:
    """A run that warms at these rates [K/s] for these times [s], a row every ten seconds."""
    temperatures = [begin]
    for rate, lasts in legs:
        temperatures += [temperatures[-1] + rate * 10.0 * (step + 1) for step in range(round(lasts / 10.0))]
    return shown([50.0] * len(temperatures), temperatures=temperatures, firing=firing)


def test_the_fastest_ten_minutes_count() -> None:
    assert fastest_warming(warmed((0.05, 3600))) == pytest.approx(0.05)
    assert fastest_warming(warmed((0.01, 1800), (0.05, 1200), (0.02, 1800))) == pytest.approx(0.05)
    # Five minutes of 0.1 K/s among 0.01: half of ten minutes at each.
    assert fastest_warming(warmed((0.01, 1800), (0.1, 300), (0.01, 1800))) == pytest.approx(0.055)


def test_what_cools_or_ends_before_ten_minutes_warms_at_no_rate() -> None:
    assert fastest_warming(warmed((-0.05, 3600), begin=450.0)) == 0.0
    assert fastest_warming(warmed((0.05, 590))) == 0.0
    assert fastest_warming(warmed((0.05, 600))) == pytest.approx(0.05)


def drum(edits: dict[str, object] | None = None) -> Stage:
    """The board mill's water-tube boiler on gas, low fire one seventh."""
    return stages_of(case_of(survey(edits, plant="board-mill")), TRUE)[0]


@pytest.mark.parametrize(("rate", "holds"), [(99.0, True), (101.0, False)])
def test_a_drum_may_warm_a_hundred_degrees_an_hour(rate: float, holds: bool) -> None:
    # 100 F/h, from memory.
    check = warms_slowly(drum().case.boiler, warmed((rate * F_AN_HOUR, 7200)))
    assert check is not None
    assert check.holds is holds
    assert check.margin.value / F_AN_HOUR == pytest.approx(100 - rate, abs=1e-6)
    assert check.observed.value / F_AN_HOUR == pytest.approx(rate)


def test_a_hand_keeps_a_copy_of_the_boiler_at_low_fire() -> None:
    stage = drum()
    assert kept_low(stage).model.burner.cap == 0.0
    assert stage.model.burner.cap == 1.0


LOW = 1 / 7


def test_low_fire_twice_as_fast_as_allowed_is_on_for_about_half_of_the_time() -> None:
    # 200 F/h at low fire and 100 F/h allowed; of each firing the start chain of 104 s gives nothing, and ten minutes or
    # so are one cycle: on for half of the time and the chain.
    stage = drum()
    run = warmed((200 * F_AN_HOUR, 2 * 3600), firing=LOW)
    firings = firing_schedule(stage, run)
    assert firings
    for firing in firings:
        assert isinstance(firing, FireByTheClock)
        assert firing.span.low_fire_rate / F_AN_HOUR == pytest.approx(200, rel=1e-3)
        on, off = 60.0 * firing.minutes_on, 60.0 * firing.minutes_off
        average = 200 * (on - 104.0) / (on + off)
        assert 75 < average <= 100 + 1e-6
        # Post-purge has to be over before the next start.
        assert off >= 15.0
    # From cold to boiling, 212 F less a little for 610 ft, and on to where the burner is called.
    ends = [firing.span.to_temperature * 1.8 - 459.67 for firing in firings]
    assert ends[0] == pytest.approx(211, abs=0.5)
    assert firings[0].span.from_temperature == pytest.approx(293.15, abs=0.5)
    assert firings[1].span.from_temperature == firings[0].span.to_temperature
    assert ends[1] == pytest.approx(390, abs=4)


def test_a_burner_that_must_stay_off_for_long_is_off_for_as_long_in_the_schedule() -> None:
    minimum: dict[str, object] = {
        "boiler.burner.0.start.minimum_off": "11 min",
        "boiler.burner.1.start.minimum_off": "11 min",
    }
    for firing in firing_schedule(drum(minimum), warmed((200 * F_AN_HOUR, 2 * 3600), firing=LOW)):
        assert isinstance(firing, FireByTheClock)
        assert firing.minutes_off >= 11


def test_only_low_fire_makes_a_schedule() -> None:
    assert firing_schedule(drum(), warmed((200 * F_AN_HOUR, 7200), firing=1.0)) == ()
    # No number is known for a fire tube.
    laundry = stages_of(case_of(survey()), TRUE)[0]
    assert firing_schedule(laundry, warmed((200 * F_AN_HOUR, 7200), firing=0.25)) == ()


def test_without_an_operating_limit_there_is_no_end_to_warm_to() -> None:
    stage = drum().freed()
    assert firing_schedule(stage, warmed((200 * F_AN_HOUR, 7200), firing=LOW)) == ()


def test_a_wall_that_warms_evenly_lags_by_the_square_of_its_thickness() -> None:
    # A flat plate heated on one face at a rate r: mean less face is - r w^2 / (3 a) (Carslaw and Jaeger, from memory),
    # and a drum of 42 in with a wall of 1.1 in is nearly flat: its curvature adds two or three percent. Steel at the
    # end, 515 K or 242 C (EN 1993-1-2, from memory): conducts 54 - 0.0333 x 242 = 45.9 W/(m K), stores 545
    # J/(kg K) in 7850 kg/m3, grows by 1.2e-5 + 0.8e-8 x 242 = 1.39e-5 per K; E = 190 GPa and Poisson 0.3 (handbooks,
    # from memory). The inner face is held back: compression.
    boiler = drum().case.boiler
    rate, wall = 100 * F_AN_HOUR, 1.1 * 0.0254
    strain = wall_strain(boiler, warmed((rate, 4 * 3600)))
    assert strain is not None
    difference = rate * wall**2 / (3 * 45.9 / (545 * 7850))
    assert difference < -strain.difference < 1.035 * difference
    assert strain.stress / strain.difference == pytest.approx(190e9 * 1.39e-5 / 0.7, rel=0.02)
    assert strain.stress < 0.0
    assert strain.steady_stress == pytest.approx(strain.stress, rel=0.02)
    assert strain.name == "by hand"
    assert 0.0 < strain.at <= 4 * 3600


def test_a_wall_twice_as_thick_is_strained_four_times_as_much_and_an_unknown_one_is_not_told() -> None:
    boiler = drum().case.boiler
    assert boiler.wall is not None
    thick = replace(boiler, wall=replace(boiler.wall, thickness=2 * boiler.wall.thickness))
    run = warmed((100 * F_AN_HOUR, 4 * 3600))
    one, two = wall_strain(boiler, run), wall_strain(thick, run)
    assert one is not None
    assert two is not None
    assert two.stress / one.stress == pytest.approx(4, rel=0.1)
    assert wall_strain(replace(boiler, wall=None), run) is None
    assert np.isfinite(one.stress)


def test_three_rows_at_low_fire_are_enough_for_its_rate_and_two_are_not() -> None:
    # A stage reads its rates off the rows that rise, the first of them too.
    rates = _low_fire_rates(drum(), warmed((0.05, 20), firing=LOW), 1000.0)
    assert [rate.temperature for rate in rates] == pytest.approx([293.15, 293.65, 294.15])
    assert [rate.rate for rate in rates] == pytest.approx([0.05] * 3)
    assert _low_fire_rates(drum(), warmed((0.05, 10), firing=LOW), 1000.0) == []
    # Neither what is fired higher nor what lies beyond the end of the way counts, nor a row that does not rise.
    assert _low_fire_rates(drum(), warmed((0.05, 600), firing=0.5), 1000.0) == []
    assert _low_fire_rates(drum(), warmed((0.05, 600), firing=LOW), 293.7) == []
    ends = [rate.temperature for rate in _low_fire_rates(drum(), warmed((0.05, 20), (-0.05, 60), firing=LOW), 1000.0)]
    assert ends == pytest.approx([293.15, 293.65, 294.15])
