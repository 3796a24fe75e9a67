"""The high limit alone and the valves alone: run-on, relighting and what valves lack, by the heat of full fire."""

import pytest

from evenfire.judgement.case import Case
from evenfire.judgement.outcome import TermName
from evenfire.judgement.proofs.limits import motion_seen
from evenfire.judgement.proofs.result import Found, Scenario, Verdict, Watched
from tests.judgement.proofs.cases import check_of, failures, proof_of
from tests.surveys import case_of, survey

PSI = 6894.757
LEG = 0.433 * 0.5
AIR_PER_WATT = 0.72e-3 * 1.15 * 0.4535924 / 1055.056
"""0.72 lb of air burn 1000 Btu of gas, with 15 % excess (from memory) [kg/J]."""
FULL = 8.35e6 * 0.81 * 1055.056 / 3600


def laundry(edits: dict[str, object] | None = None) -> Case:
    return case_of(survey({"boiler.standing_loss": "70,000 Btu/h"} | (edits or {})))


def rise(seconds: float, case: Case) -> float:
    """What full fire for so long raises the pressure [psi]."""
    store = case.behaviour.storage(case.stack.trip).value  # type: ignore[arg-type]
    return FULL * seconds / store / PSI


LOW: dict[str, object] = {"boiler.as_found.high_limit": "130 psi"}
"""So low that nothing reaches the valves, which may lift at 145.5 psi."""


@pytest.mark.parametrize("lag", [1.0, 6.0])
def test_pressure_runs_on_by_the_heat_on_its_way_and_by_what_the_limit_is_late(lag: float) -> None:
    case = laundry(LOW | {"boiler.controls.high_limit.lag": f"{lag} s"})
    proof = proof_of(case, Scenario.HIGH_LIMIT_ALONE)
    (run_on,) = [fact.value.value / PSI for fact in proof.facts if fact.found is Found.RUN_ON]
    # Eight seconds of full fire are on their way; a sensor late by a second lets the pressure pass it by a second's
    # rise. Purge air at full flow takes its heat for the 15 s of post-purge, the shell its own for half a minute.
    purge = 8.35e6 * 1055.056 / 3600 * AIR_PER_WATT * 1005 * (177 - 20)
    taken = (15 * purge + 30 * 70_000 * 1055.056 / 3600) / FULL
    assert run_on == pytest.approx(rise(8 + lag - taken, case), rel=0.03)
    for seen in (proof.seen, motion_seen(case)):
        assert set(seen) == {TermName.RUN_ON_AT_FULL_FIRE}
        assert seen[TermName.RUN_ON_AT_FULL_FIRE] / PSI == pytest.approx(run_on, rel=1e-6)
    # 130 psi on the dial, its leg off, two psi late.
    highest = check_of(proof, Watched.NO_LIFT)
    assert highest.observed.value / PSI == pytest.approx(132 - LEG + run_on, abs=0.01)
    assert highest.limit.value / PSI == pytest.approx(145.5, abs=1e-3)
    assert proof.verdict is Verdict.HOLDS


def test_a_manual_limit_stays_off_and_an_automatic_one_lets_the_burner_back() -> None:
    # The drive is stuck at full fire: a burner that starts at low fire alone does not come back either way.
    automatic: dict[str, object] = {
        "boiler.controls.high_limit.reset": "automatic",
        "boiler.controls.high_limit.reset_differential": "0.5 psi",
        "boiler.burner.starts_at_low_fire": False,
    }
    by_hand: dict[str, object] = {
        "boiler.controls.high_limit.reset": "manual",
        "boiler.controls.high_limit.reset_differential": None,
    }
    manual = check_of(proof_of(laundry(LOW | automatic | by_hand), Scenario.HIGH_LIMIT_ALONE), Watched.STAYS_OFF)
    assert manual.holds
    assert manual.at is None
    proof = proof_of(laundry(LOW | automatic | {"boiler.standing_loss": "900,000 Btu/h"}), Scenario.HIGH_LIMIT_ALONE)
    back = check_of(proof, Watched.STAYS_OFF)
    assert failures(proof) == {Watched.STAYS_OFF}
    # Up from cut-in at 112 psi to 132 by full fire, back half a psi and the run-on by a loss of an eighth of it.
    assert back.at is not None
    climb = 20 * PSI * 1200 / FULL
    assert climb < back.at.value < 7200


def test_a_boiler_without_a_high_limit_has_no_run_on_of_one() -> None:
    case = laundry({"boiler.controls.high_limit": None, "boiler.as_found.high_limit": None})
    assert motion_seen(case) == {}


def test_both_limits_late_the_run_begins_below_the_valves() -> None:
    # As found the cut-in is 112 psi; a cut-in above the valves would begin where they lift already.
    proof = proof_of(laundry(LOW), Scenario.HIGH_LIMIT_ALONE)
    begin = proof.runs[0].run.series.pressure[0] / PSI
    assert begin == pytest.approx(114 - LEG, abs=0.02)
    high = proof_of(laundry(LOW | {"boiler.as_found.operating_limit": "150 psi"}), Scenario.VALVES_ALONE)
    # 142 psi and two late are above what the valves reseat at, but below where they lift.
    assert high.runs[0].run.series.pressure[0] / PSI == pytest.approx(144 - LEG, abs=0.02)


def test_valves_that_are_enough_lack_nothing_and_each_burner_is_tried() -> None:
    proof = proof_of(case_of(survey(plant="board-mill")), Scenario.VALVES_ALONE)
    assert [run.name for run in proof.runs] == ["natural gas", "light oil"]
    assert proof.facts == ()
    assert len([check for check in proof.checks if check.watched is Watched.ACCUMULATION]) == 2


def test_half_of_the_valves_hold_what_they_hold() -> None:
    # One valve of 4,500 lb/h where 6,900 are made: the pressure passes 159 psi within the hours that are run.
    proof = proof_of(laundry({"boiler.safety_valve.1.capacity": "1 lb/h"}), Scenario.VALVES_ALONE)
    check = check_of(proof, Watched.ACCUMULATION)
    assert not check.holds
    assert check.limit.value / PSI == pytest.approx(159, abs=1e-3)
    (short,) = [fact.value.value * 3600 / 0.4535924 for fact in proof.facts if fact.found is Found.SHORT_OF_RELIEF]
    # Full fire: 6.76 MMBtu/h at 1,020 Btu a pound, less 4,501 lb/h that pass (159 + 14.7) / (154.5 + 14.7) at 159 psi.
    assert short == pytest.approx(6.7635e6 / 1022 - 4501 * 173.7 / 169.2, abs=60)
