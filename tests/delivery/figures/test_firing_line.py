from dataclasses import replace

import pytest

from evenfire.delivery.figures.firing_line import (
    FiringLine,
    NoLine,
    Shape,
    Steady,
    StoppedBy,
    WhyNoLine,
    firing_line,
)
from evenfire.delivery.figures.firing_path import falling_path, path_beyond, rising_path
from evenfire.plant.boiler import Boiler
from evenfire.plant.burner import Firing, Fuel
from evenfire.plant.controls import Action
from evenfire.plant.settings import Settings
from evenfire.si import PA_PER_PSI
from tests.delivery.figures.stacks import FOUND, LEG, PROPOSED, burner, case, dial, laundry, psi

# Expected numbers are worked by hand from the proportional band (DOE-HDBK-1013/2-92): over a range of 15 psi a burner
# with a turndown of 4 goes from 100 % to 25 %, 5 % a psi.


def _line(boiler: Boiler | None = None, settings: Settings = FOUND) -> FiringLine:
    line = firing_line(case(boiler or laundry()[1], settings))
    assert isinstance(line, FiringLine)
    return line


def _no_line(boiler: Boiler, settings: Settings = FOUND) -> NoLine:
    line = firing_line(case(boiler, settings))
    assert isinstance(line, NoLine)
    return line


def _with_action(action: Action | None) -> Boiler:
    boiler = laundry()[1]
    control = boiler.controls.firing_rate
    assert control is not None
    return replace(boiler, controls=replace(boiler.controls, firing_rate=replace(control, action=action)))


def _in_psi(points: object) -> list[tuple[float, float]]:
    assert isinstance(points, tuple)
    return [(round(point.firing, 4), round(point.pressure / PA_PER_PSI, 2)) for point in points]


def test_a_cut_out_inside_the_band_stops_the_burner_at_half_fire() -> None:
    line = _line()
    assert line.stop is not None
    assert line.stop.firing == pytest.approx(0.5)
    assert line.stop.pressure == pytest.approx(psi(120 - LEG))
    assert line.stopped_by is StoppedBy.CUT_OUT
    assert line.stops_before_low_fire


def test_a_cut_out_above_the_band_lets_the_burner_come_down_to_low_fire() -> None:
    line = _line(settings=PROPOSED)
    assert line.stop is not None
    assert line.stop.firing == pytest.approx(0.25)
    assert not line.stops_before_low_fire
    assert path_beyond(line) == ()


def test_steady_loads_stand_on_the_line_until_the_cut_out_and_cycle_beyond() -> None:
    working = _line().working
    assert [point.load for point in working] == [1.0, 0.75, 0.5, 0.25]
    expected = [110 - LEG, 115 - LEG, 120 - LEG, 125 - LEG]
    assert [point.pressure / PA_PER_PSI for point in working] == pytest.approx(expected)
    assert [point.steady for point in working] == [Steady.STANDS, Steady.STANDS, Steady.CYCLES, Steady.CYCLES]
    assert [point.is_low_fire for point in working] == [False, False, False, True]


def test_the_rising_path_turns_at_hold_high_fire_and_cut_out() -> None:
    path = _in_psi(rising_path(_line(), psi(50)))
    hold, high, stop = round(60 - LEG, 2), round(110 - LEG, 2), round(120 - LEG, 2)
    assert path == [(0.25, 50.0), (0.25, hold), (1.0, hold), (1.0, high), (1.0, high), (0.5, stop)]


def test_the_part_beyond_the_cut_out_runs_on_to_low_fire() -> None:
    assert _in_psi(path_beyond(_line())) == [(0.5, round(120 - LEG, 2)), (0.25, round(125 - LEG, 2))]


def test_an_on_off_burner_fires_fully_until_the_cut_out() -> None:
    line = _line(replace(laundry()[1], burners=(burner(Firing.ON_OFF, None),)))
    assert line.demand.shape is Shape.ON_OFF
    assert _in_psi(rising_path(line, psi(50))) == [(1.0, 50.0), (1.0, round(120 - LEG, 2))]
    assert line.cut_in == pytest.approx(psi(112 - LEG))
    assert line.working == ()
    assert not line.stops_before_low_fire
    assert falling_path(line) == ()


def test_a_burner_with_two_fires_steps_down_at_low_fire_and_back_at_high_fire() -> None:
    line = _line(replace(laundry()[1], burners=(burner(Firing.LOW_HIGH_OFF, 2.0),)), PROPOSED)
    low, high, stop, back = (round(number - LEG, 2) for number in (120, 110, 128, 120))
    assert _in_psi(rising_path(line, psi(100))) == [
        (1.0, 100.0), (1.0, high), (1.0, high), (1.0, low), (0.5, low), (0.5, stop)
    ]  # fmt: skip
    assert _in_psi(falling_path(line)) == [(0.5, back), (0.5, high), (1.0, high)]
    assert line.working == ()


def test_a_two_position_control_steps_whatever_the_burner_could_do() -> None:
    assert _line(_with_action(Action.TWO_POSITION)).demand.shape is Shape.STEP


@pytest.mark.parametrize("action", [Action.PID, Action.MASTER])
def test_a_band_that_is_not_on_a_dial_has_no_line(action: Action) -> None:
    assert _no_line(_with_action(action)).why is WhyNoLine.NOT_ON_A_DIAL


def test_what_is_not_surveyed_has_no_line() -> None:
    boiler = laundry()[1]
    assert _no_line(_with_action(None)).why is WhyNoLine.NOT_KNOWN
    assert _no_line(replace(boiler, burners=())).why is WhyNoLine.NOT_KNOWN
    assert _no_line(replace(boiler, burners=(burner(Firing.MODULATING, None),))).why is WhyNoLine.NOT_KNOWN
    assert _no_line(boiler, replace(FOUND, firing_rate=dial(110))).why is WhyNoLine.NOT_KNOWN
    on_off = replace(boiler, burners=(burner(Firing.ON_OFF, None),))
    assert _no_line(on_off, Settings()).why is WhyNoLine.NOT_KNOWN


def test_a_high_limit_below_the_cut_out_is_what_stops_the_burner() -> None:
    line = _line(settings=replace(FOUND, high_limit=dial(118)))
    assert line.stopped_by is StoppedBy.HIGH_LIMIT
    assert line.stop is not None
    assert line.stop.pressure == pytest.approx(psi(118 - LEG))
    assert line.cut_in is None
    assert [point.steady for point in line.working][-1] is Steady.TRIPS


def test_a_hold_inside_the_band_holds_the_loads_below_it_low() -> None:
    line = _line(settings=replace(FOUND, low_fire_hold=dial(113)))
    assert [point.steady for point in line.working] == [Steady.HELD_LOW, Steady.STANDS, Steady.CYCLES, Steady.CYCLES]
    assert line.rising(psi(105)) == pytest.approx(0.25)
    assert line.rising(psi(115 - LEG)) == pytest.approx(0.75)


def test_without_a_cut_out_and_a_high_limit_the_line_ends_at_low_fire() -> None:
    line = _line(settings=replace(FOUND, operating_limit=None, high_limit=None))
    assert line.stop is None
    assert _in_psi(rising_path(line, psi(100)))[-1] == (0.25, round(125 - LEG, 2))


def test_of_several_fuels_the_line_is_that_which_turns_down_least() -> None:
    oil = replace(burner(Firing.MODULATING, 2.0), fuel=Fuel.LIGHT_OIL)
    line = _line(replace(laundry()[1], burners=(burner(Firing.MODULATING, 4.0), oil)))
    assert line.fuel is Fuel.LIGHT_OIL
    assert line.demand.lowest == 0.5


@pytest.mark.parametrize(("range_of", "turndown"), [(0.0, 4.0), (15.0, 1.0)])
def test_a_range_of_nought_and_a_turndown_of_one_are_drawn_as_they_are(range_of: float, turndown: float) -> None:
    boiler = replace(laundry()[1], burners=(burner(Firing.MODULATING, turndown),))
    line = _line(boiler, replace(FOUND, firing_rate=dial(110, range_of)))
    assert line.rising(psi(100)) == 1.0
    assert line.rising(psi(119)) == (0.25 if turndown == 4.0 else 1.0)
