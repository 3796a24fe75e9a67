"""What safety valves mean for settings: when the first may lift, when the last has closed, how far to stay away.

Set tolerances: 2 psi to 70 psi, 3 % to 300, 10 psi to 1000, 1 % above; 2 psi on low pressure. Gaps: 5 psi on low
pressure, 10 % and at least 7 to 300 psi, 7 % and at least 30 to 1000, 5 % and at least 70 above. Boiler code tables,
from memory.
"""

from dataclasses import replace

import pytest

from evenfire.judgement.valve_facts import (
    earliest_lift,
    lowest_valve,
    reseat_of,
    reseat_pressure,
    valve_gap,
    valve_tolerance,
)
from evenfire.plant.boiler import Boiler
from evenfire.si import GaugePa
from tests.judgement.plants_for_rules import HIGH_PRESSURE, LOW_PRESSURE, Table, edited, plant_of

PSI = 6894.757293168


def valve(set_at: str, *, blowdown: str = "6 psi", lift: str | None = None) -> Table:
    made: Table = {"name": set_at, "set": set_at, "capacity": "9000 lb/h", "blowdown": blowdown}
    if lift is not None:
        made["tested_lift"] = lift
    return made


def boiler(*valves: Table, mawp: str = "150 psi") -> Boiler:
    return plant_of(edited(HIGH_PRESSURE, {"boiler.mawp": mawp, "boiler.safety_valve": list(valves)})).boilers[0]


def psi(value: float | None) -> float | None:
    return None if value is None else round(value / PSI, 6)


@pytest.mark.parametrize(
    ("lowest", "gap"),
    [
        (14.0, 5.0),
        (15.0, 5.0),
        # A hair above low pressure the next row begins.
        (15.1, 7.0),
        (69.0, 7.0),
        (71.0, 7.1),
        (150.0, 15.0),
        (300.0, 30.0),
        # 7 % of 301 is less than the 30 at least.
        (301.0, 30.0),
        (428.0, 30.0),
        (430.0, 30.1),
        (1000.0, 70.0),
        (1001.0, 70.0),
        (1399.0, 70.0),
        (1500.0, 75.0),
    ],
)
def test_the_gap_to_the_lowest_valve_is_that_of_its_row(lowest: float, gap: float) -> None:
    assert valve_gap(boiler(valve("150 psi")), GaugePa(lowest * PSI)) / PSI == pytest.approx(gap, rel=1e-9)


def test_a_low_pressure_boiler_keeps_the_low_gap() -> None:
    low = plant_of(LOW_PRESSURE).boilers[0]
    for lowest in (12.0, 15.0, 30.0):
        assert valve_gap(low, GaugePa(lowest * PSI)) / PSI == pytest.approx(5.0)


def test_the_valve_that_may_lift_first_is_not_always_the_one_set_lowest() -> None:
    # 150 psi may lift 3 % early, at 145.5; one set at 148 whose bench says 147 may not.
    both = boiler(valve("150 psi"), valve("148 psi", lift="147 psi"))
    assert psi(earliest_lift(both)) == 145.5
    assert psi(lowest_valve(both)) == 148.0
    assert valve_tolerance(both) == pytest.approx(4.5 * PSI)
    assert psi(earliest_lift(boiler(valve("148 psi", lift="147 psi"), valve("160 psi")))) == 147.0
    assert valve_tolerance(boiler(valve("148 psi", lift="147 psi"))) == pytest.approx(1.0 * PSI)


def test_valves_that_all_stand_above_the_mawp_are_not_what_settings_may_rely_on() -> None:
    # They have to go: one at the MAWP, 150 psi, may lift at 145.5.
    high = boiler(valve("160 psi"), valve("170 psi"))
    assert psi(lowest_valve(high)) == 150.0
    assert psi(earliest_lift(high)) == 145.5
    # One at the MAWP is enough for what is there to count; a certificate that is earlier counts in any case.
    assert psi(earliest_lift(boiler(valve("150 psi"), valve("160 psi")))) == 145.5
    assert psi(earliest_lift(boiler(valve("150 psi", lift="149 psi"), valve("160 psi")))) == 149.0
    assert psi(earliest_lift(boiler(valve("160 psi", lift="140 psi")))) == 140.0
    assert psi(lowest_valve(boiler(valve("140 psi"), valve("160 psi")))) == 140.0


def test_the_last_to_close_says_where_all_are_shut_and_one_unknown_blowdown_leaves_it_unknown() -> None:
    # 150 - 4.5 - 6 = 139.5; the other closes at 147 - 12 = 135.
    both = boiler(valve("150 psi"), valve("148 psi", blowdown="12 psi", lift="147 psi"))
    assert psi(reseat_pressure(both)) == 135.0
    assert psi(reseat_pressure(boiler(valve("150 psi")))) == 139.5
    # What nobody knows of one of them may be lower than all that is known.
    for place in (0, 1):
        valves = list(both.safety_valves)
        valves[place] = replace(valves[place], blowdown=None)
        assert reseat_of(valves[place]) is None
        assert reseat_pressure(replace(both, safety_valves=tuple(valves))) is None


def test_without_valves_there_is_nothing_to_lift_or_to_close() -> None:
    bare = boiler()
    for fact in (lowest_valve, earliest_lift, valve_tolerance, reseat_pressure):
        assert fact(bare) is None
