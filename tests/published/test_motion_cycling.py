"""On-off cycles of the loop against the textbook's form and the corrected closed form, each where it holds."""

import pytest

from evenfire.physics.firing import cycle_period
from evenfire.physics.motion.model import (
    DELAY,
    DRIVE_BACK,
    DRIVE_OPEN,
    FEED_GIVEN,
    FLAME,
    MAIN,
    PILOT,
    POSTPURGE,
    PREPURGE,
    Model,
    steady,
    undisturbed,
)
from evenfire.physics.motion.run import Run, run
from evenfire.physics.motion.starting import at_pressure
from evenfire.physics.steam import saturation, saturation_temperature
from evenfire.physics.vessel import Vessel, contained_energy, contained_mass, storage
from evenfire.si import PA_PER_PSI, AbsPa
from tests.motion_models import (
    LAUNDRY_WATER,
    TEXTBOOK_PRESSURE,
    TEXTBOOK_WATER,
    at_psig,
    holding_level,
    laundry_like,
    psig,
    standing,
    textbook_boiler,
    textbook_load,
)
from tests.published.test_cycling import BAND, HEAT

_DIFFERENTIAL = 8.0
"""Of the laundry's operating limit [psi]"""
_MIDDLE = at_psig(116)
"""Of its band [Pa abs]"""


def _period(told: Run) -> float:
    """Of whole cycles, the first left out because the run began outside them [s]."""
    assert len(told.cycles) > 4
    return (told.cycles[-1].stopped - told.cycles[1].stopped) / (len(told.cycles) - 2)


def _vessel(model: Model, water: float) -> Vessel:
    """As the closed forms know it; the metal's heat counts, not its mass [m3]."""
    volume, metal = float(model.vessel.volume), float(model.vessel.metal_heat)
    return Vessel(water_volume=water, steam_volume=volume - water, metal_mass=metal, metal_heat_capacity=1.0)


@pytest.mark.parametrize("share", [0.02, 0.05, 0.1, 0.3, 0.5, 0.7, 0.9, 0.95, 0.98])
def test_the_textbook_boiler_cycles_as_the_textbook_says(share: float) -> None:
    # N = Q X (1 - X)/(C D) with the 6256 Btu/psi that were calculated with an independent steam library.
    expected = HEAT * share * (1 - share) / BAND
    model = textbook_boiler()
    first = at_pressure(model, TEXTBOOK_PRESSURE, TEXTBOOK_WATER)
    told = run(model, textbook_load(model, share), first, duration=86400.0, interval=3600.0)
    assert 3600 / _period(told) == pytest.approx(expected, rel=0.01)
    assert abs(told.closure.mass) <= 1e-6
    assert abs(told.closure.energy) <= 1e-6


def _cycling(*, chain: float, lag: float, purge: float) -> Model:
    """The laundry's boiler with a start chain and a purge that many times as long or strong, and a heat lag [s].

    Its firing-rate control sits low, so that no undershoot brings it below the low-fire point.
    """
    model = laundry_like()
    model.controls.high_fire, model.controls.low_fire = at_psig(80), at_psig(90)
    model.burner.heat_lag = lag
    model.burner.durations *= chain
    model.burner.purge_conductance *= purge
    return model


def _closed_form(model: Model, share: float, stored: float) -> float:
    """The corrected closed form [s] for a load of a share of full fire and a storage [J/Pa].

    What the model has beside the form is put in its terms: the standing loss counts as load; heat reaches the water
    ``lag`` later, so that much longer is the chain; purge air flows as the damper stands, low fire's share of it while
    the damper is at low fire and the mean of both while it drives, and its cooling is spread over the chain.
    """
    burner, lasts = model.burner, model.burner.durations
    warmth = saturation_temperature(_MIDDLE) - float(model.vessel.room_temperature)
    full, lowest, lag = float(burner.full_heat), float(burner.lowest), float(burner.heat_lag)
    heat, load = lowest * full, share * full + float(model.vessel.loss_conductance) * warmth
    at_low = lasts[PILOT] + lasts[MAIN]
    driving = lasts[DRIVE_OPEN] + lasts[DRIVE_BACK]
    before = lasts[DELAY] + driving + lasts[PREPURGE] + at_low + 0.5 * lasts[FLAME] + lag
    air = (lasts[PREPURGE] + 0.5 * (1 + lowest) * driving + lowest * at_low) / before
    cooling = float(burner.purge_conductance) * warmth * air
    after = float(lasts[POSTPURGE]) * lowest / air
    band = stored * _DIFFERENTIAL * PA_PER_PSI
    return float(cycle_period(load, heat, band, float(before), lag, float(cooling), after))


def _balanced(model: Model, share: float) -> Run:
    """Three days with as much feed as steam, which disturbs no pressure."""
    model.feed.kind = FEED_GIVEN
    gives = saturation(_MIDDLE).steam_enthalpy - float(model.vessel.feed_enthalpy)
    flow = share * float(model.burner.full_heat) / gives
    inputs = undisturbed(steady(flow))._replace(given_feed=steady(flow))
    return run(model, inputs, standing(model, 115), duration=3 * 86400.0, interval=3600.0)


@pytest.mark.parametrize("share", [0.02, 0.05, 0.1, 0.15, 0.2])
@pytest.mark.parametrize(
    ("chain", "lag", "purge"),
    [(1.0, 8.0, 1.0), (1.0, 0.0, 1.0), (2.0, 15.0, 1.0), (0.2, 5.0, 1.0), (1.0, 8.0, 3.0), (1.0, 8.0, 0.0)],
)
def test_the_laundry_cycles_as_the_corrected_closed_form_says(
    chain: float, lag: float, purge: float, share: float
) -> None:
    model = _cycling(chain=chain, lag=lag, purge=purge)
    told = _balanced(model, share)
    assert told.lowest.pressure > model.controls.low_fire - model.vessel.ambient, "the form does not hold here"
    stored = storage(_vessel(model, LAUNDRY_WATER), _MIDDLE)
    assert _period(told) == pytest.approx(_closed_form(model, share, stored), rel=0.01)
    assert abs(told.closure.mass) <= 1e-6
    assert abs(told.closure.energy) <= 1e-6


@pytest.mark.parametrize("share", [0.1, 0.15, 0.2])
def test_a_held_level_cycles_faster_by_the_feed_that_breathes_with_it(share: float) -> None:
    # With the level held, water that warms and swells is made up by less feed, which leaves less to be heated: the
    # storage is dU/dp - h_feed dM/dp at constant volume of water, 6 or 7 % less than that of a closed vessel here.
    model = _cycling(chain=1.0, lag=8.0, purge=1.0)
    vessel, step = _vessel(model, LAUNDRY_WATER), 100.0
    above, below = AbsPa(_MIDDLE + step), AbsPa(_MIDDLE - step)
    energy = contained_energy(vessel, above) - contained_energy(vessel, below)
    mass = contained_mass(vessel, above) - contained_mass(vessel, below)
    stored = (energy - float(model.vessel.feed_enthalpy) * mass) / (2 * step)
    assert stored < 0.96 * storage(vessel, _MIDDLE)

    gives = saturation(_MIDDLE).steam_enthalpy - float(model.vessel.feed_enthalpy)
    inputs = undisturbed(steady(share * float(model.burner.full_heat) / gives))
    told = run(holding_level(model), inputs, standing(model, 115), duration=86400.0, interval=10.0)
    assert told.series.feed.min() > 0, "a pump cannot take water out: the level is not held"
    assert psig(told.lowest.pressure + model.vessel.ambient) > 90
    assert _period(told) == pytest.approx(_closed_form(model, share, stored), rel=0.01)
