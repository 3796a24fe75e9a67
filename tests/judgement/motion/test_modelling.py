"""Every number of a surveyed boiler arrives where the loop takes it, by the arithmetic of the plant file's own units.

Conversions are written out here (NIST SP 811, from memory): 1 psi = 6894.757 Pa, 1 ft = 0.3048 m, 1 US gallon =
3.785412 l, 1 lb = 0.4535924 kg, 1 Btu = 1055.056 J. Steam: IF97 by another library.
"""

from dataclasses import replace
from math import inf

import numpy as np
import pytest
import seuif97

from evenfire.judgement.case import Case, prepare
from evenfire.judgement.motion.modelling import (
    Shifts,
    _heat_lag,
    _lag,
    boiler_model,
    burner_on,
    normal_volume,
    working_pressure,
)
from evenfire.physics.motion import model as parts
from evenfire.physics.motion.model import Model
from evenfire.plant.burner import Fuel
from evenfire.plant.known import Datum, Missing, NotKnownError, Origin
from evenfire.si import GaugePa
from tests.surveys import case_of, survey

PSI = 6894.757
GALLON = 3.785412e-3
FOOT = 0.3048
POUND = 0.4535924
BTU = 1055.056
POUND_PER_HOUR = POUND / 3600
AIR: float = 101325 * (1 - 2.25577e-5 * 40 * FOOT) ** 5.25588
"""Of the standard atmosphere at the laundry's 40 ft (ICAO, from memory) [Pa]."""
LEG = 0.433 * 0.5
"""Half a foot of water below the tap presses on each control of the laundry, which acts so much early [psi]."""


def gauge(psi: float) -> float:
    """Absolute pressure of a gauge pressure at the laundry [Pa]."""
    return AIR + psi * PSI


def laundry(edits: dict[str, object] | None = None) -> Case:
    return case_of(survey(edits))


def model_of(edits: dict[str, object] | None = None, shifts: Shifts | None = None) -> Model:
    case = laundry(edits)
    return boiler_model(case) if shifts is None else boiler_model(case, None, shifts)


def test_the_vessel_of_the_laundry() -> None:
    vessel = model_of({"boiler.standing_loss": "70,000 Btu/h", "boiler.vacuum_breaker": False}).vessel
    # 1450 gal and 65 ft3; 17,500 lb of steel at 0.115 Btu/(lb F).
    assert vessel.volume == pytest.approx(1450 * GALLON + 65 * FOOT**3, rel=1e-6)
    assert vessel.metal_heat == pytest.approx(17500 * 0.115 * BTU * 1.8, rel=1e-6)
    assert vessel.ambient == pytest.approx(AIR, rel=1e-5)
    assert vessel.room_temperature == pytest.approx(273.15 + 20)
    # 200 F is 93.33 C; IF97 at the pressure of the need, 105 psi gauge.
    megapascals = gauge(105) / 1e6
    assert vessel.feed_enthalpy == pytest.approx(1000 * seuif97.pt(megapascals, (200 - 32) / 1.8, 4), rel=1e-4)
    # What the shell loses at working pressure goes with the temperature above the room.
    boiling = seuif97.px(megapascals, 0.0, 1)
    assert vessel.loss_conductance == pytest.approx(70_000 * BTU / 3600 / (boiling - 20.0), rel=1e-4)
    assert not vessel.lets_air_in
    assert model_of({"boiler.vacuum_breaker": True}).vessel.lets_air_in


def test_feedwater_above_boiling_counts_as_boiling() -> None:
    # 400 F water would be steam at 105 psi; whatever flashes, the liquid comes in at saturation.
    vessel = model_of({"boiler.feedwater_temperature": "400 F"}).vessel
    assert vessel.feed_enthalpy == pytest.approx(1000 * seuif97.px(gauge(105) / 1e6, 0.0, 4), rel=1e-4)


def test_the_burner_of_the_laundry() -> None:
    burner = model_of({"boiler.burner.start.minimum_off": "90 s"}).burner
    # The larger of 8.35 and 8.30 MMBtu/h, times 81 %: more than 200 hp x 33,475 Btu/h = 6.695 MMBtu/h.
    full = 8.35e6 * 0.81 * BTU / 3600
    assert burner.full_heat == pytest.approx(full, rel=1e-6)
    assert burner.lowest == pytest.approx(1 / 4)
    assert burner.heat_lag == pytest.approx(8.0)
    assert burner.stroke == pytest.approx(30.0)
    assert burner.minimum_off == pytest.approx(90.0)
    # 0.72 lb of air burn 1000 Btu of gas, with 15 % excess (from memory); 1005 J/(kg K).
    assert burner.purge_conductance == pytest.approx(8.35e6 / 3600 * 0.72e-3 * 1.15 * POUND * 1005, rel=1e-5)
    assert burner.durations.tolist() == [0, 3, 20, 30, 20, 10, 10, 5, 15, 0, 15]
    assert burner.purges_open
    assert burner.lights_at_low_fire_only
    assert burner.cap == 1.0


def test_without_an_input_the_air_is_reckoned_from_the_output() -> None:
    edits: dict[str, object] = {"boiler.burner.input": None, "boiler.burner.input_clocked": None}
    burner = model_of(edits).burner
    output = 200 * 33475 * BTU / 3600
    assert burner.full_heat == pytest.approx(output, rel=1e-5)
    assert burner.purge_conductance == pytest.approx(output / 0.81 * 0.72e-3 * 1.15 / 1000 / BTU * 1000 * POUND * 1005)


def test_the_clocked_input_counts_where_it_is_the_larger() -> None:
    burner = model_of({"boiler.burner.input_clocked": "8.60 MMBtu/h"}).burner
    assert burner.full_heat == pytest.approx(8.60e6 * 0.81 * BTU / 3600, rel=1e-6)
    assert burner.purge_conductance == pytest.approx(8.60e6 / 3600 * 0.72e-3 * 1.15 * POUND * 1005, rel=1e-5)


def test_a_burner_that_purges_or_lights_otherwise() -> None:
    low = model_of({"boiler.burner.start.purge_damper": "low", "boiler.burner.starts_at_low_fire": False}).burner
    assert not low.purges_open
    assert not low.lights_at_low_fire_only


def test_an_on_off_burner_has_one_fire_and_no_drive() -> None:
    model = boiler_model(case_of(survey(plant="vertical")))
    burner = model.burner
    assert burner.lowest == 1.0
    assert burner.stroke == 0.0
    assert not burner.purges_open
    assert not burner.lights_at_low_fire_only
    assert burner.cap == 1.0
    assert burner.rate_action == parts.RATE_NONE
    # 840,000 Btu/h at 79 %, but 20 hp x 33,475 = 669,500 Btu/h on the plate is more.
    assert burner.full_heat == pytest.approx(20 * 33475 * BTU / 3600, rel=1e-5)


@pytest.mark.parametrize(("cap", "position"), [("100 %", 1.0), ("60 %", 35 / 75), ("20 %", 0.0)])
def test_a_hand_caps_the_drive_between_low_and_high_fire(cap: str, position: float) -> None:
    # Low fire is 25 %: 60 % of fire is (60 - 25) of the 75 percent between; below low fire there is nothing.
    assert model_of({"boiler.as_found.manual_cap": cap}).burner.cap == pytest.approx(position)


def run_on(*readings: tuple[str, str, str]) -> dict[str, object]:
    return {"boiler.measured.run_on": [{"rise": rise, "firing": fire, "load": load} for rise, fire, load in readings]}


def test_a_measured_run_on_without_load_gives_the_heat_lag() -> None:
    # Heat on its way is lag x full fire; it warms water and steel to the saturation of a higher pressure. What little
    # steam that takes is left out here, hence three percent.
    megapascals = gauge(120 - LEG) / 1e6
    water = 1450 * GALLON / seuif97.px(megapascals, 0.0, 3)
    per_kelvin = water * 1000 * seuif97.px(megapascals, 0.0, 8) + 17500 * 0.115 * BTU * 1.8
    rise = seuif97.px(megapascals + PSI / 2e6, 0.0, 1) - seuif97.px(megapascals - PSI / 2e6, 0.0, 1)
    full = 8.35e6 * 0.81 * BTU / 3600
    burner = model_of(run_on(("1 psi", "full", "none"))).burner
    assert burner.heat_lag == pytest.approx(per_kelvin * rise / full, rel=0.03)


def test_of_several_run_ons_the_one_from_the_highest_fire_counts_and_those_under_load_do_not() -> None:
    one = model_of(run_on(("1 psi", "50 %", "none"))).burner.heat_lag
    both = model_of(run_on(("1 psi", "50 %", "none"), ("3 psi", "full", "none"), ("9 psi", "full", "40 %")))
    # 3 psi from full fire is 1.5 times the lag of 1 psi from half fire.
    assert both.burner.heat_lag == pytest.approx(1.5 * one, rel=1e-9)
    assert model_of(run_on(("9 psi", "full", "40 %"))).burner.heat_lag == pytest.approx(8.0)


@pytest.mark.parametrize(
    ("readings", "lag"),
    [
        # A rise of a psi from half fire is heat on its way for twice as long as from full fire.
        ([("1 psi", "full", "none")], 1.0),
        ([("1 psi", "50 %", "none")], 2.0),
        ([("1 psi", "50 %", "none"), ("3 psi", "full", "none")], 3.0),
        ([("3 psi", "full", "none"), ("1 psi", "50 %", "none")], 3.0),
        # Steam that is drawn meanwhile hides a part of it: such a reading says nothing, whatever its fire.
        ([("1 psi", "full", "none"), ("9 psi", "110 %", "1 %")], 1.0),
        ([("9 psi", "110 %", "1 %")], None),
        ([], None),
    ],
)
def test_the_lag_is_the_rise_over_what_the_fire_raises(readings: list[tuple[str, str, str]], lag: float | None) -> None:
    case = laundry(run_on(*readings))
    full, surveyed = case.behaviour.full_heat(case.boiler.burners[0]).value, case.boiler.burners[0].heat_lag
    assert surveyed is not None
    assert not isinstance(case.stack.cut_out, Missing)
    psi = PSI * case.behaviour.storage(GaugePa(case.stack.cut_out)).value / full
    assert _heat_lag(case, full, surveyed) == pytest.approx(surveyed.value if lag is None else lag * psi, rel=1e-6)


def test_a_measured_time_to_low_fire_stretches_the_start_chain_in_all_its_parts() -> None:
    # The chain adds up to 98 s and the heat comes 8 s later; a watch that saw 204 s saw 196 s of chain.
    durations = model_of({"boiler.measured.contact_to_low_fire": "204 s"}).burner.durations
    assert durations.tolist() == pytest.approx([0, 6, 40, 60, 40, 20, 20, 10, 15, 0, 15])


def test_a_measured_time_shorter_than_the_lag_leaves_no_chain() -> None:
    durations = model_of({"boiler.measured.contact_to_low_fire": "5 s"}).burner.durations
    assert durations.tolist() == pytest.approx([0, 0, 0, 0, 0, 0, 0, 0, 15, 0, 15])


LAGS: dict[str, object] = {
    "boiler.controls.operating_limit.lag": "1.5 s",
    "boiler.controls.high_limit.lag": "2.5 s",
    "boiler.controls.firing_rate.lag": "3.5 s",
    "boiler.controls.low_fire_hold.lag": "4.5 s",
}


def points(model: Model) -> dict[str, float]:
    """Where every control acts [psi gauge]."""
    names = ("cut_out", "cut_in", "trip", "high_fire", "low_fire", "takes_hold", "lets_go")
    return {name: (float(getattr(model.controls, name)) - AIR) / PSI for name in names}


AS_FOUND = {
    "cut_out": 120 - LEG,
    "cut_in": 112 - LEG,
    "trip": 140 - LEG,
    "high_fire": 110 - LEG,
    "low_fire": 125 - LEG,
    "takes_hold": 60 - LEG,
    "lets_go": 60 - LEG,
}


def test_every_dial_of_the_laundry_arrives_at_its_control() -> None:
    model = model_of(LAGS)
    assert points(model) == pytest.approx(AS_FOUND, abs=2e-4)
    controls = model.controls
    assert controls.operating_limit_lag == 1.5
    assert controls.high_limit_lag == 2.5
    assert controls.firing_rate_lag == 3.5
    assert controls.low_fire_hold_lag == 4.5
    assert controls.trip_is_manual
    assert model.burner.rate_action == parts.RATE_PROPORTIONAL


@pytest.mark.parametrize(
    ("shifts", "moved"),
    [
        (Shifts(operating_limit=2 * PSI), {"cut_out": 2, "cut_in": 2}),
        (Shifts(operating_limit=-2 * PSI), {"cut_out": -2, "cut_in": -2}),
        (Shifts(high_limit=3 * PSI), {"trip": 3}),
        (Shifts(high_limit=-3 * PSI), {"trip": -3}),
        (Shifts(firing_rate=4 * PSI), {"high_fire": 4, "low_fire": 4}),
        (Shifts(firing_rate=-4 * PSI), {"high_fire": -4, "low_fire": -4}),
        (Shifts(low_fire_hold=5 * PSI), {"takes_hold": 5, "lets_go": 5}),
        (Shifts(low_fire_hold=-5 * PSI), {"takes_hold": -5, "lets_go": -5}),
    ],
)
def test_a_shift_moves_its_control_up_or_down_and_no_other(shifts: Shifts, moved: dict[str, float]) -> None:
    expected = {name: value + moved.get(name, 0.0) for name, value in AS_FOUND.items()}
    assert points(model_of(shifts=shifts)) == pytest.approx(expected, abs=2e-4)


def test_an_automatic_high_limit_remakes_its_differential_below_its_trip() -> None:
    edits: dict[str, object] = {
        "boiler.controls.high_limit.reset": "automatic",
        "boiler.controls.high_limit.reset_differential": "6 psi",
    }
    controls = model_of(edits, Shifts(high_limit=PSI)).controls
    assert not controls.trip_is_manual
    assert controls.trip == pytest.approx(gauge(141 - LEG), abs=2)
    assert controls.remakes == pytest.approx(gauge(135 - LEG), abs=2)


def test_what_is_not_fitted_acts_nowhere() -> None:
    controls = boiler_model(case_of(survey(plant="vertical"))).controls
    assert (controls.takes_hold, controls.lets_go) == (-inf, -inf)
    assert (controls.high_fire, controls.low_fire) == (-inf, inf)
    assert (controls.firing_rate_lag, controls.low_fire_hold_lag) == (0.0, 0.0)


def without(*roles: str) -> Case:
    """The laundry with controls taken off, its dials as they were read."""
    case = laundry()
    bare = replace(case.boiler, controls=replace(case.boiler.controls, **dict.fromkeys(roles)))
    return prepare(case.plant, bare, case.which, case.settings)


def test_a_limit_that_is_not_fitted_never_acts() -> None:
    controls = boiler_model(without("operating_limit", "high_limit", "low_fire_hold")).controls
    assert (controls.cut_out, controls.cut_in) == (inf, -inf)
    assert (controls.trip, controls.remakes, controls.trip_is_manual) == (inf, -inf, True)
    assert (controls.takes_hold, controls.lets_go) == (-inf, -inf)
    assert (controls.operating_limit_lag, controls.high_limit_lag, controls.low_fire_hold_lag) == (0.0, 0.0, 0.0)


@pytest.mark.parametrize(
    ("edits", "action"),
    [
        ({"boiler.controls.firing_rate.action": "two-position"}, parts.RATE_TWO_POSITION),
        ({"boiler.burner.firing": "low-high-off"}, parts.RATE_TWO_POSITION),
        ({"boiler.burner.firing": "on-off", "boiler.burner.turndown": None}, parts.RATE_NONE),
        ({}, parts.RATE_PROPORTIONAL),
    ],
)
def test_what_the_firing_rate_control_does(edits: dict[str, object], action: int) -> None:
    assert model_of(edits).burner.rate_action == action


@pytest.mark.parametrize(
    ("edits", "missing"),
    [
        ({"boiler.controls.firing_rate.action": "pid"}, ("controls.firing_rate.gains",)),
        ({"boiler.controls.firing_rate.action": "master"}, ("controls.firing_rate.gains",)),
        ({"boiler.controls.firing_rate.action": None}, ("controls.firing_rate.action",)),
    ],
)
def test_a_firing_rate_control_that_nobody_can_follow_is_asked_for(
    edits: dict[str, object], missing: tuple[str, ...]
) -> None:
    with pytest.raises(NotKnownError) as raised:
        model_of(edits)
    assert raised.value.keys == missing


def test_a_modulating_burner_without_its_control_is_asked_for_it() -> None:
    with pytest.raises(NotKnownError) as raised:
        boiler_model(without("firing_rate"))
    assert raised.value.keys == ("controls.firing_rate",)


def test_all_that_is_missing_is_asked_for_at_once() -> None:
    with pytest.raises(NotKnownError) as raised:
        model_of(
            {
                "boiler.water_volume": None,
                "boiler.burner.turndown": None,
                "boiler.safety_valve.0.capacity": None,
                "boiler.controls.firing_rate.action": "pid",
            }
        )
    keys = set(raised.value.keys)
    assert {"water_volume", "burner.turndown", "controls.firing_rate.gains", "safety_valve.capacity"} <= keys
    assert len(keys) == len(raised.value.keys)


def test_feedwater_as_the_file_states_it() -> None:
    feed = model_of({"boiler.level_band": "4 %", "boiler.low_water_cutoff": 0.9}).feed
    water = 1450 * GALLON
    assert feed.kind == parts.FEED_ON_OFF
    assert feed.capacity == pytest.approx(14_000 * POUND_PER_HOUR, rel=1e-6)
    # Four percent of the water about its normal level.
    assert feed.low == pytest.approx(0.98 * water, rel=1e-6)
    assert feed.high == pytest.approx(1.02 * water, rel=1e-6)
    assert feed.cutoff == pytest.approx(0.90 * water, rel=1e-6)
    # A float makes again half way up to where the pump starts.
    assert feed.restored == pytest.approx(0.94 * water, rel=1e-6)


def test_a_cutoff_inside_the_level_band_is_taken_below_it() -> None:
    feed = model_of({"boiler.level_band": "10 %", "boiler.low_water_cutoff": 0.99}).feed
    assert feed.cutoff < feed.low
    assert feed.cutoff == pytest.approx(0.949 * 1450 * GALLON, rel=1e-6)


@pytest.mark.parametrize(
    ("feed", "kind"), [("on-off", parts.FEED_ON_OFF), ("modulating", parts.FEED_MODULATING), (None, parts.FEED_ON_OFF)]
)
def test_a_feed_that_nobody_described_comes_in_slugs(feed: str | None, kind: int) -> None:
    assert model_of({"boiler.feed": feed}).feed.kind == kind


def test_safety_valves_lift_close_and_pass_what_they_are_stamped_for() -> None:
    edits: dict[str, object] = {
        "boiler.safety_valve.1.tested_lift": "148 psi",
        "boiler.safety_valve.1.blowdown": "4 psi",
        "boiler.safety_valve.1.capacity": "3600 lb/h",
    }
    valves = model_of(edits).valves
    assert valves.count == 2
    assert valves.lifts[:2].tolist() == pytest.approx([gauge(150), gauge(148)], rel=1e-6)
    assert valves.reseats[:2].tolist() == pytest.approx([gauge(144), gauge(144)], rel=1e-6)
    # Stamped at 3 % over the set pressure: 154.5 psi gauge (VSH).
    rated = gauge(154.5)
    assert valves.conductances[0] * rated == pytest.approx(4500 * POUND_PER_HOUR, rel=1e-5)
    assert valves.conductances[1] * rated == pytest.approx(3600 * POUND_PER_HOUR, rel=1e-5)


def test_a_valve_without_a_stamp_passes_what_its_orifice_is_certified_for() -> None:
    edits: dict[str, object] = {
        "boiler.safety_valve.0.capacity": None,
        "boiler.safety_valve.0.orifice_area": "1 in2",
        "boiler.safety_valve.0.coefficient": 0.878,
    }
    valves = model_of(edits).valves
    # 51.5 x A x P x K, P = 1.03 x 150 + 14.7 psi absolute at sea level, and ninety percent of it (VSH, NB-18 tables).
    # The K of a certificate has the ninety percent in it.
    air = AIR / PSI
    assert valves.conductances[0] * gauge(154.5) == pytest.approx(
        51.5 * 0.878 * (154.5 + air) * POUND_PER_HOUR, rel=2e-3
    )


@pytest.mark.parametrize("lacking", ["orifice_area", "coefficient"])
def test_a_valve_with_half_a_certificate_is_asked_for_its_capacity(lacking: str) -> None:
    edits: dict[str, object] = {
        "boiler.safety_valve.0.capacity": None,
        "boiler.safety_valve.0.orifice_area": "1 in2",
        "boiler.safety_valve.0.coefficient": 0.878,
        f"boiler.safety_valve.0.{lacking}": None,
    }
    with pytest.raises(NotKnownError) as raised:
        model_of(edits)
    assert raised.value.keys == ("safety_valve.capacity",)


@pytest.mark.parametrize(
    ("draw", "kind"),
    [
        (None, parts.DRAW_FLOW),
        ("flow", parts.DRAW_FLOW),
        ("valve", parts.DRAW_VALVE),
        ("heat exchanger", parts.DRAW_EXCHANGER),
    ],
)
def test_the_users_draw_as_the_survey_says(draw: str | None, kind: int) -> None:
    users = model_of({"load.draw": draw}).users
    assert users.kind == kind
    assert users.reference == pytest.approx(gauge(105), rel=1e-6)
    # Near 135 F.
    assert users.cold_side == pytest.approx((135 - 32) / 1.8 + 273.15, abs=1.0)


def test_working_pressure_is_the_need_else_cut_in_else_half_of_what_the_boiler_may_stand() -> None:
    assert working_pressure(laundry()) == pytest.approx(105 * PSI, rel=1e-6)
    assert working_pressure(laundry({"load.need": None})) == pytest.approx((112 - LEG) * PSI, rel=1e-6)
    unknown: dict[str, object] = {
        "load.need": None,
        "boiler.as_found.operating_limit": None,
        "boiler.as_found.operating_limit_differential": None,
    }
    assert working_pressure(laundry(unknown)) == pytest.approx(75 * PSI, rel=1e-6)
    # A cut-in at zero gauge, and below it by the water leg, says nothing of where the boiler works.
    zero: dict[str, object] = {
        "load.need": None,
        "boiler.as_found.operating_limit": "10 psi",
        "boiler.as_found.operating_limit_differential": "10 psi",
    }
    assert working_pressure(laundry(zero)) == pytest.approx(75 * PSI, rel=1e-6)


def test_of_several_burners_the_one_on_the_named_fuel_is_taken() -> None:
    case = case_of(survey(plant="board-mill"))
    # Light oil: 36.0 MMBtu/h at 83.5 %, 1 in 6; gas: 37.0 at 81.5 %, 1 in 7; 30.2 MMBtu/h on the plate.
    oil, gas = boiler_model(case, Fuel.LIGHT_OIL), boiler_model(case)
    assert oil.burner.lowest == pytest.approx(1 / 6)
    assert gas.burner.lowest == pytest.approx(1 / 7)
    assert gas.burner.full_heat == pytest.approx(30.2e6 * BTU / 3600, rel=1e-6)
    assert burner_on(case, Fuel.LIGHT_OIL) is case.boiler.burners[1]
    assert burner_on(case, Fuel.NATURAL_GAS) is case.boiler.burners[0]
    assert burner_on(case, None) is case.boiler.burners[0]
    with pytest.raises(NotKnownError) as raised:
        burner_on(case, Fuel.BIOGAS)
    assert raised.value.keys == ("burner",)


def test_normal_volume_is_the_surveyed_water() -> None:
    assert normal_volume(laundry()) == pytest.approx(1450 * GALLON, rel=1e-6)


def test_the_properties_of_water_are_in_every_model() -> None:
    assert np.isfinite(model_of().water).all()
    assert model_of().water.any()


def test_a_control_that_nobody_timed_acts_at_once() -> None:
    assert _lag(None) == 0.0
    control = laundry().boiler.controls.operating_limit
    assert control is not None
    assert _lag(replace(control, lag=None)) == 0.0
    assert _lag(replace(control, lag=Datum(1.5, Origin.SURVEYED))) == 1.5
