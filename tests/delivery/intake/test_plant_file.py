"""A good file becomes the plant that it describes; a dangerous one loads too, since judging it is the whole job.

Factors of units: NIST SP 811, appendix B.8; the boiler horsepower: DOE steam tip sheet 16, 33,475 Btu/h.
"""

from datetime import date

import pytest

from evenfire.delivery.intake.plant_file import read_plant_file, read_plant_text
from evenfire.plant.boiler import Feed, Kind
from evenfire.plant.burner import Firing, Fuel, PurgeDamper
from evenfire.plant.controls import Action, Contact, Counts, Filling, Position, Reset, Role, Senses
from evenfire.plant.known import Datum, Origin
from evenfire.plant.load import Place
from evenfire.plant.settings import Switch
from tests.delivery.intake.samples import (
    BTU_H,
    EXAMPLES,
    GALLON,
    LAUNDRY,
    POUND,
    PSI,
    SCHOOL,
    SMALLEST,
    changed,
    laundry_with,
    smallest_with,
)

NEAR = 1e-6
"""The factors are printed to seven digits."""


def value(datum: Datum | None) -> float:
    assert datum is not None
    assert datum.origin is Origin.SURVEYED
    return datum.value


def test_the_laundrys_boiler_arrives_in_si() -> None:
    boiler = read_plant_text(LAUNDRY, "laundry.toml").plant.boilers[0]
    assert (boiler.name, boiler.kind, boiler.feed) == ("No. 1", Kind.FIRETUBE, Feed.ON_OFF)
    assert boiler.mawp == pytest.approx(150 * PSI, rel=NEAR)
    assert boiler.output == pytest.approx(200 * 33_475 * BTU_H, rel=NEAR)
    assert boiler.heating_surface == pytest.approx(1000 * 0.3048**2, rel=NEAR)
    assert boiler.water_volume == pytest.approx(1450 * GALLON, rel=NEAR)
    assert value(boiler.steam_volume) == pytest.approx(65 * 0.3048**3, rel=NEAR)
    assert value(boiler.metal_mass) == pytest.approx(17_500 * POUND, rel=NEAR)
    assert value(boiler.feedwater_temperature) == pytest.approx((200 - 32) / 1.8 + 273.15, rel=NEAR)
    assert boiler.non_return_valve is False


def test_the_laundrys_burner_arrives_in_si() -> None:
    burner = read_plant_text(LAUNDRY, "laundry.toml").plant.boilers[0].burners[0]
    assert (burner.fuel, burner.firing, burner.turndown) == (Fuel.NATURAL_GAS, Firing.MODULATING, 4.0)
    assert burner.input_nameplate == pytest.approx(8.35e6 * BTU_H, rel=NEAR)
    assert burner.input_clocked == pytest.approx(8.30e6 * BTU_H, rel=NEAR)
    assert (value(burner.efficiency), value(burner.heat_lag), value(burner.stroke_time)) == pytest.approx((0.81, 8, 30))
    assert burner.flame_failure_response == 3
    assert (burner.prepurge_air_changes, burner.prepurge_air) == pytest.approx((5, 0.9))
    assert burner.starts_at_low_fire is True


def test_every_part_of_the_start_chain_arrives_in_its_own_place() -> None:
    chain = read_plant_text(LAUNDRY, "laundry.toml").plant.boilers[0].burners[0].chain
    parts = (chain.start_delay, chain.drive_open, chain.prepurge, chain.drive_back, chain.pilot_trial)
    assert [value(part) for part in parts] == [3, 20, 30, 20, 10]
    rest = (chain.main_trial, chain.flame_to_low_fire, chain.release_delay, chain.minimum_off, chain.postpurge)
    assert [value(part) for part in rest] == [10, 5, 15, 0, 15]
    assert chain.purge_damper is PurgeDamper.OPEN
    odd = changed('flame_to_low_fire = "5 s"', 'flame_to_low_fire = "7 s"', LAUNDRY)
    odd = changed('minimum_off = "0 s"', 'minimum_off = "2 min"', odd)
    chain = read_plant_text(odd, "odd.toml").plant.boilers[0].burners[0].chain
    assert (value(chain.flame_to_low_fire), value(chain.minimum_off)) == (7, 120)


def test_the_laundrys_controls_arrive_as_they_are() -> None:
    controls = read_plant_text(LAUNDRY, "laundry.toml").plant.boilers[0].controls
    limit, high, rate, hold = (controls.of(role) for role in Role)
    assert limit is not None
    assert limit.scale is not None
    assert (limit.scale.lowest, limit.scale.highest, limit.scale.division) == pytest.approx(
        (10 * PSI, 150 * PSI, 2 * PSI), rel=NEAR
    )
    assert limit.differential_scale is not None
    assert limit.differential_scale.highest == pytest.approx(22 * PSI, rel=NEAR)
    assert (limit.counts, limit.senses, limit.contact) == (Counts.BELOW, Senses.BOILER, Contact.SNAP)
    assert (limit.valve_in_line, limit.siphon, limit.own_element) == (False, True, True)
    assert limit.tolerance.dial == pytest.approx(2 * PSI, rel=NEAR)
    assert limit.tolerance.proved == pytest.approx(0.5 * PSI, rel=NEAR)
    assert limit.water_leg is not None
    assert limit.water_leg.height == pytest.approx(0.1524)
    assert (limit.water_leg.position, limit.water_leg.filling) == (Position.BELOW_TAP, Filling.FULL)
    assert high is not None
    assert (high.reset, high.action) == (Reset.MANUAL, None)
    assert rate is not None
    assert (rate.action, rate.counts, rate.own_element) == (Action.PROPORTIONAL, Counts.ABOVE, None)
    assert hold is not None
    assert hold.element_rating == pytest.approx(225 * PSI, rel=NEAR)


def test_the_laundrys_settings_arrive_each_on_its_own_dial() -> None:
    found = read_plant_text(LAUNDRY, "laundry.toml").plant.boilers[0].as_found
    assert found is not None
    readings = [found.settings.of(role) for role in Role]
    shown = [(r.main / PSI, None if r.differential is None else r.differential / PSI) for r in readings if r]
    assert [main for main, _ in shown] == pytest.approx([120, 140, 110, 60], rel=NEAR)
    assert [differential for _, differential in shown if differential] == pytest.approx([8, 15], rel=NEAR)
    assert (found.switch, found.jumpers, found.unexplained_resets) == (Switch.AUTOMATIC, (), 0)
    assert found.settings.read_on == date(2026, 11, 3)
    assert found.settings.proved == frozenset()


def test_the_laundrys_load_and_valves_arrive_in_si() -> None:
    plant = read_plant_text(LAUNDRY, "laundry.toml").plant
    load, valves = plant.load, plant.boilers[0].safety_valves
    pressures = (load.need, load.wish, load.rated_max, load.may_dip_to)
    assert [each / PSI for each in pressures if each] == pytest.approx([105, 130, 150, 100], rel=NEAR)
    assert (load.need_at, load.may_dip_for) == (Place.BOILER, 60)
    assert [valve.name for valve in valves] == ["front", "rear"]
    assert valves[0].capacity == pytest.approx(4500 * POUND / 3600, rel=NEAR)
    assert value(valves[0].blowdown) == pytest.approx(6 * PSI, rel=NEAR)
    assert plant.boilers[0].gauge.calibrated_on == date(2026, 7, 2)
    price = plant.site.fuel_price
    assert price is not None
    assert price.amount * 1e6 * 1055.056 == pytest.approx(11.50, rel=NEAR)
    assert price.currency == "USD"


def test_air_comes_from_the_altitude_or_the_barometer() -> None:
    """The US Standard Atmosphere 1976 gives 843.1 hPa at 5000 ft (table value, from memory: 24.90 inHg)."""
    assert read_plant_text(changed('"40 ft"', '"5000 ft"'), "a").plant.site.ambient.value == pytest.approx(
        84_310, rel=1e-3
    )
    barometer = laundry_with('altitude = "40 ft"', 'barometer = "29.92 inHg"').plant.site.ambient
    assert value(barometer) == pytest.approx(101_320, rel=1e-4)


def test_an_absolute_pressure_is_turned_into_gauge_with_the_air_of_the_site() -> None:
    """At sea level 14.696 psi is the standard atmosphere, so 164.7 psia are 150.0 psi."""
    text = changed('altitude = "40 ft"', 'altitude = "0 ft"', changed('mawp = "150 psi"', 'mawp = "164.696 psia"'))
    assert read_plant_text(text, "a").plant.boilers[0].mawp == pytest.approx(150 * PSI, rel=1e-5)


def test_the_smallest_file_loads_and_lists_no_control_and_no_valve() -> None:
    boiler = read_plant_text(SMALLEST, "small.toml").plant.boilers[0]
    assert all(boiler.controls.of(role) is None for role in Role)
    assert (boiler.safety_valves, boiler.burners, boiler.as_found) == ((), (), None)


@pytest.mark.parametrize("name", ["laundry", "school", "school-by-dial"])
def test_the_examples_load(name: str) -> None:
    plant_file = read_plant_file(EXAMPLES / f"{name}.toml")
    assert plant_file.name.endswith(f"{name}.toml")
    assert plant_file.plant.boilers[0].as_found is not None


def test_the_school_is_a_low_pressure_boiler_whose_valves_carry_its_output() -> None:
    """Low pressure is up to 15 psi; valves must pass the output in Btu/h over 1000 in lb/h (COLO, NY-4, MD-12)."""
    boiler = read_plant_text(SCHOOL, "school.toml").plant.boilers[0]
    assert boiler.is_low_pressure
    assert boiler.kind is Kind.CAST_IRON
    assert boiler.output is not None
    relieved = sum(valve.capacity or 0 for valve in boiler.safety_valves) / POUND * 3600
    assert relieved >= boiler.output / BTU_H / 1000


def test_the_school_by_dial_differs_from_the_school_in_its_proofs_alone() -> None:
    proved = read_plant_file(EXAMPLES / "school.toml").plant.boilers[0]
    by_dial = read_plant_file(EXAMPLES / "school-by-dial.toml").plant.boilers[0]
    assert proved.as_found is not None
    assert by_dial.as_found is not None
    assert proved.as_found.settings.proved == {Role.OPERATING_LIMIT, Role.HIGH_LIMIT}
    assert by_dial.as_found.settings.proved == frozenset()
    for role in (Role.OPERATING_LIMIT, Role.HIGH_LIMIT):
        ours, theirs = proved.controls.of(role), by_dial.controls.of(role)
        assert ours is not None
        assert theirs is not None
        assert ours.tolerance.proved == pytest.approx(0.5 * PSI, rel=NEAR)
        assert theirs.tolerance.proved is None
        assert ours.tolerance.dial == theirs.tolerance.dial == pytest.approx(2 * PSI, rel=NEAR)
    assert (proved.water_volume, proved.metal_mass) == (by_dial.water_volume, by_dial.metal_mass)


DANGEROUS = [
    ('set = "150 psi"', 'set = "200 psi"', "a valve above the maximum allowable working pressure"),
    ('high_limit = "140 psi"', 'high_limit = "160 psi"', "a high limit above the valve"),
    ('operating_limit = "120 psi"', 'operating_limit = "148 psi"', "an operating limit above the high limit"),
    ('firing_rate = "110 psi"', 'firing_rate = "150 psi"', "a firing rate above everything"),
    ('reset = "manual"', 'reset = "automatic"', "a high limit that resets itself"),
    ("valve_in_line = false", "valve_in_line = true", "a valve in the sensing line"),
    ("siphon = true", "siphon = false", "no siphon"),
    ('senses = "boiler"', 'senses = "header"', "a limit on the header"),
    ("jumpers = []", 'jumpers = ["wire across the high limit"]', "a jumper"),
    ("resets = 0", "resets = 7", "resets without a cause"),
    ('capacity = "4500 lb/h"', 'capacity = "10 lb/h"', "a valve far too small"),
    ('to = "300 psi"', 'to = "160 psi"', "a gauge that ends near the valve"),
    ('pilot_trial = "10 s"', 'pilot_trial = "60 s"', "a long trial"),
    ('rated_max = "150 psi"', 'rated_max = "90 psi"', "a system rated below its need"),
]


@pytest.mark.parametrize(("old", "new", "what"), DANGEROUS, ids=[what for *_, what in DANGEROUS])
def test_a_dangerous_plant_loads_because_it_must_be_judged(old: str, new: str, what: str) -> None:
    assert laundry_with(old, new).plant != read_plant_text(LAUNDRY, "laundry.toml").plant, what


def test_a_boiler_without_a_high_limit_loads() -> None:
    start, end = LAUNDRY.index("[boiler.controls.high_limit]"), LAUNDRY.index("[boiler.controls.firing_rate]")
    text = changed('high_limit = "140 psi"\n', "", LAUNDRY[:start] + LAUNDRY[end:])
    assert read_plant_text(text, "a").plant.boilers[0].controls.high_limit is None


def test_the_revision_is_that_of_the_survey_and_not_of_the_typing() -> None:
    plain = read_plant_text(LAUNDRY, "a")
    assert len(plain.revision) == 64
    other = changed('"120 psi"', '"120.0 PSI"  # as read').replace("\n[boiler.gauge]", "\n\n\n[boiler.gauge]")
    assert read_plant_text(other, "b").revision == plain.revision
    assert laundry_with('"120 psi"', '"122 psi"').revision != plain.revision
    assert laundry_with('water_volume = "1450 gal"', "").revision != plain.revision


def test_a_proposal_does_not_make_itself_stale() -> None:
    proposed = '[boiler.proposed]\nhigh_limit = "138 psi"\nplant_revision = "x"\nengine_version = "0.1"\n'
    plain = read_plant_text(LAUNDRY, "a")
    with_one = read_plant_text(LAUNDRY + proposed, "a")
    assert with_one.plant.boilers[0].proposed is not None
    assert with_one.revision == plain.revision
    assert with_one.digest != plain.digest


def test_to_state_what_would_be_assumed_is_another_survey() -> None:
    stated = smallest_with("feedwater_temperature = '200 F'\n")
    silent = smallest_with("")
    assert stated.plant.boilers[0].feedwater_temperature is not None
    assert silent.plant.boilers[0].feedwater_temperature is not None
    assert stated.revision != silent.revision


def test_several_boilers_keep_their_order() -> None:
    second = LAUNDRY[LAUNDRY.index("[[boiler]]") :].replace('"No. 1"', '"No. 2"')
    plant = read_plant_text(f"{LAUNDRY}\n{second}", "two.toml").plant
    assert [boiler.name for boiler in plant.boilers] == ["No. 1", "No. 2"]
    assert len(plant.boilers[1].safety_valves) == 2
