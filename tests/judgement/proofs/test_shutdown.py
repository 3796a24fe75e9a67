"""A shutdown against a cooling that is reckoned by hand from an independent steam library.

The boiler is a closed vessel of water, steam and steel that loses heat in proportion to how much warmer it is than the
room: dt = dU / (UA (T - T_room)). U(p) comes from CoolProp's IF97 at constant mass and volume; UA from the standing
loss that the survey states at the pressure that the plant needs. Steel: 0.115 Btu/(lb F), a handbook's number.
"""

from dataclasses import replace
from functools import cache
from math import log

import numpy as np
import pytest

from evenfire.judgement.case import Case
from evenfire.judgement.proofs.result import Found, Proof, Scenario, Verdict
from evenfire.judgement.proofs.shutdown import AIR_GETS_IN, HOURS, INTERVAL, TIGHT, _falls_to, _not_told
from evenfire.plant.known import Missing
from evenfire.si import PA_PER_PSI
from tests.judgement.proofs import runs_by_hand
from tests.judgement.proofs.cases import as_found, proof_of
from tests.judgement.proofs.runs_by_hand import PSI
from tests.surveys import case_of, survey

ROOM = 293.15
"""20 C, where the program lets a boiler room stand [K]."""
STEEL = 0.115 * 4186.8
HOUR = 3600.0
PLANTS = ("laundry", "board-mill", "school", "vertical", "rental-trailer-brewery")


@cache
def case_that(plant: str, breaks: bool) -> Case:
    return case_of(survey({"boiler.vacuum_breaker": breaks}, plant))


def found(proof: Proof, wanted: Found) -> float:
    return next(fact.value.value for fact in proof.facts if fact.found is wanted)


def has(proof: Proof, wanted: Found) -> bool:
    return any(fact.found is wanted for fact in proof.facts)


def other(name: str, pressure: float, quality: float) -> float:
    from CoolProp.CoolProp import PropsSI  # its import takes 1.3 s: only these tests pay

    return float(PropsSI(name, "P", pressure, "Q", quality, "IF97::Water"))


def energy(case: Case, full: float, pressure: float) -> float:
    """Of what the boiler holds at normal level at ``full``, when it stands at ``pressure`` [J]; both [Pa abs]."""
    boiler = case.boiler
    assert boiler.water_volume is not None
    assert boiler.steam_volume is not None
    assert boiler.metal_mass is not None
    water, steam = boiler.water_volume, boiler.steam_volume.value
    mass = other("D", full, 0) * water + other("D", full, 1) * steam
    liquid, vapour = (1 / other("D", pressure, quality) for quality in (0, 1))
    share = ((water + steam) / mass - liquid) / (vapour - liquid)
    inner = [other("H", pressure, quality) - pressure * volume for quality, volume in ((0, liquid), (1, vapour))]
    return mass * (inner[0] + share * (inner[1] - inner[0])) + boiler.metal_mass.value * STEEL * other("T", pressure, 0)


def conductance(case: Case) -> float:
    """Standing loss for each degree above the room [W/K]."""
    assert case.boiler.standing_loss is not None
    assert not isinstance(case.facts.need, Missing)
    working = case.facts.need + case.site.ambient.value
    return case.boiler.standing_loss.value / (other("T", working, 0) - ROOM)


def by_hand(case: Case, end: float) -> float:
    """Seconds from cut-out down to a pressure [Pa abs], by the rule of trapezes."""
    assert not isinstance(case.stack.cut_out, Missing)
    begin = case.stack.cut_out + case.site.ambient.value
    pressures = np.geomspace(begin, end, 400)
    stored = [energy(case, begin, pressure) for pressure in pressures]
    warmer = [other("T", pressure, 0) - ROOM for pressure in pressures]
    return -float(np.trapezoid(1.0 / (conductance(case) * np.array(warmer)), stored))


@pytest.mark.parametrize("plant", PLANTS)
@pytest.mark.parametrize("breaks", [True, False])
def test_the_time_to_zero_gauge_is_that_of_a_cooling_reckoned_by_hand(plant: str, breaks: bool) -> None:
    case = case_that(plant, breaks)
    told = found(proof_of(case, Scenario.SHUTDOWN), Found.ZERO_GAUGE)
    assert told == pytest.approx(by_hand(case, case.site.ambient.value), rel=0.003)


def test_the_laundry_cools_as_a_lump_of_iron_and_water_would() -> None:
    # By slide rule, in pounds and degrees: 1,450 gal of hot water at 350 F, 55.6 lb/ft3, are 10,780 lb at 1.03
    # Btu/(lb F), and 17,500 lb of steel at 0.115; 1 % of 200 bhp leaves it at 105 psi, 341 F.
    case = as_found("laundry")
    assert case.boiler.water_volume is not None
    pounds = case.boiler.water_volume / 0.0283168 * 55.6
    heat = pounds * 1.03 + 17_500 * 0.115
    loss = 0.01 * 200 * 33_475 / (341 - 68)
    hours = heat / loss * log((350 - 68) / (212 - 68))
    assert found(proof_of(case, Scenario.SHUTDOWN), Found.ZERO_GAUGE) / HOUR == pytest.approx(hours, rel=0.03)


@pytest.mark.parametrize("plant", PLANTS)
def test_a_tight_boiler_is_after_three_days_as_deep_in_vacuum_as_its_heat_loss_lets_it_be(plant: str) -> None:
    case = case_that(plant, False)
    proof = proof_of(case, Scenario.SHUTDOWN)
    (shown,) = proof.runs
    assert shown.name == TIGHT
    ambient = case.site.ambient.value
    assert by_hand(case, found(proof, Found.LOWEST) + ambient) == pytest.approx(HOURS * HOUR, rel=0.003)
    half = found(proof, Found.HALF_VACUUM)
    assert by_hand(case, ambient / 2) == pytest.approx(half, rel=0.003)
    assert found(proof, Found.BELOW_ZERO) == pytest.approx(HOURS * HOUR - found(proof, Found.ZERO_GAUGE), rel=1e-9)


def test_no_vacuum_is_deeper_than_the_vapour_pressure_of_the_room() -> None:
    # Steam tables (from memory): water of 68 F boils at 0.339 psia.
    case = case_that("school", False)
    proof = proof_of(case, Scenario.SHUTDOWN)
    deepest = found(proof, Found.DEEPEST_VACUUM)
    assert (deepest + case.site.ambient.value) / PA_PER_PSI == pytest.approx(0.339, abs=0.001)
    assert found(proof, Found.LOWEST) > deepest


@pytest.mark.parametrize("plant", PLANTS)
def test_where_air_gets_in_the_gauge_stays_at_zero_and_there_is_no_vacuum(plant: str) -> None:
    proof = proof_of(case_that(plant, True), Scenario.SHUTDOWN)
    (shown,) = proof.runs
    assert shown.name == AIR_GETS_IN
    assert found(proof, Found.LOWEST) == pytest.approx(0.0, abs=1e-3)
    assert not has(proof, Found.DEEPEST_VACUUM)
    assert float(shown.run.series.pressure[-1]) == pytest.approx(0.0, abs=1e-3)


def test_where_nobody_says_whether_air_gets_in_both_are_shown_and_it_is_asked_for() -> None:
    proof = proof_of(case_of(survey({"boiler.vacuum_breaker": None})), Scenario.SHUTDOWN)
    assert [shown.name for shown in proof.runs] == [AIR_GETS_IN, TIGHT]
    assert "vacuum_breaker" in proof.not_told
    assert "vacuum_breaker" not in proof_of(case_that("laundry", False), Scenario.SHUTDOWN).not_told


def test_nothing_is_demanded_of_a_boiler_without_a_vacuum_breaker() -> None:
    for plant in PLANTS:
        proof = proof_of(case_that(plant, False), Scenario.SHUTDOWN)
        assert (proof.verdict, proof.checks) == (Verdict.TOLD, ())


def test_the_burner_stays_off_and_no_water_comes() -> None:
    for plant in PLANTS:
        for shown in proof_of(as_found(plant), Scenario.SHUTDOWN).runs:
            assert float(shown.run.series.firing.max()) == 0.0
            assert shown.run.crossed.feed == shown.run.crossed.steam == 0.0


def test_the_glass_falls_by_what_water_shrinks() -> None:
    # Tables: water has 55.6 lb/ft3 at 350 F and 62 at 100 F; three days take the laundry down to about 150 F, 61.2.
    shrinks = found(proof_of(case_that("laundry", True), Scenario.SHUTDOWN), Found.WATER_SHRINKS)
    assert shrinks == pytest.approx(1 - 55.6 / 61.2, abs=0.01)


def test_the_hold_is_in_force_once_the_pressure_is_below_it_and_not_before() -> None:
    case = as_found("laundry")
    assert not isinstance(case.stack.hold, Missing)
    proof = proof_of(case, Scenario.SHUTDOWN)
    into = found(proof, Found.COOLS_INTO_HOLD)
    assert into == pytest.approx(by_hand(case, case.stack.hold + case.site.ambient.value), rel=0.003)
    assert not has(proof_of(as_found("school"), Scenario.SHUTDOWN), Found.COOLS_INTO_HOLD)


def test_started_from_zero_gauge_it_needs_the_heat_up_to_cut_in_at_low_fire_below_the_hold() -> None:
    case = as_found("laundry")
    stack = case.stack
    assert not isinstance(stack.hold, Missing)
    assert not isinstance(stack.cut_in, Missing)
    ambient = case.site.ambient.value
    zero, hold, cut_in = (energy(case, ambient, ambient + gauge) for gauge in (0.0, stack.hold, stack.cut_in))
    full = 200 * 33_475 * 1055.056 / HOUR
    least = (hold - zero) / (0.25 * full) + (cut_in - hold) / full
    told = found(proof_of(case, Scenario.SHUTDOWN), Found.BACK_AT_WORK)
    # The loss, the start chain of two minutes and the drive to high fire come on top.
    assert least < told < 1.15 * least + 180


def test_a_boiler_that_loses_nothing_keeps_its_pressure() -> None:
    proof = proof_of(case_of(survey({"boiler.standing_loss": "0 %"})), Scenario.SHUTDOWN)
    assert not has(proof, Found.ZERO_GAUGE)
    assert found(proof, Found.LOWEST) == pytest.approx(float(proof.runs[0].run.series.pressure[0]), abs=1.0)


def test_only_what_was_assumed_would_tell_more() -> None:
    surveyed: dict[str, object] = {"boiler.vacuum_breaker": True, "boiler.standing_loss": "70,000 Btu/h"}
    assert _not_told(case_of(survey(surveyed))) == ()
    assert _not_told(case_of(survey(surveyed | {"boiler.standing_loss": None}))) == ("standing_loss",)
    assert _not_told(case_of(survey(surveyed | {"boiler.vacuum_breaker": None}))) == ("vacuum_breaker",)
    bare = case_of(survey(surveyed))
    unknown = replace(bare, boiler=replace(bare.boiler, breaks_vacuum=None, standing_loss=None))
    assert _not_told(unknown) == ()


@pytest.mark.parametrize(
    ("pressure", "rows"),
    # From 100 to 80 psi between the first two rows, to 70 until the third.
    [(100.0, 0.0), (90.0, 0.5), (80.0, 1.0), (75.0, 1.5), (70.0, 2.0), (69.0, None), (120.0, 0.0)],
)
def test_when_it_is_down_at_a_pressure_is_read_on_a_straight_line(pressure: float, rows: float | None) -> None:
    done = runs_by_hand.shown([100.0, 80.0, 70.0])
    time = np.arange(3, dtype=np.float64) * INTERVAL
    found = _falls_to(replace(done, run=replace(done.run, series=replace(done.run.series, time=time))), pressure * PSI)
    assert found == (None if rows is None else pytest.approx(rows * INTERVAL))
