"""What may be assumed is filled in, marked and listed; what decides safety never is.

Shell loss 1 % of full-load input: DOE steam tip sheet 16. Blowdown 2 to 4 % or 2 to 4 psi: Valve Selection Handbook.
The other numbers are assumptions of this program; the tests hold that they are used where nothing was given, and only
there, and that the direction of each is the stricter one where there is one.
"""

import pytest

from evenfire.delivery.intake import assumptions as assumed
from evenfire.delivery.intake.filling import what_was_filled
from evenfire.delivery.intake.plant_file import PlantFile, read_plant_text
from evenfire.plant.boiler import Kind
from evenfire.plant.burner import Burner
from evenfire.plant.controls import Role
from evenfire.plant.known import Datum, Origin
from evenfire.si import Dimension
from tests.delivery.intake.samples import (
    BTU_H,
    EXAMPLES,
    GALLON,
    LAUNDRY,
    POUND,
    PSI,
    SMALLEST,
    changed,
    laundry_with,
    smallest_with,
)

BURNER = '[[boiler.burner]]\nfuel = "natural gas"\nfiring = "modulating"\n'
VALVE = '[[boiler.safety_valve]]\nset = "{}"\n'


def names(plant_file: PlantFile) -> list[str]:
    return [each.name for each in plant_file.assumptions]


def burner_of(extra: str) -> Burner:
    return smallest_with(extra).plant.boilers[0].burners[0]


def assumed_value(datum: Datum | None, name: str) -> float:
    assert datum is not None
    assert (datum.origin, datum.assumption) == (Origin.ASSUMED, name)
    return datum.value


def test_a_survey_that_gives_everything_has_nothing_assumed_but_what_it_left_out() -> None:
    full = changed(
        'may_dip_for = "60 s"',
        'pick_up = { size = "50 %", over = "60 s" }\ndrop = { size = "50 %", over = "60 s" }',
        changed('feed = "on-off"', 'standing_loss = "1 %"'),
    )
    assert read_plant_text(full, "full.toml").filled == ()
    less = read_plant_text(changed('heat_lag = "8 s"\n', "", full), "less.toml")
    assert names(less) == ["ASSUMED_HEAT_LAG"]
    assert [(each.boiler, each.value.value) for each in less.filled] == [("No. 1", 8.0)]


def test_what_decides_safety_is_never_assumed() -> None:
    plant = smallest_with(BURNER + VALVE.format("150 psi")).plant
    boiler = plant.boilers[0]
    assert boiler.output is None
    assert boiler.water_volume is None
    assert boiler.metal_mass is None
    assert boiler.steam_volume is None
    assert boiler.standing_loss is None
    assert boiler.burners[0].turndown is None
    assert boiler.burners[0].input_nameplate is None
    assert boiler.burners[0].flame_failure_response is None
    assert boiler.burners[0].chain.purge_damper is None
    assert boiler.safety_valves[0].capacity is None
    assert boiler.safety_valves[0].tested_lift is None
    assert (plant.load.need, plant.load.wish, plant.load.rated_max, plant.load.demand) == (None, None, None, None)


def test_the_air_of_an_unstated_site_is_that_of_the_sea_and_marked() -> None:
    assert assumed_value(smallest_with("").plant.site.ambient, "ASSUMED_AMBIENT") == 101_325


@pytest.mark.parametrize("kind", list(Kind))
def test_steam_and_metal_follow_the_water_of_each_kind(kind: Kind) -> None:
    text = changed('"firetube"', f'"{kind.value}"', SMALLEST) + 'water_volume = "1000 gal"\n'
    boiler = read_plant_text(text, "a").plant.boilers[0]
    water = 1000 * GALLON
    assert 0.1 * water <= assumed_value(boiler.steam_volume, "ASSUMED_STEAM_VOLUME") <= 0.6 * water
    assert 999 * water <= assumed_value(boiler.metal_mass, "ASSUMED_METAL_MASS") <= 4000 * water


def test_the_assumed_steam_and_metal_store_no_more_than_the_laundrys_own() -> None:
    """The low end is the stricter one: less storage, larger run-on. The laundry's own data are invented but usual."""
    own = read_plant_text(LAUNDRY, "a").plant.boilers[0]
    text = changed('steam_volume = "65 ft3"\nmetal_mass = "17500 lb"\n', "")
    guessed = read_plant_text(text, "a").plant.boilers[0]
    assert own.metal_mass is not None
    assert own.steam_volume is not None
    assert assumed_value(guessed.metal_mass, "ASSUMED_METAL_MASS") <= own.metal_mass.value
    assert assumed_value(guessed.steam_volume, "ASSUMED_STEAM_VOLUME") <= own.steam_volume.value


def test_feedwater_is_warmer_at_a_process_boiler_than_at_a_heating_boiler() -> None:
    high = smallest_with("").plant.boilers[0].feedwater_temperature
    low = read_plant_text(changed('"150 psi"', '"15 psi"', SMALLEST), "a").plant.boilers[0].feedwater_temperature
    name = "ASSUMED_FEEDWATER_TEMPERATURE"
    assert assumed_value(high, name) == pytest.approx((200 - 32) / 1.8 + 273.15)
    assert assumed_value(low, name) == pytest.approx((160 - 32) / 1.8 + 273.15)


def test_the_standing_loss_is_one_percent_of_the_heat_at_full_fire() -> None:
    loss = smallest_with('output = "1000 kW"\n').plant.boilers[0].standing_loss
    assert assumed_value(loss, "ASSUMED_STANDING_LOSS") == pytest.approx(10_000)
    from_input = smallest_with(f'{BURNER}input = "1000 kW"\ninput_clocked = "1100 kW"\nefficiency = "80 %"\n')
    assert assumed_value(from_input.plant.boilers[0].standing_loss, "ASSUMED_STANDING_LOSS") == pytest.approx(8_800)


def test_a_burner_of_which_nothing_is_known_gets_every_part_of_its_motion() -> None:
    burner = burner_of(BURNER)
    chain = burner.chain
    assert assumed_value(burner.efficiency, "ASSUMED_EFFICIENCY") == 0.80
    assert assumed_value(burner.stroke_time, "ASSUMED_STROKE") == 30
    assert assumed_value(chain.start_delay, "ASSUMED_START_DELAY") == 3
    assert assumed_value(chain.prepurge, "ASSUMED_PREPURGE") == 30
    assert assumed_value(chain.pilot_trial, "ASSUMED_PILOT_TRIAL") == 10
    assert assumed_value(chain.main_trial, "ASSUMED_MAIN_TRIAL") == 10
    assert assumed_value(chain.flame_to_low_fire, "ASSUMED_FLAME_TO_LOW_FIRE") == 5
    assert assumed_value(chain.release_delay, "ASSUMED_RELEASE_DELAY") == 15
    assert assumed_value(chain.minimum_off, "ASSUMED_MINIMUM_OFF") == 0
    assert assumed_value(chain.postpurge, "ASSUMED_POSTPURGE") == 15


@pytest.mark.parametrize(
    ("burner", "seconds"),
    [
        (BURNER, 20),
        (f'{BURNER}[boiler.burner.start]\npurge_damper = "open"\n', 20),
        (f'{BURNER}[boiler.burner.start]\npurge_damper = "low"\n', 0),
        (BURNER.replace("modulating", "on-off"), 0),
    ],
)
def test_a_damper_travels_unless_the_burner_has_none_to_move(burner: str, seconds: float) -> None:
    chain = burner_of(burner).chain
    assert assumed_value(chain.drive_open, "ASSUMED_DRIVE_OPEN") == seconds
    assert assumed_value(chain.drive_back, "ASSUMED_DRIVE_BACK") == seconds


def test_a_surveyed_nought_is_not_taken_for_unknown() -> None:
    chain = burner_of(f'{BURNER}[boiler.burner.start]\nprepurge = "0 s"\ndrive_open = "0 s"\n').chain
    assert chain.prepurge == Datum(0.0, Origin.SURVEYED)
    assert chain.drive_open == Datum(0.0, Origin.SURVEYED)


@pytest.mark.parametrize(("kind", "seconds"), [("firetube", 8), ("watertube", 8), ("cast-iron", 15), ("coil", 5)])
def test_heat_lags_longest_where_the_iron_is_thickest(kind: str, seconds: float) -> None:
    text = changed('"firetube"', f'"{kind}"', SMALLEST) + BURNER
    burner = read_plant_text(text, "a").plant.boilers[0].burners[0]
    assert assumed_value(burner.heat_lag, "ASSUMED_HEAT_LAG") == seconds


@pytest.mark.parametrize(
    ("set_pressure", "blowdown", "name"),
    [
        ("150 psi", 6.0, "ASSUMED_BLOWDOWN"),
        ("125 psi", 5.0, "ASSUMED_BLOWDOWN"),
        ("60 psi", 4.0, "ASSUMED_LEAST_BLOWDOWN"),
        ("15 psi", 4.0, "ASSUMED_LEAST_BLOWDOWN"),
    ],
)
def test_a_valve_is_taken_to_close_at_the_far_end_of_what_valves_do(
    set_pressure: str, blowdown: float, name: str
) -> None:
    valve = smallest_with(VALVE.format(set_pressure)).plant.boilers[0].safety_valves[0]
    assert assumed_value(valve.blowdown, name) == pytest.approx(blowdown * PSI)


def test_a_line_drop_is_assumed_only_where_the_need_is_at_the_header() -> None:
    assert laundry_with('need_at = "boiler"', 'need_at = "boiler"').plant.load.line_drop is None
    at_header = laundry_with('need_at = "boiler"', 'need_at = "header"').plant.load.line_drop
    assert assumed_value(at_header, "ASSUMED_LINE_DROP") == pytest.approx(2 * PSI)


# What a load does to each kind of boiler: common practice, no source. A laundry or kitchen asks half within a minute; a
# water-tube boiler is bought for a quarter a minute; net ratings of cast iron leave a third for cold pipes.
BY_KIND = [
    ("firetube", 0.5, 60, 0.5, 60),
    ("watertube", 0.25, 60, 0.5, 60),
    ("vertical", 0.5, 30, 0.5, 30),
    ("cast-iron", 0.33, 120, 0.33, 120),
    ("coil", 0.25, 60, 0.5, 60),
]


@pytest.mark.parametrize(("kind", "up", "up_time", "down", "down_time"), BY_KIND, ids=str)
def test_an_unstated_change_of_load_goes_by_the_kind_of_boiler(
    kind: str, up: float, up_time: float, down: float, down_time: float
) -> None:
    load = read_plant_text(changed('"firetube"', f'"{kind}"', SMALLEST), "a").plant.load
    assert load.design_pick_up is not None
    assert load.design_drop is not None
    assert (load.design_pick_up.share, load.design_drop.share) == (True, True)
    assert assumed_value(load.design_pick_up.size, "ASSUMED_PICK_UP") == up
    assert assumed_value(load.design_pick_up.duration, "ASSUMED_PICK_UP_TIME") == up_time
    assert assumed_value(load.design_drop.size, "ASSUMED_DROP") == down
    assert assumed_value(load.design_drop.duration, "ASSUMED_DROP_TIME") == down_time


def test_boilers_of_several_kinds_get_the_largest_change_and_the_quickest() -> None:
    boiler = SMALLEST[SMALLEST.index("[[boiler]]") :]
    iron = changed('"firetube"', '"cast-iron"', SMALLEST)
    second = changed('"firetube"', '"watertube"', boiler).replace('"A"', '"B"')
    load = read_plant_text(f"{iron}\n{second}", "a").plant.load
    assert load.design_pick_up is not None
    assert load.design_pick_up.size.value == 0.33
    assert load.design_pick_up.duration.value == 60


def test_a_burner_that_only_goes_on_and_off_stands_a_pick_up_and_is_asked_no_drop() -> None:
    load = smallest_with('[[boiler.burner]]\nfuel = "natural gas"\nfiring = "on-off"\n').plant.load
    assert load.design_pick_up is not None
    assert load.design_drop is None


@pytest.mark.parametrize(("feed", "times"), [('feed = "on-off"', 2.0), ("", 2.0), ('feed = "modulating"', 1.5)])
def test_a_feed_pump_delivers_more_than_the_boiler_evaporates(feed: str, times: float) -> None:
    """A boiler horsepower is 34.5 lb/h from and at 212 F (DOE steam tip sheet 16); the multiples are assumptions."""
    capacity = smallest_with(f'output = "100 bhp"\n{feed}\n').plant.boilers[0].feed_capacity
    assert assumed_value(capacity, "ASSUMED_FEED_CAPACITY") == pytest.approx(times * 3450 * POUND / 3600, rel=1e-6)


def test_a_feed_capacity_comes_from_the_input_where_no_output_is_given_and_from_nothing_else() -> None:
    """970.3 Btu/lb is the heat of evaporation at 212 F of the steam tables."""
    boiler = smallest_with(f'{BURNER}input = "1000 kW"\nefficiency = "80 %"\n').plant.boilers[0]
    steam = 800_000 / BTU_H / 970.3 * POUND / 3600
    assert assumed_value(boiler.feed_capacity, "ASSUMED_FEED_CAPACITY") == pytest.approx(2 * steam, rel=1e-4)
    assert smallest_with(BURNER).plant.boilers[0].feed_capacity is None


def test_water_level_and_vacuum_of_an_unstated_boiler_are_assumed_and_marked() -> None:
    boiler = smallest_with("").plant.boilers[0]
    assert assumed_value(boiler.level_band, "ASSUMED_LEVEL_BAND") == pytest.approx(0.03)
    assert assumed_value(boiler.low_water_cutoff, "ASSUMED_LOW_WATER_CUTOFF") == pytest.approx(0.93)
    assert assumed_value(boiler.breaks_vacuum, "ASSUMED_BREAKS_VACUUM") == 1.0


def test_the_pump_starts_before_the_cutoff_acts() -> None:
    boiler = smallest_with("").plant.boilers[0]
    band = assumed_value(boiler.level_band, "ASSUMED_LEVEL_BAND")
    assert assumed_value(boiler.low_water_cutoff, "ASSUMED_LOW_WATER_CUTOFF") < 1 - band / 2


@pytest.mark.parametrize(("file", "psi"), [("laundry", 5.0), ("school", 1.0)])
def test_every_control_lags_and_only_the_high_limit_waits_to_be_reset(file: str, psi: float) -> None:
    boiler = read_plant_text((EXAMPLES / f"{file}.toml").read_text(encoding="utf-8"), file).plant.boilers[0]
    for role in Role:
        control = boiler.controls.of(role)
        if control is None:
            assert (file, role) in {("school", Role.FIRING_RATE), ("school", Role.LOW_FIRE_HOLD)}
            continue
        assert assumed_value(control.lag, "ASSUMED_CONTROL_LAG") == 1.0
        if role is Role.HIGH_LIMIT:
            drop = assumed_value(control.reset_differential, "ASSUMED_RESET_DIFFERENTIAL")
            assert drop == pytest.approx(psi * PSI)
        else:
            assert control.reset_differential is None


def test_how_the_load_draws_is_never_assumed() -> None:
    assert smallest_with("").plant.load.draw is None


def test_what_only_a_run_uses_is_listed_for_a_run_alone() -> None:
    plant = laundry_with('feed_capacity = "14000 lb/h"', "").plant
    told, all_of_them = what_was_filled(plant), what_was_filled(plant, motion=True)
    moving = {
        "ASSUMED_CONTROL_LAG",
        "ASSUMED_RESET_DIFFERENTIAL",
        "ASSUMED_FEED_CAPACITY",
        "ASSUMED_LEVEL_BAND",
        "ASSUMED_LOW_WATER_CUTOFF",
        "ASSUMED_BREAKS_VACUUM",
        "ASSUMED_PICK_UP",
        "ASSUMED_PICK_UP_TIME",
    }
    assert {each.assumption.name for each in all_of_them} - {each.assumption.name for each in told} == moving
    assert [each for each in all_of_them if each.assumption.name not in moving] == list(told)
    assert laundry_with('feed_capacity = "14000 lb/h"', "").filled == told
    assert laundry_with('feed_capacity = "14000 lb/h"', "").filled_for_motion == all_of_them


def test_each_assumption_is_listed_once_with_the_value_that_was_filled_in() -> None:
    plant_file = smallest_with(f'water_volume = "1000 gal"\n{BURNER}{BURNER.replace("natural gas", "light oil")}')
    entries = plant_file.filled
    assert len(entries) == len(set(entries))
    metal = next(each for each in entries if each.assumption is assumed.ASSUMED_METAL_MASS)
    assert metal.value.dimension is Dimension.MASS
    assert metal.value.value == pytest.approx(1000 * 1000 * GALLON)
    assert metal.boiler == "A"
    assert names(plant_file)[0] == "ASSUMED_AMBIENT"
    assert len(names(plant_file)) == len(set(names(plant_file)))


def test_the_list_of_assumptions_is_complete_and_says_why() -> None:
    constants = {name for name in vars(assumed) if name.startswith("ASSUMED_")}
    assert {each.name for each in assumed.ALL} == constants
    for each in assumed.ALL:
        assert getattr(assumed, each.name) is each
        assert each.why.endswith(".")
        assert len(each.why) > 40
        assert each.values
        assert each.keys
