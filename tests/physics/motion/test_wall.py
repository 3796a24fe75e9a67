"""Heat on its way through a wall, against textbook series, the closed form, and its own balance of energy."""

import doctest
import subprocess
import sys
from collections.abc import Sequence
from math import pi

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.optimize import brentq
from scipy.special import j0, j1, y0, y1

from evenfire.errors import ImpossibleValue
from evenfire.physics.metal import Material, Shell, carbon_steel, diffusion_time, thermal_stress, wall_difference
from evenfire.physics.motion import wall
from evenfire.physics.motion.records import Floats
from evenfire.physics.motion.wall import run_wall

_STEEL = carbon_steel(473.15)
_DRUM = Shell(inner_radius=0.6, wall=0.04)
_COLD = 293.15
_RATE = 0.02


def _settling(shell: Shell) -> float:
    return diffusion_time(shell, diffusivity=_STEEL.diffusivity)


def _ramp(shell: Shell, ages: Floats) -> tuple[Floats, Floats]:
    """A steady rise, told at these multiples of the diffusion time."""
    times = np.array([0.0, *ages]) * _settling(shell)
    return times, _COLD + _RATE * times


def test_a_plane_wall_on_a_ramp_follows_the_textbook_series() -> None:
    # Conduction of heat in a slab, one face on a ramp and the other insulated (Carslaw and Jaeger, from memory): the
    # mean lags by the sum of 2/b^4 (1 - exp(-b^2 t)), b = pi/2, 3 pi/2, ...; from wall to plate, u = 1.00001.
    plate, ages = Shell(inner_radius=4000.0, wall=0.04), np.array([0.01, 0.03, 0.1, 0.2, 0.5, 1.0, 2.0, 6.0])
    roots = (2 * np.arange(4000) + 1) * pi / 2
    series = [float(np.sum(-2 / roots**4 * np.expm1(-(roots**2) * age))) for age in ages]
    told = run_wall(plate, _STEEL, *_ramp(plate, ages))
    assert told.difference[1:] / (-_RATE * _settling(plate)) == pytest.approx(np.array(series), rel=1e-3)


@pytest.mark.parametrize("radius_ratio", [1.2, 1.6, 2.5])
def test_a_thick_shell_on_a_ramp_follows_the_series_of_bessel_functions(radius_ratio: float) -> None:
    # Modes R(r) = J0(b r) Y0(b) - Y0(b r) J0(b), nought inside (r = 1), without slope outside; textbook, by scipy.
    shell, ages = Shell(inner_radius=0.1, wall=0.1 * (radius_ratio - 1)), np.array([0.05, 0.2, 0.5, 1.0, 5.0])

    def slope_outside(root: float) -> float:
        return float(j1(root * radius_ratio) * y0(root) - y1(root * radius_ratio) * j0(root))

    first = pi / 2 / (radius_ratio - 1)
    grid = np.linspace(0.3 * first, 25 * first, 2000)
    signs = [slope_outside(root) for root in grid]
    roots = [
        brentq(slope_outside, low, high)
        for low, high, before, after in zip(grid, grid[1:], signs, signs[1:], strict=False)
        if before * after < 0
    ]
    assert len(roots) >= 10
    expected = np.zeros(ages.size)
    for root in roots:

        def mode(radius: float, root: float = root) -> float:
            return float(j0(root * radius) * y0(root) - y0(root * radius) * j0(root))

        weight = quad(lambda r: mode(r) * r, 1, radius_ratio, limit=200)[0]
        norm = quad(lambda r: mode(r) ** 2 * r, 1, radius_ratio, limit=200)[0]
        share = weight**2 / norm * 2 / (radius_ratio**2 - 1)
        expected += share / root**2 * np.expm1(-((root * (radius_ratio - 1)) ** 2) * ages)
    told = run_wall(shell, _STEEL, *_ramp(shell, ages))
    in_units = told.difference[1:] * _STEEL.diffusivity / (_RATE * shell.inner_radius**2)
    assert in_units == pytest.approx(expected, rel=1e-3)


@given(st.floats(1.001, 2.9), st.floats(0.005, 0.2), st.floats(-0.05, 0.05).filter(lambda rate: abs(rate) > 1e-4))
def test_the_course_settles_where_the_closed_form_says(radius_ratio: float, thickness: float, rate: float) -> None:
    shell = Shell(inner_radius=thickness / (radius_ratio - 1), wall=thickness)
    settled = wall_difference(shell, rate=rate, diffusivity=_STEEL.diffusivity)
    times = np.linspace(0.0, 8.0, 30) * _settling(shell)
    told = run_wall(shell, _STEEL, times, 5000.0 + rate * times)
    assert told.difference[-1] == pytest.approx(settled, rel=1e-3)
    worst = told.warming if rate > 0 else told.cooling
    assert worst.stress == pytest.approx(thermal_stress(settled, _STEEL), rel=1e-3)


_COURSES = st.lists(
    st.tuples(st.floats(1.0, 2000.0), st.floats(-_RATE, _RATE)),
    min_size=1,
    max_size=12,
)


def _course(steps: Sequence[tuple[float, float]]) -> tuple[Floats, Floats]:
    lengths, rates = np.array(steps).T
    return np.append(0.0, np.cumsum(lengths)), 600.0 + np.append(0.0, np.cumsum(lengths * rates))


@given(_COURSES)
def test_no_course_below_a_rate_strains_the_wall_more_than_that_rate_does_for_good(
    steps: Sequence[tuple[float, float]],
) -> None:
    told = run_wall(_DRUM, _STEEL, *_course(steps))
    most = -wall_difference(_DRUM, rate=_RATE, diffusivity=_STEEL.diffusivity)
    assert np.all(np.abs(told.difference) <= most * 1.001)


@given(_COURSES)
def test_the_heat_that_went_in_is_the_heat_that_is_there(steps: Sequence[tuple[float, float]]) -> None:
    told = run_wall(_DRUM, _STEEL, *_course(steps))
    # A kelvin in the whole wall is 42 MJ/m; what is compared may nearly cancel.
    assert told.conducted == pytest.approx(told.stored, rel=1e-9, abs=1e-2)


def test_a_wall_that_has_come_to_rest_holds_its_heat_capacity_times_the_rise() -> None:
    times, course = np.array([0.0, 600.0, 600.0 + 30 * _settling(_DRUM)]), np.array([300.0, 340.0, 340.0])
    told = run_wall(_DRUM, _STEEL, times, course)
    by_hand = _STEEL.density * _STEEL.heat_capacity * pi * (0.64**2 - 0.6**2) * 40.0
    assert told.stored == pytest.approx(by_hand, rel=1e-9)
    assert told.conducted == pytest.approx(by_hand, rel=1e-9)
    assert abs(told.difference[-1]) < 1e-9


def test_ten_thousand_samples_say_the_same_as_two() -> None:
    few = run_wall(_DRUM, _STEEL, np.array([0.0, 900.0]), np.array([300.0, 320.0]))
    many_times = np.linspace(0.0, 900.0, 10_001)
    many = run_wall(_DRUM, _STEEL, many_times, 300.0 + many_times / 45)
    assert many.difference[-1] == pytest.approx(few.difference[-1], rel=1e-9)
    assert many.conducted == pytest.approx(few.conducted, rel=1e-9)


def test_a_warm_up_presses_the_inside_when_it_is_fastest_and_a_cool_down_pulls_at_it() -> None:
    up = np.array([0.0, 1800.0, 3600.0, 7200.0, 9000.0, 12600.0])
    told = run_wall(_DRUM, _STEEL, up, np.array([300.0, 310.0, 360.0, 360.0, 340.0, 340.0]))
    assert told.warming.time == 3600.0
    assert told.warming.stress < 0.0 < told.cooling.stress
    assert told.cooling.time == 9000.0
    # 50 K against 20 K in half an hour, both long settled.
    assert told.warming.difference / told.cooling.difference == pytest.approx(-2.5, rel=1e-6)
    assert told.warming.stress == pytest.approx(float(told.stress.min()), rel=1e-15)


def test_a_boiler_that_only_warms_has_no_cooling_to_tell() -> None:
    told = run_wall(_DRUM, _STEEL, np.array([0.0, 900.0]), np.array([300.0, 320.0]))
    assert (told.cooling.time, told.cooling.difference, told.cooling.stress) == (0.0, 0.0, 0.0)


def test_the_result_is_locked_and_what_was_given_is_left_alone() -> None:
    times, course = np.array([0.0, 900.0]), np.array([300.0, 320.0])
    told = run_wall(_DRUM, _STEEL, times, course)
    with pytest.raises(ValueError, match="read-only"):
        told.difference[0] = 1.0
    with pytest.raises(ValueError, match="read-only"):
        told.time[0] = 1.0
    times[0], course[0] = -1.0, 299.0
    assert told.time[0] == 0.0


@pytest.mark.parametrize(
    ("times", "course", "why"),
    [
        ([0.0], [300.0], "times: how many"),
        ([[0.0, 1.0]], [[300.0, 300.0]], "times: how many"),
        ([0.0, 1.0], [300.0], "temperatures of the inner surface: how many"),
        ([0.0, 0.0], [300.0, 301.0], "time from one sample to the next"),
        ([0.0, 2.0, 1.0], [300.0, 301.0, 302.0], "time from one sample to the next"),
        ([0.0, float("nan")], [300.0, 301.0], "time is nan"),
        ([0.0, float("inf")], [300.0, 301.0], "time is inf"),
        ([0.0, 1.0], [300.0, float("nan")], "temperature of the inner surface is nan"),
        ([0.0, 1.0], [300.0, -40.0], "temperature of the inner surface is -40"),
    ],
)
def test_what_is_no_course_of_temperature_is_refused(times: list[float], course: list[float], why: str) -> None:
    with pytest.raises(ImpossibleValue, match=why):
        run_wall(_DRUM, _STEEL, np.array(times), np.array(course))


def test_a_metal_that_conducts_better_lags_less() -> None:
    copper = Material(
        elasticity=120e9, poisson=0.34, expansion=17e-6, conductivity=390.0, density=8960.0, heat_capacity=390.0
    )
    ramp = (np.array([0.0, 900.0]), np.array([300.0, 320.0]))
    assert run_wall(_DRUM, copper, *ramp).warming.difference > run_wall(_DRUM, _STEEL, *ramp).warming.difference


def test_a_wall_needs_no_compiler() -> None:
    program = "import sys, evenfire.physics.motion.wall; sys.exit('numba' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", program], check=False).returncode == 0


def test_the_example_in_the_docstring_holds() -> None:
    result = doctest.testmod(wall)
    assert result.attempted > 0
    assert result.failed == 0
