"""Where runs begin: the load's own pressure, by the firing line and the heat of a pound of steam, worked out by hand.

Steam: IF97 by another library. Conversions as in the tests of modelling, written out.
"""

import numpy as np
import pytest
import seuif97

from evenfire.judgement.motion.beginning import at, at_work, from_cold, standing_under
from evenfire.judgement.motion.loading import profile_of
from evenfire.judgement.motion.modelling import boiler_model
from evenfire.physics.motion.model import OFF, RELEASED, steady
from evenfire.physics.motion.state import State
from evenfire.plant.load import Steps
from evenfire.si import GaugePa
from tests.surveys import case_of, survey

PSI = 6894.757
GALLON = 3.785412e-3
AIR = 101325 * (1 - 2.25577e-5 * 40 * 0.3048) ** 5.25588
LEG = 0.433 * 0.5
LOSS = 70_000 * 1055.056 / 3600
FULL = 8.35e6 * 0.81 * 1055.056 / 3600
STATED: dict[str, object] = {"boiler.standing_loss": "70,000 Btu/h"}
MEGAPASCALS = (AIR + 105 * PSI) / 1e6
PER_STEAM = 1000 * (seuif97.px(MEGAPASCALS, 1.0, 4) - seuif97.pt(MEGAPASCALS, (200 - 32) / 1.8, 4))
"""From feedwater of 200 F to steam at 105 psi [J/kg]."""


def standing(share: float, edits: dict[str, object] | None = None) -> State:
    """The laundry under a load that takes this share of full fire, standing loss included."""
    case = case_of(survey(STATED | (edits or {})))
    return standing_under(case, boiler_model(case), (share * FULL - LOSS) / PER_STEAM)


def psi(state: State) -> float:
    return (float(state.contents.pressure) - AIR) / PSI


@pytest.mark.parametrize("share", [0.3, 0.5, 0.8, 1.0])
def test_under_load_a_proportional_control_stands_on_its_line(share: float) -> None:
    # Full fire at 110 psi, low fire (a quarter) at 125 psi, straight between; half a foot of water leg off.
    state = standing(share)
    position = (share - 0.25) / 0.75
    assert psi(state) == pytest.approx(125 - LEG - 15 * position, abs=0.02)
    assert state.flame.phase == RELEASED
    assert state.flame.position == pytest.approx(position, abs=1e-3)
    # Eight seconds of the fire are on their way.
    assert state.contents.on_the_way == pytest.approx(8 * FULL * share, rel=1e-3)


@pytest.mark.parametrize("share", [0.05, 0.24])
def test_below_low_fire_load_the_boiler_stands_at_cut_in_with_its_burner_off(share: float) -> None:
    state = standing(share)
    assert psi(state) == pytest.approx(112 - LEG, abs=1e-3)
    assert state.flame.phase == OFF
    assert state.contents.on_the_way == 0.0


def test_a_load_beyond_full_fire_stands_at_the_high_fire_point() -> None:
    state = standing(1.4)
    assert psi(state) == pytest.approx(110 - LEG, abs=1e-3)
    assert state.flame.position == pytest.approx(1.0)


def test_a_hand_caps_the_drive_where_it_stands() -> None:
    assert standing(0.9, {"boiler.as_found.manual_cap": "55 %"}).flame.position == pytest.approx(0.40)
    assert standing(0.4, {"boiler.as_found.manual_cap": "55 %"}).flame.position == pytest.approx(0.20, abs=1e-3)


def test_an_on_off_burner_stands_at_cut_in_under_any_load() -> None:
    case = case_of(survey(plant="vertical"))
    model = boiler_model(case)
    state = standing_under(case, model, 0.04)
    assert state.contents.pressure == model.controls.cut_in
    assert state.flame.phase == OFF


LOW_HIGH: dict[str, object] = {"boiler.burner.firing": "low-high-off"}


def test_a_burner_in_two_steps_has_just_gone_down_at_its_low_fire_point() -> None:
    # Low fire at 117 psi, below the cut-out of 120 psi.
    state = standing(0.6, LOW_HIGH | {"boiler.as_found.firing_rate": "102 psi"})
    assert psi(state) == pytest.approx(117 - LEG, abs=1e-3)
    assert (state.flame.phase, state.flame.position) == (RELEASED, 0.0)


def test_a_burner_in_two_steps_that_is_cut_out_first_stands_at_cut_in() -> None:
    # Low fire at 125 psi is never reached: the cut-out comes at 120 psi.
    for share, edits in ((0.6, LOW_HIGH), (0.2, LOW_HIGH | {"boiler.as_found.firing_rate": "102 psi"})):
        state = standing(share, edits)
        assert psi(state) == pytest.approx(112 - LEG, abs=1e-3)
        assert state.flame.phase == OFF


def test_a_day_begins_under_the_load_of_its_first_moment() -> None:
    case = case_of(survey(STATED))
    model = boiler_model(case)
    first, later = (0.5 * FULL - LOSS) / PER_STEAM, (0.9 * FULL - LOSS) / PER_STEAM
    state = at_work(case, model, profile_of(Steps(steps=((600.0, first), (600.0, later)))))
    assert psi(state) == pytest.approx(125 - LEG - 15 / 3, abs=0.02)
    assert at_work(case, model, steady(later)).contents.pressure < state.contents.pressure


def test_hot_at_a_gauge_pressure_with_the_burner_off() -> None:
    case = case_of(survey())
    state = at(case, boiler_model(case), GaugePa(90 * PSI))
    assert state.contents.pressure == pytest.approx(AIR + 90 * PSI, rel=1e-6)
    assert state.flame.phase == OFF
    # 1450 gal of boiling water, and 65 ft3 of steam above it.
    megapascals = (AIR + 90 * PSI) / 1e6
    water, steam = 1450 * GALLON / seuif97.px(megapascals, 0.0, 3), 65 * 0.3048**3 / seuif97.px(megapascals, 1.0, 3)
    assert state.contents.mass == pytest.approx(water + steam, rel=1e-4)


@pytest.mark.parametrize("celsius", [20.0, 45.0])
def test_cold_it_is_vented_and_as_warm_as_it_is_said_to_be(celsius: float) -> None:
    case = case_of(survey())
    model = boiler_model(case)
    state = from_cold(case, model) if celsius == 20.0 else from_cold(case, model, 273.15 + celsius)
    assert state.contents.is_vented
    # Vapour pressure of water: 2.339 kPa at 20 C, 9.595 kPa at 45 C (steam tables, from memory).
    assert state.contents.pressure == pytest.approx({20.0: 2339, 45.0: 9595}[celsius], rel=2e-3)
    # 998.2 and 990.2 kg/m3 (same).
    assert state.contents.mass == pytest.approx({20.0: 998.2, 45.0: 990.2}[celsius] * 1450 * GALLON, rel=1e-3)
    assert state.flame.phase == OFF
    assert np.isclose(state.sensed.operating_limit, model.vessel.ambient)
