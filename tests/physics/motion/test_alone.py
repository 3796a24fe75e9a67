"""The vessel alone: heat, feed and steam in, a trajectory out."""

import doctest
from collections.abc import Callable
from math import inf, nan
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from evenfire.errors import Diverged, ImpossibleValue
from evenfire.physics.motion import alone
from evenfire.physics.motion.alone import Given, SteamValve, VesselRun, run_vessel
from evenfire.physics.steam import saturation, saturation_pressure
from evenfire.physics.vessel import Exchange, Vessel, contained_energy, contained_mass, pressure_rate
from evenfire.si import STANDARD_ATMOSPHERE_PA, AbsPa

_FEED = 4.2e5
_KETTLE = Vessel(water_volume=1.0, steam_volume=0.5, metal_mass=1000.0, metal_heat_capacity=480.0)
_TWENTY_HORSEPOWER = Vessel(water_volume=0.9, steam_volume=0.15, metal_mass=1300.0, metal_heat_capacity=480.0)
_DRUM = Vessel(water_volume=57.2, steam_volume=30.8, metal_mass=300_000.0, metal_heat_capacity=550.0)


def _told(
    pressure: float = 8e5,
    *,
    vessel: Vessel = _KETTLE,
    heat: Given = 0.0,
    feed: Given = 0.0,
    steam: Given | SteamValve = 0.0,
    feed_enthalpy: float = _FEED,
    duration: float = 600.0,
    interval: float = 10.0,
) -> VesselRun:
    return run_vessel(
        vessel,
        AbsPa(pressure),
        heat=heat,
        feed=feed,
        steam=steam,
        feed_enthalpy=feed_enthalpy,
        duration=duration,
        interval=interval,
    )


def _closes(told: VesselRun) -> bool:
    return abs(told.closure.mass) <= 1e-6 and abs(told.closure.energy) <= 1e-6


def _solved(vessel: Vessel, pressure: float, exchange: Callable[[float], Exchange], times: list[float]) -> list[float]:
    """Pressure by an independent solver, straight from the steam library and the static vessel [Pa abs]."""

    def rates(time: float, now: list[float]) -> list[float]:
        at, given = saturation(AbsPa(now[0])), exchange(time)
        water = (now[1] - at.steam_density * vessel.volume) / (at.liquid_density - at.steam_density)
        inside = Vessel(
            water_volume=water,
            steam_volume=vessel.volume - water,
            metal_mass=vessel.metal_mass,
            metal_heat_capacity=vessel.metal_heat_capacity,
        )
        return [pressure_rate(inside, AbsPa(now[0]), given), given.feed_flow - given.steam_flow]

    start = [pressure, contained_mass(vessel, AbsPa(pressure))]
    solved = solve_ivp(rates, (0.0, times[-1]), start, "LSODA", times, rtol=1e-10, atol=1e-6, max_step=times[1])
    return [float(each) for each in solved.y[0]]


@pytest.mark.parametrize(
    ("vessel", "pressure", "size"),
    [(_TWENTY_HORSEPOWER, 2e5, 2e5), (_TWENTY_HORSEPOWER, 1e3, 1e4), (_DRUM, 85e5, 5e7), (_DRUM, 160e5, 2e7)],
    ids=["20 bhp at 1 bar", "20 bhp in vacuum", "drum", "drum near 165 bar"],
)
def test_a_vessel_moves_as_an_independent_solver_and_the_steam_library_say(
    vessel: Vessel, pressure: float, size: float
) -> None:
    times = [20.0 * place for place in range(16)]
    flow = 0.4 * size / 2.2e6

    def exchange(time: float) -> Exchange:
        wave = 1.0 if (time // 60) % 2 else -1.0
        ramp = wave * (1 - abs((time % 60) / 30 - 1))
        return Exchange(
            heat=0.2 * size * (2 + ramp), steam_flow=flow, feed_flow=0.5 * flow * (1 - ramp), feed_enthalpy=_FEED
        )

    told = _told(
        pressure,
        vessel=vessel,
        heat=lambda time: exchange(time).heat,
        feed=lambda time: exchange(time).feed_flow,
        steam=flow,
        duration=300.0,
        interval=10.0,
    )
    expected = _solved(vessel, pressure, exchange, times)
    assert told.pressure[::2] == pytest.approx(expected, rel=2e-7)
    assert _closes(told)


@given(
    pressure=st.floats(0.0, 1.0).map(lambda share: 2e3 * 7500**share),
    litres=st.floats(20.0, 9e4),
    filled=st.floats(0.2, 0.8),
    heat=st.lists(st.floats(-1.0, 1.0), min_size=7, max_size=7),
    feed=st.lists(st.floats(0.0, 1.0), min_size=7, max_size=7),
    steam=st.lists(st.floats(0.0, 1.0), min_size=7, max_size=7),
)
def test_mass_and_energy_are_what_went_in_and_out(
    pressure: float, litres: float, filled: float, heat: list[float], feed: list[float], steam: list[float]
) -> None:
    volume = litres / 1000
    vessel = Vessel(
        water_volume=filled * volume, steam_volume=(1 - filled) * volume, metal_mass=0.0, metal_heat_capacity=480.0
    )
    # So small that neither water nor pressure can leave what is known: 2 % of the mass, 5 K.
    mass = contained_mass(vessel, AbsPa(pressure))
    heats, feeds, steams = (np.array(each) for each in (heat, feed, steam))
    told = _told(
        pressure,
        vessel=vessel,
        heat=heats * mass * 4e3 * 2 / 60,
        feed=feeds * mass * 0.002 / 60,
        steam=steams * mass * 0.002 / 60,
        duration=60.0,
    )

    def gone(samples: np.ndarray[Any, np.dtype[np.float64]]) -> float:
        """The integral of the straight lines between samples."""
        return float(np.sum(samples[1:] + samples[:-1])) * 5.0

    assert told.mass[0] == pytest.approx(mass, rel=1e-8)
    change = (gone(feeds) - gone(steams)) * mass * 0.002 / 60
    assert told.mass[-1] - told.mass[0] == pytest.approx(change, abs=1e-9 * mass)
    end = Vessel(
        water_volume=float(told.water_volume[-1]),
        steam_volume=volume - float(told.water_volume[-1]),
        metal_mass=0.0,
        metal_heat_capacity=480.0,
    )
    after, before = contained_energy(end, AbsPa(float(told.pressure[-1]))), contained_energy(vessel, AbsPa(pressure))
    went_in = gone(heats) * mass * 4e3 * 2 / 60 + gone(feeds) * mass * 0.002 / 60 * _FEED
    # Steam leaves with the enthalpy of its moment, between those of the ends or a little outside: 1 % of its energy.
    steam_out = gone(steams) * mass * 0.002 / 60 * saturation(AbsPa(pressure)).steam_enthalpy
    assert after - before == pytest.approx(went_in - steam_out, abs=0.01 * steam_out + 1e-6 * abs(before))
    assert _closes(told)


def test_the_example_that_an_engineer_can_check_by_hand_holds() -> None:
    result = doctest.testmod(alone)
    assert result.attempted > 0
    assert result.failed == 0


def test_numbers_samples_and_functions_of_the_same_meaning_give_the_same_digits() -> None:
    rows = np.full(61, 1e6)
    as_number = _told(heat=1e6, feed=0.1, steam=0.2)
    as_samples = _told(heat=rows, feed=np.full(61, 0.1), steam=np.full(61, 0.2))
    as_function = _told(heat=lambda time: 1e6 + 0 * time, feed=lambda _: 0.1, steam=lambda _: 0.2)
    assert as_number.pressure.tobytes() == as_samples.pressure.tobytes() == as_function.pressure.tobytes()
    assert as_number.identity == as_samples.identity == as_function.identity


def test_between_samples_a_quantity_runs_in_a_straight_line() -> None:
    told = _told(steam=np.array([0.0, 1.0, 0.0]), heat=2e5, duration=20.0, interval=10.0)
    assert told.mass[0] - told.mass[1] == pytest.approx(5.0, rel=1e-9)
    assert told.mass[0] - told.mass[2] == pytest.approx(10.0, rel=1e-9)
    assert told.steam.tolist() == pytest.approx([0.0, 1.0, 0.0])


def test_the_result_has_a_row_for_each_end_of_an_interval_and_is_locked() -> None:
    # 0.3/0.1 is below 3 in binary; the last row must be there all the same.
    for duration, interval, rows in ((0.3, 0.1, 4), (600.0, 10.0, 61), (1.1, 1.1, 2), (0.7, 0.1, 8)):
        told = _told(heat=1e5, duration=duration, interval=interval)
        for name in ("time", "pressure", "temperature", "water_volume", "mass", "heat", "feed", "steam"):
            column = getattr(told, name)
            assert column.shape == (rows,)
            assert np.isfinite(column).all()
            assert not column.flags.writeable
        assert told.time[-1] == pytest.approx(duration, rel=1e-12)


def test_the_vessel_is_as_warm_as_its_steam() -> None:
    told = _told(heat=1e6)
    for pressure, temperature in zip(told.pressure[::20], told.temperature[::20], strict=True):
        assert saturation_pressure(float(temperature)) == pytest.approx(pressure, rel=1e-7)


def test_a_valve_passes_its_stated_flow_at_its_reference_and_in_proportion_while_it_chokes() -> None:
    valve = SteamValve(flow=0.1, reference=AbsPa(8e5), back_pressure=AbsPa(STANDARD_ATMOSPHERE_PA))
    told = _told(8e5, steam=valve, duration=3600.0)
    assert told.steam[0] == pytest.approx(0.1, rel=1e-9)
    choked = told.pressure > STANDARD_ATMOSPHERE_PA / 0.577
    assert choked.sum() > 50
    assert told.steam[choked] == pytest.approx(0.1 * told.pressure[choked] / 8e5, rel=1e-9)
    assert _closes(told)


def test_a_valve_that_does_not_choke_at_its_reference_passes_its_stated_flow_there_too() -> None:
    valve = SteamValve(flow=0.1, reference=AbsPa(1.3e5), back_pressure=AbsPa(1e5))
    assert _told(1.3e5, steam=valve).steam[0] == pytest.approx(0.1, rel=1e-9)


def test_a_valve_lets_the_pressure_down_to_what_stands_behind_it_and_no_further() -> None:
    for behind in (AbsPa(1e4), AbsPa(1e5), AbsPa(5e5)):
        valve = SteamValve(flow=1.0, reference=AbsPa(8e5), back_pressure=behind)
        told = _told(8e5, steam=valve, duration=7200.0)
        assert (np.diff(told.pressure) <= 0).all()
        assert behind <= told.pressure[-1] < 1.02 * behind


_SIXTY = np.ones(60)
_WITH_A_HOLE = np.where(np.arange(61) == 7, nan, 1.0)
_BELOW_NOUGHT = np.where(np.arange(61) == 60, -1e-9, 1.0)


@pytest.mark.parametrize(
    ("mistake", "message"),
    [
        ({"heat": nan}, "heat: sample 0 is nan"),
        ({"heat": _WITH_A_HOLE}, "heat: sample 7 is nan"),
        ({"heat": lambda time: inf if time > 99 else 0.0}, "heat: sample 10 is inf"),
        ({"heat": _SIXTY}, "heat: samples in one row is 60 .*must be exactly 61"),
        ({"steam": np.ones((61, 1))}, "steam: samples in one row"),
        ({"feed": np.ones(0)}, "feed: samples in one row is 0"),
        ({"steam": -0.1}, "steam is -0.1"),
        ({"feed": -0.1}, "feed is -0.1"),
        ({"feed": _BELOW_NOUGHT}, "feed is -1e-09"),
        ({"steam": 1e9}, r"steam is 1e\+09 .*at most"),
        ({"steam": nan}, "steam: sample 0 is nan"),
        ({"duration": 25.0}, "duration is 25 .*whole number of intervals of 10"),
        ({"duration": 5.0}, "interval is 10 .*at most 5"),
        ({"duration": 0.0}, "duration is 0"),
        ({"duration": nan}, "duration is nan"),
        ({"duration": inf}, "duration is inf"),
        ({"duration": 1e9}, r"duration is 1e\+09"),
        ({"interval": 0.0}, "interval is 0"),
        ({"interval": -1.0}, "interval is -1"),
        ({"interval": 1e-9}, "interval is 1e-09"),
        ({"pressure": 500.0}, "pressure is 500 .*at least 611.657"),
        ({"pressure": -1.0}, "pressure is -1"),
        ({"pressure": nan}, "pressure is nan"),
        ({"pressure": 166e5}, r"pressure is 1.66e\+07 .*at most"),
        ({"feed_enthalpy": nan}, "feed enthalpy is nan"),
        ({"feed_enthalpy": -1.0}, "feed enthalpy is -1"),
        ({"feed_enthalpy": 1e7}, r"feed enthalpy is 1e\+07"),
    ],
    ids=lambda value: value if isinstance(value, str) else "",
)
def test_a_mistake_is_one_error_that_names_it(mistake: dict[str, Any], message: str) -> None:
    with pytest.raises(ImpossibleValue, match=message):
        _told(**mistake)


@pytest.mark.parametrize(
    ("flow", "reference", "behind", "message"),
    [
        (-1.0, 8e5, 1e5, "flow is -1"),
        (nan, 8e5, 1e5, "flow is nan"),
        (1.0, 500.0, 1e5, "reference is 500"),
        (1.0, 8e5, 0.0, "back pressure is 0"),
        (1.0, 8e5, nan, "back pressure is nan"),
        (1.0, 1e5, 1e5, "back pressure is 100000 .*below 100000"),
        (1.0, 1e5, 1.5e5, "back pressure is 150000 .*below 100000"),
    ],
)
def test_a_valve_that_cannot_be_is_refused(flow: float, reference: float, behind: float, message: str) -> None:
    with pytest.raises(ImpossibleValue, match=message):
        SteamValve(flow=flow, reference=AbsPa(reference), back_pressure=AbsPa(behind))


@pytest.mark.parametrize(
    ("heat", "feed", "steam", "why"),
    [
        (1e7, 0.0, 0.0, "filled the boiler|left the range"),
        (-1e7, 0.0, 0.0, "left the range"),
        (0.0, 0.0, 1.0, "left the range"),
        (3e6, 0.0, 1.5, "ran dry"),
        (1e6, 1.0, 0.0, "filled the boiler"),
        (1e300, 0.0, 0.0, "left the range"),
    ],
)
def test_a_vessel_driven_out_of_what_is_known_says_when_and_where(
    heat: float, feed: float, steam: float, why: str
) -> None:
    with pytest.raises(Diverged, match=why) as told:
        _told(heat=heat, feed=feed, steam=steam, duration=3600.0)
    assert 0 <= told.value.time.value < 3600
    assert told.value.contents.value < 1500


def test_a_vessel_that_boils_dry_is_caught_while_there_is_something_in_it() -> None:
    with pytest.raises(Diverged, match="ran dry") as told:
        _told(heat=3e6, steam=1.5, duration=3600.0)
    assert told.value.contents.value > 0
