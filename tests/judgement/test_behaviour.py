"""How a boiler moves: measured beats computed beats assumed, and the worst of several burners counts."""

from collections.abc import Callable
from dataclasses import replace

import pytest

from evenfire.judgement.behaviour import Behaviour, Estimate
from evenfire.judgement.outcome import Route
from evenfire.plant.known import NotKnownError
from evenfire.plant.readings import Simulated
from evenfire.si import J_PER_BTU, PA_PER_PSI, GaugePa
from tests.surveys import survey

CUT_OUT = GaugePa(120 * PA_PER_PSI)
CUT_IN = GaugePa(112 * PA_PER_PSI)


def behaviour(edits: dict[str, object] | None = None) -> Behaviour:
    plant = survey(edits).plant
    return Behaviour(plant.boilers[0], plant.load, plant.site.ambient)


def test_the_storage_of_the_laundry_is_what_a_hand_calculation_gives() -> None:
    # 1450 gal of water at 350 F weigh about 1450 x 7.45 = 10,800 lb (from memory of tables). Published storage rates:
    # 679 Btu/psi per 1000 lb of water at 100 psig and 518 at 150, so about 605 at 120; 74.7 and 56.1 for steel, so
    # about 66: 10.8 x 605 + 17.5 x 66 = 7,690 Btu/psi, less the 1 % by which the closed vessel stays below.
    stored = behaviour().storage(CUT_OUT).value * PA_PER_PSI / J_PER_BTU
    assert stored == pytest.approx(7_690, rel=0.03)


def test_a_run_on_is_fire_times_lag_over_storage() -> None:
    # 8.35 MMBtu/h at 81 % are 1,879 Btu/s, more than the 200 bhp of the output; x 8 s / 7,690 = 1.95 psi.
    assert behaviour().full_fire_run_on(CUT_OUT).value / PA_PER_PSI == pytest.approx(1.95, rel=0.03)
    # Low fire of a burner with a turndown of 4 is a quarter of it.
    ratio = behaviour().low_fire_run_on(CUT_OUT).value / behaviour().full_fire_run_on(CUT_OUT).value
    assert ratio == pytest.approx(0.25)


def test_a_measured_run_on_beats_the_computed_one_and_says_so() -> None:
    measured = behaviour({"boiler.measured.run_on": [{"rise": "1.1 psi", "firing": "low", "load": "none"}]})
    estimate = measured.low_fire_run_on(CUT_OUT)
    assert estimate.route is Route.MEASURED
    assert estimate.value / PA_PER_PSI == pytest.approx(1.1)


def test_a_run_on_measured_at_low_fire_never_lowers_that_of_full_fire() -> None:
    small = behaviour({"boiler.measured.run_on": [{"rise": "0.1 psi", "firing": "low", "load": "none"}]})
    assert small.full_fire_run_on(CUT_OUT).value == pytest.approx(behaviour().full_fire_run_on(CUT_OUT).value)
    large = behaviour({"boiler.measured.run_on": [{"rise": "1.5 psi", "firing": "low", "load": "none"}]})
    assert large.full_fire_run_on(CUT_OUT).value / PA_PER_PSI == pytest.approx(6.0)


def test_a_run_on_read_at_a_lower_pressure_is_larger_where_the_water_stores_less() -> None:
    # Published storage rates, Btu/psi: water 679 per 1000 lb at 100 psig and 518 at 150, steel 74.7 and 56.1. With
    # 10,800 lb of water and 17,500 lb of steel that is 8,640 and 6,580: 3 psi at 100 psig are 3.94 psi at 150.
    read_at = {"rise": "3 psi", "firing": "full", "load": "none", "at": "100 psi"}
    measured = behaviour({"boiler.measured.run_on": [read_at]})
    estimate = measured.full_fire_run_on(GaugePa(150 * PA_PER_PSI))
    assert estimate.route is Route.MEASURED
    assert estimate.value / PA_PER_PSI == pytest.approx(3.94, rel=0.02)
    assert measured.full_fire_run_on(GaugePa(100 * PA_PER_PSI)).value / PA_PER_PSI == pytest.approx(3.0)


def test_a_reading_under_load_does_not_speak_for_no_load() -> None:
    loaded = behaviour({"boiler.measured.run_on": [{"rise": "0.2 psi", "firing": "100 %", "load": "30 %"}]})
    estimate = loaded.full_fire_run_on(CUT_OUT)
    assert estimate.route is Route.COMPUTED
    assert estimate.value == pytest.approx(behaviour().full_fire_run_on(CUT_OUT).value)


def test_an_assumed_lag_is_named_by_the_estimate() -> None:
    estimate = behaviour({"boiler.burner.heat_lag": None}).full_fire_run_on(CUT_OUT)
    assert estimate.route is Route.ASSUMED
    assert estimate.assumptions == ("ASSUMED_HEAT_LAG",)


def test_the_watch_beats_the_sum_of_the_start_chain() -> None:
    # Chain of the laundry: 3 + 20 + 30 + 20 + 10 + 10 + 5 = 98 s, and 8 s of lag.
    plain = behaviour()
    burner = plain.boiler.burners[0]
    assert plain.contact_to_low_fire(burner).value == pytest.approx(106.0)
    watched = behaviour({"boiler.measured.contact_to_low_fire": "75 s"})
    assert watched.contact_to_low_fire(burner).value == pytest.approx(75.0)
    assert watched.undershoot(CUT_IN, CUT_OUT).value < plain.undershoot(CUT_IN, CUT_OUT).value


def test_a_minimum_off_time_deepens_the_fall() -> None:
    # At 112 psi the same hand calculation gives 10.8 x 637 + 17.5 x 70, less 1 %, about 8,020 Btu/psi. From 120 to 112
    # the store gives 64,200 Btu; at low-fire load of 1.69 MMBtu/h = 470 Btu/s that is 136.5 s. An off time of 231 s
    # lets it fall for 94.5 s more: 44,400 Btu, 5.5 psi.
    longer = behaviour({"boiler.burner.start.minimum_off": "231 s"}).undershoot(CUT_IN, CUT_OUT).value
    assert (longer - behaviour().undershoot(CUT_IN, CUT_OUT).value) / PA_PER_PSI == pytest.approx(5.5, rel=0.03)


def test_a_known_load_that_low_fire_carries_does_not_cycle() -> None:
    steady = behaviour({"load.demand": {"shape": "constant", "steam": "4000 lb/h"}})
    assert steady.cycling(CUT_IN, CUT_OUT, None).starts == 0.0


def test_an_unknown_load_cycles_at_least_as_often_as_any_known_one() -> None:
    worst = behaviour().cycling(CUT_IN, CUT_OUT, None).starts
    for pounds in range(50, 1_700, 50):
        plant = behaviour({"load.demand": {"shape": "constant", "steam": f"{pounds} lb/h"}})
        assert plant.cycling(CUT_IN, CUT_OUT, None).starts <= worst * (1 + 1e-9)


def test_the_worst_of_two_fuels_counts() -> None:
    gas = behaviour()
    oil = {
        "fuel": "light oil",
        "firing": "modulating",
        "turndown": 2,
        "input": "8.35 MMBtu/h",
        "efficiency": "81 %",
        "heat_lag": "20 s",
    }
    plant = survey()
    both = behaviour({"boiler.burner": [_gas(), oil]})
    assert len(plant.plant.boilers[0].burners) == 1
    assert both.full_fire_run_on(CUT_OUT).value == pytest.approx(gas.full_fire_run_on(CUT_OUT).value * 20 / 8)


def test_of_two_fuels_the_one_that_cycles_more_is_told() -> None:
    oil = {**_gas(), "fuel": "light oil", "turndown": 2}
    alone = [behaviour({"boiler.burner": [each]}).cycling(CUT_IN, CUT_OUT, None).starts for each in (_gas(), oil)]
    both = behaviour({"boiler.burner": [_gas(), oil]}).cycling(CUT_IN, CUT_OUT, None).starts
    assert alone[0] != pytest.approx(alone[1])
    assert both == pytest.approx(max(alone))


def test_a_fire_of_which_neither_output_nor_input_is_known_is_asked_for() -> None:
    nothing = behaviour({"boiler.output": None, "boiler.burner.input": None, "boiler.burner.input_clocked": None})
    with pytest.raises(NotKnownError) as missing:
        nothing.full_heat(nothing.boiler.burners[0])
    assert set(missing.value.keys) == {"output", "burner.input"}


def _gas() -> dict[str, object]:
    return {
        "fuel": "natural gas",
        "firing": "modulating",
        "turndown": 4,
        "input": "8.35 MMBtu/h",
        "efficiency": "81 %",
        "heat_lag": "8 s",
    }


def test_a_two_position_burner_overshoots_by_its_whole_span_whenever_it_switches() -> None:
    # By hand: three quarters of 1,879 Btu/s go on for 8 s of lag and half of the 30 s stroke, into about 7,400 Btu/psi
    # at 125 psi: 0.75 x 1879 x 23 / 7440 = 4.4 psi.
    two = behaviour(
        {"boiler.burner.firing": "low-high-off", "boiler.controls.firing_rate.action": "two-position"}
    ).drop_overshoot(GaugePa(125 * PA_PER_PSI))
    assert two.value / PA_PER_PSI == pytest.approx(4.4, rel=0.03)


def test_a_burner_stopped_inside_its_band_falls_further_because_it_cycles_at_larger_loads() -> None:
    # By hand at half fire: (939 + 128) Btu/s x 106 s / 8,080 Btu/psi = 14.0 psi; at low fire (470 + 128) gives 7.8.
    laundry = behaviour()
    assert laundry.undershoot(CUT_IN, CUT_OUT, (0.5,)).value / PA_PER_PSI == pytest.approx(14.0, rel=0.03)
    assert laundry.undershoot(CUT_IN, CUT_OUT).value / PA_PER_PSI == pytest.approx(7.8, rel=0.03)


READINGS: dict[str, object] = {
    "boiler.measured.run_on": [
        {"rise": "3.5 psi", "firing": "100 %", "load": "none"},
        {"rise": "1 psi", "firing": "25 %", "load": "none"},
        {"rise": "3 psi", "firing": "50 %", "load": "none"},
        {"rise": "9 psi", "firing": "60 %", "load": "10 %"},
    ]
}


@pytest.mark.parametrize(
    ("share", "rise"),
    # The lowest fire that was seen at or above it speaks for a fire, in proportion; what was seen under load does not.
    [(0.25, 1.0), (0.3, 3.0 * 0.3 / 0.5), (0.5, 3.0), (0.501, 3.5 * 0.501), (1.0, 3.5), (0.1, 0.4)],
)
def test_of_several_readings_the_next_fire_above_speaks_for_a_run_on(share: float, rise: float) -> None:
    estimate = behaviour(READINGS).run_on(CUT_OUT, (share,))
    assert estimate.value / PA_PER_PSI == pytest.approx(rise)
    assert estimate.route is Route.MEASURED


@pytest.mark.parametrize(
    ("fall", "load", "psi", "route"),
    [
        # Low fire is a quarter: what was read at that load or a larger one is believed, however little it is.
        ("0.5 psi", "25 %", 0.5, Route.MEASURED),
        ("0.5 psi", "60 %", 0.5, Route.MEASURED),
        # Read at a smaller one it is believed only where, in proportion, it says more than arithmetic: by hand 7.8 psi.
        ("0.5 psi", "24 %", 7.8, Route.COMPUTED),
        ("7.2 psi", "24 %", 7.8, Route.COMPUTED),
        ("9.6 psi", "24 %", 10.0, Route.MEASURED),
        ("5 psi", "5 %", 25.0, Route.MEASURED),
    ],
)
def test_a_fall_that_was_read_counts_at_its_own_load_and_grows_to_a_larger_one(
    fall: str, load: str, psi: float, route: Route
) -> None:
    estimate = behaviour({"boiler.measured.undershoot": {"fall": fall, "load": load}}).undershoot(CUT_IN, CUT_OUT)
    assert estimate.value / PA_PER_PSI == pytest.approx(psi, rel=0.03)
    assert estimate.route is route


TAUGHT = 3 * PA_PER_PSI


@pytest.mark.parametrize(
    ("taught", "estimate_of"),
    [
        (Simulated(run_on_at_cut_out=TAUGHT), lambda each: each.low_fire_run_on(CUT_OUT)),
        (Simulated(run_on_at_full_fire=TAUGHT), lambda each: each.full_fire_run_on(CUT_OUT)),
        (Simulated(undershoot=TAUGHT), lambda each: each.undershoot(CUT_IN, CUT_OUT)),
        (Simulated(drop_overshoot=TAUGHT), lambda each: each.drop_overshoot(CUT_OUT)),
        (Simulated(load_fall=TAUGHT), lambda each: each.load_fall(CUT_IN)),
    ],
)
def test_what_a_simulation_taught_comes_on_top_and_is_told_as_simulated(
    taught: Simulated, estimate_of: Callable[[Behaviour], Estimate]
) -> None:
    laundry = behaviour()
    closed = estimate_of(laundry)
    widened = estimate_of(replace(laundry, boiler=replace(laundry.boiler, simulated=taught)))
    assert (widened.value - closed.value) / PA_PER_PSI == pytest.approx(3.0)
    assert widened.route is Route.SIMULATED
    assert closed.route is not Route.SIMULATED
    assert estimate_of(replace(laundry, boiler=replace(laundry.boiler, simulated=Simulated()))) == closed


def test_a_burner_in_steps_falls_by_what_its_high_fire_lacks_until_it_is_there() -> None:
    steps: dict[str, object] = {
        "boiler.burner.firing": "low-high-off",
        "boiler.controls.firing_rate.action": "two-position",
    }
    # By hand: three quarters of 1,879 Btu/s are lacking for 8 s of lag and half of the 30 s stroke, out of 8,020
    # Btu/psi at 112 psi: 1,409 x 23 / 8,020 = 4.0 psi.
    assert behaviour(steps).load_fall(CUT_IN).value / PA_PER_PSI == pytest.approx(4.04, rel=0.03)
    # A load that low fire carries calls for no high fire; a line drives up by itself; one fire has nowhere to go.
    small = steps | {"load.demand": {"shape": "constant", "steam": "900 lb/h"}}
    assert behaviour(small).load_fall(CUT_IN).value == 0.0
    assert behaviour().load_fall(CUT_IN).value == 0.0
    single: dict[str, object] = {"boiler.burner.firing": "on-off", "boiler.burner.turndown": None}
    assert behaviour(single).load_fall(CUT_IN).value == 0.0
    # A modulating burner that its control only switches goes up in a step too.
    switched: dict[str, object] = {"boiler.controls.firing_rate.action": "two-position"}
    assert behaviour(switched).load_fall(CUT_IN).value == pytest.approx(behaviour(steps).load_fall(CUT_IN).value)


def test_only_what_is_known_of_its_off_time_lets_a_boiler_fall_alike_from_every_cut_out() -> None:
    assert behaviour().falls_alike_from_every_cut_out
    assert not behaviour({"boiler.burner.start.minimum_off": "1 s"}).falls_alike_from_every_cut_out
    laundry = behaviour()
    (burner,) = laundry.boiler.burners
    unknown = replace(burner, chain=replace(burner.chain, minimum_off=None))
    assert not replace(laundry, boiler=replace(laundry.boiler, burners=(unknown,))).falls_alike_from_every_cut_out
