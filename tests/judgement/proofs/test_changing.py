"""Pick-up and drop: what is found by halving is tried again here, on either side of what was found."""

from dataclasses import replace
from math import inf

import pytest

from evenfire.judgement.case import Case
from evenfire.judgement.outcome import TermName
from evenfire.judgement.proofs.changing import (
    _broke_off,
    _largest,
    _Search,
    _shortest,
    lowest_picking_up,
    motion_seen,
)
from evenfire.judgement.proofs.proving import prove
from evenfire.judgement.proofs.result import Found, NotApplicable, Proof, Scenario, Watched
from evenfire.judgement.proofs.staging import CROSSED, LOW, Stage, ramp, stages_of
from evenfire.physics import control_logic
from evenfire.physics.motion.happenings import Happening
from evenfire.plant.known import Datum, Origin
from evenfire.plant.load import Ramp
from tests.judgement.proofs.cases import check_of, failures, proof_of
from tests.judgement.proofs.runs_by_hand import shown
from tests.surveys import case_of, survey

PSI = 6894.757
POUND_PER_HOUR = 0.4535924 / 3600


def laundry(edits: dict[str, object] | None = None) -> Case:
    return case_of(survey({"boiler.standing_loss": "70,000 Btu/h"} | (edits or {})))


def stated(kind: str, size: str, over: str = "60 s") -> dict[str, object]:
    return {f"load.{kind}": {"size": size, "over": over}}


def found(proof: Proof, what: Found) -> float:
    return next(fact.value.value for fact in proof.facts if fact.found is what)


WELL_SET: dict[str, object] = {"boiler.as_found.firing_rate": "106 psi", "boiler.as_found.operating_limit": "134 psi"}
"""Low fire at 121 psi, so that no load above low fire is cut out and the need has a little room."""


def lowest_of(stage: Stage, before: float, size: float, *, at_cut_in: bool) -> float:
    """Lowest pressure of a pick-up over a minute [psi]."""
    first = stage.at_cut_in() if at_cut_in else stage.standing_at(before)
    shown = stage.run("again", first, ramp(before, before + size, 0.0, 60.0), hours=0.75)
    return shown.run.lowest.pressure / PSI


def test_the_largest_pick_up_holds_the_need_and_little_more_does_not() -> None:
    # Without the dip that the users stand, so that the need is what is looked at.
    case = laundry(WELL_SET | stated("pick_up", "800 lb/h") | {"load.may_dip_to": None, "load.may_dip_for": None})
    proof = proof_of(case, Scenario.PICK_UP)
    (stage,) = stages_of(case, LOW)
    largest = found(proof, Found.LARGEST_PICK_UP) * stage.full
    assert 0.0 < largest < 0.98 * stage.full - stage.low
    assert Found.BROKE_OFF not in {fact.found for fact in proof.facts}
    assert lowest_of(stage, 1.001 * stage.low, 0.99 * largest, at_cut_in=False) >= 105.0
    assert lowest_of(stage, 1.001 * stage.low, 1.02 * largest, at_cut_in=False) < 105.0
    design = lowest_of(stage, 1.001 * stage.low, 800 * POUND_PER_HOUR, at_cut_in=False)
    assert found(proof, Found.LOWEST) / PSI == pytest.approx(design, abs=0.01)


def test_after_a_restart_less_is_held_than_from_low_fire() -> None:
    edits = WELL_SET | stated("pick_up", "800 lb/h")
    proof, after = (proof_of(laundry(edits), each) for each in (Scenario.PICK_UP, Scenario.PICK_UP_AFTER_RESTART))
    assert found(after, Found.LARGEST_PICK_UP) < found(proof, Found.LARGEST_PICK_UP)
    (stage,) = stages_of(laundry(edits), LOW)
    again = lowest_of(stage, 0.9 * stage.low, 800 * POUND_PER_HOUR, at_cut_in=True)
    assert found(after, Found.LOWEST) / PSI == pytest.approx(again, abs=0.01)
    # Nobody can promise the need then.
    assert {check.watched for check in after.checks} == {Watched.STAYS_ABOVE_HOLD}


def test_only_a_pick_up_that_somebody_stated_demands_the_need() -> None:
    # The firing band at 100 psi: more load than a fire of three quarters stands below the need.
    low_band: dict[str, object] = {"boiler.as_found.firing_rate": "100 psi"}
    case = laundry(WELL_SET | low_band | stated("pick_up", "4000 lb/h", "5 s"))
    assert Watched.DIP_TIME in failures(proof_of(case, Scenario.PICK_UP))
    change = Ramp(
        size=Datum(4000 * POUND_PER_HOUR, Origin.ASSUMED, "ASSUMED_PICK_UP"),
        share=False,
        duration=Datum(5.0, Origin.ASSUMED, "ASSUMED_PICK_UP"),
    )
    assumed = replace(case, plant=replace(case.plant, load=replace(case.load, design_pick_up=change)))
    told = proof_of(assumed, Scenario.PICK_UP)
    assert {check.watched for check in told.checks} == {Watched.STAYS_ABOVE_HOLD}


def test_the_hold_is_looked_at_where_its_tolerance_puts_it_high() -> None:
    proof = proof_of(laundry(WELL_SET | stated("pick_up", "800 lb/h")), Scenario.PICK_UP)
    # 60 psi on the dial, half a foot of water early, and two psi high.
    assert check_of(proof, Watched.STAYS_ABOVE_HOLD).limit.value / PSI == pytest.approx(60 - 0.2165 + 2, abs=1e-3)


def test_a_boiler_without_a_hold_falls_into_none() -> None:
    case = laundry(WELL_SET | stated("pick_up", "800 lb/h"))
    bare = replace(case, boiler=replace(case.boiler, controls=replace(case.boiler.controls, low_fire_hold=None)))
    watched = {check.watched for check in proof_of(bare, Scenario.PICK_UP).checks}
    assert watched
    assert Watched.STAYS_ABOVE_HOLD not in watched


def is_stopped(stage: Stage, before: float, after: float, over: float) -> bool:
    shown = stage.run("again", stage.standing_at(before), ramp(before, after, 60.0, over), hours=0.75)
    return any(
        event.kind is Happening.BURNER_STOPPED and event.subject == control_logic.OPERATING_LIMIT
        for event in shown.run.events
    )


SMALL: dict[str, object] = {
    "boiler.water_volume": "300 gal",
    "boiler.steam_volume": "14 ft3",
    "boiler.metal_mass": "3000 lb",
    "boiler.burner.stroke": "60 s",
}
"""A fifth of the water and a slow drive: a change of load moves the pressure."""
TIGHT = WELL_SET | SMALL | {"boiler.as_found.operating_limit": "126 psi"}
"""The cut-out so near to the firing band that a quick fall of load runs into it."""


def test_the_fastest_fall_is_ridden_and_a_faster_one_is_not() -> None:
    case = laundry(TIGHT | stated("drop", "2500 lb/h", "30 s"))
    (stage,) = stages_of(case, CROSSED)
    proof = proof_of(case, Scenario.DROP)
    size, least = 2500 * POUND_PER_HOUR, 1.02 * stage.low
    over = size / stage.full / found(proof, Found.FASTEST_FALL)
    assert 0.0 < over < 1200.0
    assert not is_stopped(stage, least + size, least, over + 5.0)
    assert is_stopped(stage, least + size, least, max(0.0, over - 10.0))


def test_the_lowest_load_that_is_ridden_to_and_a_lower_one_that_is_not() -> None:
    case = laundry(TIGHT | stated("drop", "2500 lb/h", "0 s"))
    (stage,) = stages_of(case, CROSSED)
    proof = proof_of(case, Scenario.DROP)
    assert failures(proof) == {Watched.NO_STOP}
    stop = check_of(proof, Watched.NO_STOP).at
    assert stop is not None
    assert stop.value > 60.0
    before = 1.02 * stage.low + 2500 * POUND_PER_HOUR
    lowest = found(proof, Found.LOWEST_LOAD_RIDDEN) * stage.full
    assert 1.02 * stage.low < lowest < before
    assert not is_stopped(stage, before, lowest + 0.005 * stage.full, 0.0)
    assert is_stopped(stage, before, lowest - 0.01 * stage.full, 0.0)


def test_a_drop_that_no_speed_makes_stop_has_no_fastest_fall() -> None:
    proof = proof_of(laundry(WELL_SET | stated("drop", "300 lb/h", "60 s")), Scenario.DROP)
    assert failures(proof) == set()
    told = {fact.found for fact in proof.facts}
    assert not told & {Found.FASTEST_FALL, Found.BROKE_OFF}
    # Any fall down to low-fire load is ridden: low fire holds a quarter of full fire less the loss, 24.2 %.
    assert found(proof, Found.ANY_FALL) == pytest.approx(1.02 * 0.242, abs=0.002)


def test_overshoot_is_what_a_drop_rises_above_low_fire_with_nothing_to_stop_it() -> None:
    case = laundry(TIGHT | stated("drop", "2500 lb/h", "0 s"))
    seen = motion_seen(case)[TermName.OVERSHOOT_OF_DROP]
    # At once 2,500 lb/h less are drawn, of the 5,100 or so that the drive's minute spans. It drives down for half a
    # minute, the heat comes eight seconds late: on the mean half of the drop for 30 s and all of it for 8 s go into the
    # store. Before the drop the pressure stood lower on its line, by half of 15 psi. A pound of steam takes 1,020 Btu.
    heat = 2500 / 3600 * 1020 * 1055.056
    store = case.behaviour.storage(case.stack.low_fire).value  # type: ignore[arg-type]
    share = 2500 / 5100
    rise = heat * (8 + 60 * share / 2) / store / PSI - 15 * share
    assert seen / PSI == pytest.approx(rise, abs=2.5)
    # Over five minutes the drive keeps up.
    slow = motion_seen(laundry(TIGHT | stated("drop", "2500 lb/h", "300 s")))[TermName.OVERSHOOT_OF_DROP]
    assert slow / PSI < 0.2 * rise


def test_a_burner_that_follows_no_load_has_neither() -> None:
    vertical = case_of(survey(plant="vertical"))
    assert motion_seen(vertical) == {}
    for scenario in (Scenario.PICK_UP, Scenario.DROP):
        assert isinstance(prove(vertical, scenario), NotApplicable)


def test_of_several_burners_the_higher_low_fire_says_to_what_load_any_fall_is_ridden() -> None:
    # Gas turned down to a quarter, oil to a half: on oil no fall ends lower than about half of what it makes.
    gas: dict[str, object] = {"fuel": "natural gas", "firing": "modulating", "turndown": 4, "input": "8.35 MMBtu/h"}
    shared: dict[str, object] = {"efficiency": "81 %", "heat_lag": "8 s", "stroke": "30 s"}
    oil = gas | {"fuel": "light oil", "turndown": 2}
    for burners in ([gas | shared, oil | shared], [oil | shared, gas | shared]):
        proof = proof_of(laundry(WELL_SET | stated("drop", "300 lb/h") | {"boiler.burner": burners}), Scenario.DROP)
        full = 8.35e6 * 0.81
        low = (full / 2 - 70_000) / (full - 70_000)
        assert found(proof, Found.ANY_FALL) == pytest.approx(1.02 * low, abs=0.002)
        assert found(proof, Found.LOWEST_LOAD_RIDDEN) == pytest.approx(1.02 * low, abs=0.002)


def test_no_pick_up_is_known_where_nobody_states_one_or_nothing_follows_it() -> None:
    case = laundry(WELL_SET)
    assert lowest_picking_up(case) is not None
    unstated = replace(case, plant=replace(case.plant, load=replace(case.load, design_pick_up=None)))
    assert lowest_picking_up(unstated) is None
    no_hold = replace(case.boiler.controls, low_fire_hold=None)
    assert lowest_picking_up(replace(case, boiler=replace(case.boiler, controls=no_hold))) is None
    one_fire: dict[str, object] = {"boiler.burner.firing": "on-off", "boiler.burner.turndown": None}
    assert lowest_picking_up(laundry(WELL_SET | one_fire)) is None


@pytest.mark.parametrize("edge", [0.1, 1.0, 37.3, 99.0])
def test_halving_finds_the_edge_from_the_side_that_holds(edge: float) -> None:
    # Eight halvings: to one part in 256 of a hundred.
    largest = _largest(lambda size: size <= edge, 100.0)
    assert largest <= edge < largest + 100 / 256
    shortest = _shortest(lambda seconds: seconds >= edge, 100.0)
    assert shortest - 100 / 256 < edge <= shortest


def test_what_always_or_never_holds_is_not_searched_for() -> None:
    assert _largest(lambda _: True, 100.0) == 100.0
    assert _largest(lambda _: False, 100.0) == 0.0
    assert _largest(lambda _: True, 0.0) == _largest(lambda _: True, -1.0) == 0.0

    def must_not_be_run(_: float) -> bool:
        raise AssertionError

    # Where a burner has nothing more to give nothing is run.
    assert _largest(must_not_be_run, 0.0) == _largest(must_not_be_run, -1.0) == 0.0
    assert _shortest(lambda _: True, 100.0) == 0.0
    assert _shortest(lambda _: False, 100.0) == inf
    assert _shortest(lambda seconds: seconds >= 100.0, 100.0) == 100.0


def test_of_the_runs_of_a_search_that_broke_off_the_smallest_is_told() -> None:
    search = _Search()
    whole, broken = shown([90.0]), shown([90.0], broke_off=True)
    assert search.goes_through(1.0, whole)
    assert search.broke_off == inf
    for size in (3.0, 2.0, 4.0):
        assert not search.goes_through(size, broken)
    assert search.broke_off == 2.0
    assert _broke_off([]) == _broke_off([inf, inf]) == ()
    (fact,) = _broke_off([inf, 0.4, 0.3])
    assert (fact.found, fact.value.value) == (Found.BROKE_OFF, 0.3)
