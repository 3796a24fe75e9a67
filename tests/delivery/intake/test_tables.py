"""The conventions of single tables: what a word, a share or a short form stands for."""

import pytest

from evenfire.delivery.intake.plant_file import PlantFile
from evenfire.plant.boiler import Boiler
from evenfire.plant.burner import Fuel
from evenfire.plant.controls import Control, Counts, Filling, Position, WaterLeg
from evenfire.plant.known import Datum, Origin
from evenfire.plant.load import Batches, Constant, Daily, Draw, Recorded, Steps
from evenfire.plant.settings import Settings
from tests.delivery.intake.samples import GALLON, LAUNDRY, POUND, PSI, changed, laundry_with, smallest_with

LEG = '{ height = "0.5 ft", position = "below", filling = "full" }'
RANGE = '{ from = "6 psi", to = "22 psi", division = "2 psi" }'
DIP = 'may_dip_for = "60 s"'
LB_H = POUND / 3600


def limit_of(plant_file: PlantFile) -> Control:
    control = plant_file.plant.boilers[0].controls.operating_limit
    assert control is not None
    return control


def boiler_with(extra: str) -> Boiler:
    return smallest_with(extra).plant.boilers[0]


def found_of(boiler: Boiler) -> Settings:
    assert boiler.as_found is not None
    return boiler.as_found.settings


@pytest.mark.parametrize(
    ("written", "height", "position", "filling"),
    [
        ('"none"', 0.0, Position.BELOW_TAP, Filling.FULL),
        ('{ height = "2 m", position = "above" }', 2.0, Position.ABOVE_TAP, Filling.UNSURE),
        ('{ height = "2 m", position = "below", filling = "unsure" }', 2.0, Position.BELOW_TAP, Filling.UNSURE),
        ('{ height = "2 m", position = "above", filling = "full" }', 2.0, Position.ABOVE_TAP, Filling.FULL),
    ],
)
def test_a_water_leg_has_a_height_a_side_and_a_filling_that_is_unsure_unless_said(
    written: str, height: float, position: Position, filling: Filling
) -> None:
    leg = limit_of(laundry_with(LEG, written)).water_leg
    assert leg == WaterLeg(height=height, position=position, filling=filling)


def test_a_water_leg_that_nobody_looked_at_is_unknown_and_not_none() -> None:
    assert limit_of(laundry_with(f"water_leg = {LEG}\n", "")).water_leg is None


def test_a_fixed_differential_is_known_though_no_dial_shows_it() -> None:
    text = changed(RANGE, '{ fixed = "5 psi" }', changed('operating_limit_differential = "8 psi"\n', ""))
    plant_file = laundry_with(LAUNDRY, text)
    scale = limit_of(plant_file).differential_scale
    assert scale is not None
    assert (scale.lowest, scale.highest) == pytest.approx((5 * PSI, 5 * PSI))
    assert scale.division is None
    reading = found_of(plant_file.plant.boilers[0]).operating_limit
    assert reading is not None
    assert reading.differential == pytest.approx(5 * PSI)


def test_a_differential_that_can_be_set_and_was_not_read_stays_unknown() -> None:
    boiler = laundry_with('operating_limit_differential = "8 psi"\n', "").plant.boilers[0]
    reading = found_of(boiler).operating_limit
    assert reading is not None
    assert reading.differential is None


@pytest.mark.parametrize("word", ["below", "above", "around"])
def test_a_differential_counts_on_one_of_three_sides(word: str) -> None:
    plant_file = laundry_with('differential_counts = "below"', f'differential_counts = "{word}"')
    assert limit_of(plant_file).counts is Counts(word)


@pytest.mark.parametrize("written", ["4", '"4"', '"4:1"', '"4 : 1"', "4.0"])
def test_a_turndown_may_be_written_in_several_ways(written: str) -> None:
    assert laundry_with("turndown = 4", f"turndown = {written}").plant.boilers[0].burners[0].turndown == 4


@pytest.mark.parametrize("written", ['"81 %"', "0.81", '"0.81"'])
def test_a_share_may_be_a_percentage_or_a_number_below_one(written: str) -> None:
    efficiency = laundry_with('"81 %"', written).plant.boilers[0].burners[0].efficiency
    assert efficiency is not None
    assert efficiency.value == pytest.approx(0.81)


def test_a_standing_loss_may_be_heat_or_a_share_of_the_output() -> None:
    share = boiler_with('output = "1000 kW"\nstanding_loss = "1.5 %"').standing_loss
    heat = boiler_with('standing_loss = "15 kW"').standing_loss
    assert share is not None
    assert heat is not None
    assert (share.value, heat.value) == pytest.approx((15_000, 15_000))


def test_a_blowdown_may_be_a_pressure_or_a_share_of_the_set_pressure() -> None:
    valves = boiler_with(
        '[[boiler.safety_valve]]\nname = "a"\nset = "150 psi"\nblowdown = "6 psi"\n'
        '[[boiler.safety_valve]]\nname = "b"\nset = "150 psi"\nblowdown = "4 %"\n'
    ).safety_valves
    assert [valve.blowdown.value if valve.blowdown else None for valve in valves] == pytest.approx([6 * PSI, 6 * PSI])


def test_valves_without_a_name_are_counted() -> None:
    valves = boiler_with('[[boiler.safety_valve]]\nset = "150 psi"\n' * 2).safety_valves
    assert [valve.name for valve in valves] == ["valve 1", "valve 2"]


def test_feed_level_and_vacuum_are_shares_and_flows_of_the_water() -> None:
    boiler = boiler_with(
        'feed_capacity = "14000 lb/h"\nlevel_band = "4 %"\nlow_water_cutoff = 0.9\nvacuum_breaker = false\n'
    )
    assert boiler.feed_capacity is not None
    assert boiler.feed_capacity.value == pytest.approx(14_000 * LB_H)
    assert (boiler.level_band, boiler.low_water_cutoff) == (Datum(0.04), Datum(0.9))
    assert boiler.breaks_vacuum == Datum(0.0)
    assert boiler_with("vacuum_breaker = true\n").breaks_vacuum == Datum(1.0)


def test_a_control_lags_and_a_high_limit_waits_as_surveyed() -> None:
    control = limit_of(laundry_with('contact = "snap"', 'contact = "snap"\nlag = "2.5 s"'))
    assert control.lag == Datum(2.5)
    high = laundry_with('reset = "manual"', 'reset = "manual"\nreset_differential = "3 psi"\nlag = "0 s"')
    limit = high.plant.boilers[0].controls.high_limit
    assert limit is not None
    assert limit.lag == Datum(0.0)
    assert limit.reset_differential is not None
    assert limit.reset_differential.value == pytest.approx(3 * PSI)
    assert limit.reset_differential.origin is Origin.SURVEYED


@pytest.mark.parametrize(
    ("word", "draw"), [("flow", Draw.FLOW), ("valve", Draw.VALVE), ("heat exchanger", Draw.EXCHANGER)]
)
def test_a_load_draws_in_one_of_three_ways(word: str, draw: Draw) -> None:
    assert laundry_with(DIP, f'draw = "{word}"').plant.load.draw is draw


def test_each_fuel_has_a_burner() -> None:
    burners = boiler_with(
        "".join(f'[[boiler.burner]]\nfuel = "{fuel.value}"\nfiring = "modulating"\n' for fuel in Fuel)
    ).burners
    assert [burner.fuel for burner in burners] == list(Fuel)


def test_a_change_of_load_is_a_flow_or_a_share_of_the_output() -> None:
    load = laundry_with(DIP, 'pick_up = { size = "3000 lb/h", over = "2 min" }\ndrop = { size = "40 %" }').plant.load
    assert load.design_pick_up is not None
    assert load.design_drop is not None
    assert (load.design_pick_up.share, load.design_drop.share) == (False, True)
    assert load.design_pick_up.size.value == pytest.approx(3000 * LB_H)
    assert load.design_pick_up.duration.value == 120
    assert load.design_drop.size.value == pytest.approx(0.4)
    assert load.design_drop.duration.assumption == "ASSUMED_DROP_TIME"


def test_a_demand_has_one_of_five_shapes() -> None:
    def demand(written: str) -> object:
        return laundry_with(DIP, f"demand = {written}").plant.load.demand

    hours = ", ".join(f'"{hour} kg/s"' for hour in range(24))
    assert demand('{ shape = "constant", steam = "2 kg/s" }') == Constant(steam=2.0)
    steps = demand(
        '{ shape = "steps", steps = [{ for = "1 h", steam = "2 kg/s" }, { for = "1 min", steam = "0 kg/s" }] }'
    )
    assert steps == Steps(steps=((3600.0, 2.0), (60.0, 0.0)))
    assert demand(f'{{ shape = "daily", hours = [{hours}] }}') == Daily(hours=tuple(float(hour) for hour in range(24)))
    batches = demand('{ shape = "batches", base = "1 kg/s", batch = "2 kg/s", lasting = "10 min", per_hour = "6 /h" }')
    assert batches == Batches(base=1.0, batch=2.0, duration=600.0, per_hour=6 * (1 / 3600))
    assert demand('{ shape = "recorded", file = "load.csv" }') == Recorded(file="load.csv")


def test_a_run_on_tells_the_firing_in_words_or_as_a_share() -> None:
    measured = (
        "[boiler.measured]\nrun_on = [\n"
        '  { rise = "1 psi", firing = "low", load = "none" },\n'
        '  { rise = "4 psi", firing = "full", load = "30 %" },\n'
        '  { rise = "2 psi", firing = "40 %", load = "none" },\n]\n'
        'undershoot = { fall = "3 psi", load = "25 %" }\ncontact_to_low_fire = "75 s"\nwarm_up_rate = "90 F/h"\n'
        "[boiler.gauge]"
    )
    readings = laundry_with("[boiler.gauge]", measured).plant.boilers[0].measured
    assert [(run.firing, run.load) for run in readings.run_on] == [
        (0.25, 0.0),
        (1.0, pytest.approx(0.3)),
        (pytest.approx(0.4), 0.0),
    ]
    assert [run.rise / PSI for run in readings.run_on] == pytest.approx([1, 4, 2])
    assert readings.undershoot is not None
    assert (readings.undershoot.fall / PSI, readings.undershoot.load) == pytest.approx((3, 0.25))
    assert readings.contact_to_low_fire == 75
    assert readings.warm_up_rate == pytest.approx(90 / 1.8 / 3600)


def test_low_fire_of_two_burners_of_one_turndown_can_be_told() -> None:
    burner = '[[boiler.burner]]\nfuel = "{}"\nfiring = "modulating"\nturndown = 5\n'
    run_on = '[boiler.measured]\nrun_on = [{ rise = "1 psi", firing = "low", load = "none" }]\n'
    boiler = boiler_with(burner.format("natural gas") + burner.format("light oil") + run_on)
    assert boiler.measured.run_on[0].firing == pytest.approx(0.2)


def test_looked_and_none_seen_is_not_the_same_as_nobody_looked() -> None:
    assert boiler_with("[boiler.as_found]\njumpers = []\n").as_found != boiler_with("[boiler.as_found]\n").as_found


def test_the_three_sets_of_settings_are_kept_apart() -> None:
    boiler = boiler_with(
        '[boiler.as_found]\nhigh_limit = "140 psi"\n'
        '[boiler.proposed]\nhigh_limit = "135 psi"\nplant_revision = "r"\nengine_version = "v"\n'
        '[boiler.as_left]\nhigh_limit = "136 psi"\nread_on = 2026-11-04\n'
    )
    assert boiler.proposed is not None
    assert boiler.as_left is not None
    readings = [found_of(boiler).high_limit, boiler.proposed.settings.high_limit, boiler.as_left.high_limit]
    assert [reading.main / PSI if reading else None for reading in readings] == pytest.approx([140, 135, 136])
    assert (boiler.proposed.plant_revision, boiler.proposed.engine_version) == ("r", "v")


def test_an_on_off_burner_may_say_that_its_turndown_is_one() -> None:
    burner = boiler_with('[[boiler.burner]]\nfuel = "natural gas"\nfiring = "on-off"\nturndown = 1\n').burners[0]
    assert burner.turndown == 1


def test_a_volume_may_be_given_in_any_of_its_units() -> None:
    for written, volume in (("264.1721 gal", 264.1721 * GALLON), ("1000 L", 1.0), ("1 m3", 1.0), ("35.31467 ft3", 1.0)):
        assert boiler_with(f'water_volume = "{written}"').water_volume == pytest.approx(volume, rel=1e-6)
