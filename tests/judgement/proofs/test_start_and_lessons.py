"""What a cold start tells of its times, and what motion teaches and what it does not."""

import numpy as np
import pytest

from evenfire.judgement.proofs import changing, interruptions, learning
from evenfire.judgement.proofs.proving import prove
from evenfire.judgement.proofs.result import Found, NotApplicable, Proof, Scenario, Watched
from evenfire.physics.motion.happenings import Happening
from evenfire.si import Dimension
from tests.judgement.proofs.cases import check_of, proof_of
from tests.surveys import case_of, survey

PSI = 6894.757
LEG = 0.433 * 0.5


def told(proof: Proof, what: Found) -> float:
    return next(fact.value.value for fact in proof.facts if fact.found is what)


def test_the_times_of_a_cold_start_are_those_of_its_run() -> None:
    proof = proof_of(case_of(survey()), Scenario.COLD_START)
    run = proof.runs[0].run
    # Cut-in stands at 112 psi less the water leg.
    first = int(np.argmax(run.series.pressure >= (112 - LEG) * PSI - 1))
    assert told(proof, Found.TIME_TO_BAND) == run.series.time[first]
    vent = next(event.time for event in run.events if event.kind is Happening.VENT_CLOSED)
    let_go = next(event.time for event in run.events if event.kind is Happening.HOLD_LET_GO)
    assert told(proof, Found.TIME_TO_STEAM) == vent
    assert told(proof, Found.HOLD_RELEASED) == let_go
    # It lets go at 60 psi, at low fire before and at more after.
    assert 0 < vent < let_go < told(proof, Found.TIME_TO_BAND)
    trap = check_of(proof, Watched.HOLD_IS_NO_TRAP)
    assert trap.observed.dimension is Dimension.GAUGE_PRESSURE
    assert trap.limit.dimension is Dimension.GAUGE_PRESSURE
    assert trap.limit.value / PSI == pytest.approx(60 - LEG, abs=1e-3)
    assert trap.margin.dimension is Dimension.PRESSURE_DIFFERENCE
    # Nobody stated the wall.
    assert proof.not_told == ("boiler.wall",)


def test_a_hold_on_a_burner_with_one_fire_holds_nothing() -> None:
    edits: dict[str, object] = {"boiler.burner.firing": "on-off", "boiler.burner.turndown": None}
    case = case_of(survey(edits))
    assert isinstance(prove(case, Scenario.HOLD_ABSENT), NotApplicable)
    assert Watched.HOLD_LETS_GO not in {check.watched for check in proof_of(case, Scenario.COLD_START).checks}


def test_the_deepest_of_all_dips_is_what_a_hold_stays_below() -> None:
    # Of a pick-up of nearly all there is the pressure falls further than of an interruption at three quarters.
    edits: dict[str, object] = {"load.pick_up": {"size": "5000 lb/h", "over": "0 s"}}
    for case in (case_of(survey(edits)), case_of(survey())):
        dips = (interruptions.lowest_under_load(case), changing.lowest_picking_up(case))
        assert None not in dips
        assert dips[0] != dips[1]
        assert learning.lowest_under_load(case) == min(each for each in dips if each is not None)
