"""The small boiler of the blind tests against balances, textbook formulas and another library: it must be right itself.

Formulas of cycling, run-on, undershoot and standing pressure: textbook, derived from a balance of heat (common
practice, no source); the proportional band as in DOE-HDBK-1013/2-92 (P).
"""

from math import exp

import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI
from scipy.integrate import simpson

from tests.blind.boilers import COIL, FIRETUBE, FOOT3, MAKES, POUND, PSI, VERTICAL, WATERTUBE, draw_boiler
from tests.blind.loads import Regime, low_share, outside, shares_of
from tests.blind.running import Floats, begin, go_on
from tests.blind.stepping import (
    AT_OPERATING_LIMIT,
    FEED,
    HEAT,
    ON_OFF,
    POSITION,
    PRESSURE,
    PROPORTIONAL,
    STEAM,
    WATER,
)
from tests.blind.textbook import plain, steady, textbook_boiler
from tests.blind.waters import STEAM_ENTHALPY, at, mass_and_energy

SCAN = 1.0
"""The controls of the small boiler look once a second [s]."""


@pytest.mark.parametrize("kind", [FIRETUBE, VERTICAL, WATERTUBE, COIL])
def test_mass_and_energy_close_over_an_ugly_day_by_another_quadrature(kind: str) -> None:
    rng = np.random.default_rng(17)
    boiler = draw_boiler(rng, kind, MAKES[kind].actions[0], is_ugly=True)
    shares = shares_of(rng, Regime.DAY, 86_400, low_share(boiler), low_share(boiler))
    script = outside(rng, boiler, shares, [], steps_at_cut_out=True).script
    trace = go_on(boiler, begin(boiler, boiler.works.cut_out - 0.5 * boiler.works.differential), script).trace
    works = boiler.works
    pressure = trace[:, PRESSURE] + works.ambient
    mass, energy = mass_and_energy(pressure, trace[:, WATER], works.volume, works.metal)
    steam_heat = trace[:, STEAM] * at(pressure, STEAM_ENTHALPY)
    # The loop adds up rectangles and the means of two slopes; here the ends of the seconds go through parabolas.
    made = simpson(trace[:, FEED] - trace[:, STEAM])
    gained = simpson(trace[:, HEAT] - works.standing_loss + trace[:, FEED] * works.feed_enthalpy - steam_heat)
    through = float(trace[:, STEAM].sum())
    assert mass[-1] - mass[0] == pytest.approx(made, abs=2e-4 * through)
    assert energy[-1] - energy[0] == pytest.approx(gained, abs=5e-4 * float(trace[:, HEAT].sum()))


def test_what_the_boiler_holds_agrees_with_an_independent_library() -> None:
    pressure, water, volume, metal = 9.0e5, 4.0, 5.5, 3.0e6
    liquid, steam = (PropsSI("D", "P", pressure, "Q", quality, "IF97::Water") for quality in (0, 1))
    of_liquid, of_steam = (PropsSI("H", "P", pressure, "Q", quality, "IF97::Water") for quality in (0, 1))
    boiling = PropsSI("T", "P", pressure, "Q", 0, "IF97::Water")
    mass, energy = mass_and_energy(np.array([pressure]), np.array([water]), volume, metal)
    assert mass[0] == pytest.approx(liquid * water + steam * (volume - water), rel=1e-6)
    # Enthalpies have no common zero for metal, so the metal is held against its own kelvins.
    held = liquid * of_liquid * water + steam * of_steam * (volume - water) - pressure * volume + metal * boiling
    assert energy[0] == pytest.approx(held, rel=1e-6)


def test_half_a_cubic_foot_gives_a_boiler_horsepower_for_a_minute_as_in_print() -> None:
    """HB1919 (P): from 180 to 150 psig half a cubic foot of water gives 30 lb/h for one minute; within 10 %."""
    boiler = textbook_boiler(ON_OFF, ambient=101_325.0, metal=0.0, volume=0.5 * FOOT3, water_normal=0.5 * FOOT3)
    boiler = boiler.turned(input_high=0.0, pump_flow=0.0)
    hidden = go_on(boiler, begin(boiler, 180.0 * PSI), plain(np.full(120, 30.0 * POUND / 3600.0)))
    seconds = int(np.argmax(hidden.column(PRESSURE) < 150.0 * PSI))
    assert seconds == pytest.approx(60, rel=0.10)


@pytest.mark.parametrize("share", [0.2, 0.35, 0.5, 0.65, 0.8])
def test_cycles_last_as_long_as_the_textbook_says(share: float) -> None:
    boiler = textbook_boiler(ON_OFF)
    heat, load = boiler.heat_high, share * boiler.heat_high
    periods = np.diff(steady(boiler, load, 24.0).stops[1:, 0])
    stored = boiler.storage * boiler.works.differential
    expected = stored / (heat - load) + stored / load
    # Each end of a cycle waits for the next scan: half a second late on average, and the overshoot runs back as well.
    late = SCAN * (heat / load + heat / (heat - load)) / 2.0
    assert float(periods.mean()) == pytest.approx(expected + late, rel=0.01)
    assert float(periods.mean()) == pytest.approx(expected, rel=0.03)


def test_cycling_is_worst_at_half_load() -> None:
    boiler = textbook_boiler(ON_OFF)
    counts = {share: len(steady(boiler, share * boiler.heat_high, 48.0).stops) for share in np.arange(0.2, 0.85, 0.1)}
    assert max(counts, key=counts.__getitem__) == pytest.approx(0.5)
    most = 48.0 * 3600.0 * boiler.heat_high / (4.0 * boiler.storage * boiler.works.differential)
    assert max(counts.values()) == pytest.approx(most, rel=0.03)


@pytest.mark.parametrize(("lag", "dead"), [(5.0, 0.0), (8.0, 0.0), (8.0, 3.0), (15.0, 2.0)])
def test_pressure_runs_on_by_the_heat_that_is_on_its_way(lag: float, dead: float) -> None:
    boiler = textbook_boiler(ON_OFF, heat_lag=lag, heat_delay=dead)
    works = boiler.works
    hidden = steady(boiler, 0.0, 0.75, works.cut_out - 40.0 * PSI)
    assert int(hidden.stops[0, 1]) == AT_OPERATING_LIMIT
    at_stop = int(hidden.stops[0, 0])
    before = hidden.column(PRESSURE)[at_stop - 1]
    run_on = hidden.column(PRESSURE)[at_stop:].max() - before
    assert at_stop > 6.0 * (lag + dead), "the heat must have come through before the stop"
    stored = boiler.storage_at(before + 0.5 * run_on)
    assert run_on == pytest.approx(boiler.heat_high * (lag + dead) / stored, rel=0.03)


def test_pressure_falls_on_while_the_burner_starts() -> None:
    boiler = textbook_boiler(ON_OFF, delay=3.0, purge=60.0, pilot=10.0, purge_cooling=2e4)
    load = 0.4 * boiler.heat_high
    hidden = steady(boiler, load, 6.0)
    cut_in, following = hidden.cut_ins[2], hidden.cut_ins[2, 0] + 200.0
    lowest = hidden.column(PRESSURE)[int(cut_in[0]) : int(following)].min()
    # Purge cools for its 60 seconds and the 10 of the pilot; the load draws for all 73.
    expected = (load * 73.0 + 2e4 * 70.0) / boiler.storage_at(0.5 * (cut_in[1] + lowest))
    assert cut_in[1] - lowest == pytest.approx(expected, rel=0.03)


@pytest.mark.parametrize("share", [0.35, 0.5, 0.75])
def test_a_proportional_control_stands_where_the_load_puts_it_in_its_band(share: float) -> None:
    boiler = textbook_boiler(PROPORTIONAL, stroke=20.0)
    works = boiler.works
    least = 1.0 / works.turndown
    hidden = steady(boiler, share * boiler.heat_high, 4.0, works.fire_point + 0.5 * works.fire_range)
    below = works.fire_point + works.fire_range - hidden.column(PRESSURE)[-600:].mean()
    assert below / works.fire_range == pytest.approx((share - least) / (1.0 - least), abs=0.02)


def test_heat_follows_the_fire_through_one_lag() -> None:
    boiler = textbook_boiler(ON_OFF, heat_lag=10.0)
    hidden = steady(boiler, 0.0, 0.05, boiler.works.cut_out - 30.0 * PSI)
    heat = hidden.column(HEAT)
    first = int(np.argmax(heat > 0.0))
    assert heat[first + 9] / boiler.heat_high == pytest.approx(1.0 - exp(-1.0), rel=1e-3)


def test_a_drive_moves_as_fast_as_its_stroke_and_no_faster() -> None:
    boiler = textbook_boiler(PROPORTIONAL, stroke=30.0)
    works = boiler.works
    hidden = steady(boiler, 0.9 * boiler.heat_high, 0.5, works.fire_point - 5.0 * PSI)
    position: Floats = hidden.column(POSITION)
    assert np.abs(np.diff(position)).max() == pytest.approx(1.0 / 30.0, rel=1e-9)
    assert int(np.argmax(position >= 0.999)) == pytest.approx(30, abs=2)
