"""Both limits failed: valves that cover the firing hold it, and valves that do not are shown short by how much."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest

from evenfire.judgement.proofs.limits import _lacking, _relit
from evenfire.judgement.proofs.result import Found, Proof, Scenario, Verdict, Watched
from evenfire.judgement.proofs.staging import LATE, stages_of
from evenfire.judgement.proofs.weighing import is_unsafe, settings_are_unsafe, worst_first
from evenfire.physics.control_logic import HIGH_LIMIT
from evenfire.physics.motion.happenings import Happening
from evenfire.si import KG_PER_LB, PA_PER_PSI
from tests.judgement.proofs import runs_by_hand
from tests.judgement.proofs.cases import as_found, check_of, failures, proof_of, settled
from tests.surveys import case_of, survey

TOO_SMALL = {"boiler.safety_valve.0.capacity": "2250 lb/h", "boiler.safety_valve.1.capacity": "2250 lb/h"}
"""Half of what the laundry has: 4,500 lb/h together, where 200 bhp make 200 x 34.5 = 6,900 lb/h from and at 212 F."""
POUNDS_PER_HOUR = KG_PER_LB / 3600.0


def test_valves_that_cover_the_firing_keep_the_pressure_within_their_accumulation() -> None:
    # 6 % above the MAWP of 150 psi, as power boiler codes allow (from memory): 159 psi.
    proof = proof_of(as_found("laundry"), Scenario.VALVES_ALONE)
    check = check_of(proof, Watched.ACCUMULATION)
    assert check.limit.value == pytest.approx(159 * PA_PER_PSI)
    assert proof.verdict is Verdict.HOLDS
    assert proof.facts == ()


def test_valves_that_are_too_small_let_the_pressure_pass_and_are_short_by_the_difference() -> None:
    case = case_of(survey(TOO_SMALL))
    proof = proof_of(case, Scenario.VALVES_ALONE)
    assert failures(proof) == {Watched.ACCUMULATION}
    (stage,) = stages_of(case, LATE)
    # By hand: a valve of 150 psi is stamped at 3 % over its set, 154.5 psi, and a choked flow goes with the absolute
    # pressure, so at 159 psi the two pass 4,500 x (159 + 14.67) / (154.5 + 14.67) = 4,620 lb/h. What full fire makes is
    # its heat over the heat of a pound of steam.
    makes = float(stage.model.burner.full_heat) / stage.per_steam / POUNDS_PER_HOUR
    short = next(fact.value.value for fact in proof.facts if fact.found is Found.SHORT_OF_RELIEF)
    assert short / POUNDS_PER_HOUR == pytest.approx(makes - 4620, abs=3)
    # Full fire of 8.30 MMBtu/h at some 80 % is 6.6 MMBtu/h; a pound of steam at 110 psi takes about a thousand Btu
    # from feedwater at 200 F or so.
    assert 6200 < makes < 7000


def test_a_boiler_without_any_valve_is_held_by_nothing() -> None:
    proof = proof_of(case_of(survey({"boiler.safety_valve": None})), Scenario.VALVES_ALONE)
    assert {Watched.ACCUMULATION, Watched.RUNS_THROUGH} <= failures(proof)


def test_a_limit_that_never_acts_keeps_nothing_off() -> None:
    # The dial stands far above every valve: pressure settles at the valves, and the limit never opens.
    proof = proof_of(case_of(survey({"boiler.as_found.high_limit": "190 psi"})), Scenario.HIGH_LIMIT_ALONE)
    assert failures(proof) == {Watched.NO_LIFT, Watched.STAYS_OFF}


def test_only_what_keeps_people_safe_is_called_unsafe_and_it_is_told_first() -> None:
    unsafe = proof_of(as_found("school"), Scenario.HIGH_LIMIT_ALONE)
    nuisance = proof_of(as_found("laundry"), Scenario.STEADY_LOADS)
    assert is_unsafe(unsafe)
    assert not is_unsafe(nuisance)
    assert settings_are_unsafe((unsafe, nuisance))
    # Valves that are too small are no fault of any dial.
    assert not settings_are_unsafe((proof_of(case_of(survey(TOO_SMALL)), Scenario.VALVES_ALONE),))
    holding = next(each for each in settled("laundry").proofs if isinstance(each, Proof))
    assert worst_first((holding, nuisance, unsafe)) == (unsafe, nuisance, holding)


def fired(fires: Sequence[float], *trips: float) -> float | None:
    """When it burnt again, of fires ten seconds apart and trips at these times [s]."""
    events = [runs_by_hand.event(Happening.HIGH_LIMIT_OPENED, HIGH_LIMIT, time) for time in trips]
    done = runs_by_hand.shown([100.0] * len(fires), events=events)
    series = replace(done.run.series, firing=np.array(fires, dtype=np.float64))
    return _relit(replace(done, run=replace(done.run, series=series)))


def test_a_burner_stays_off_once_the_high_limit_has_stopped_it_or_the_proof_says_when_it_lit() -> None:
    # A limit that never acts keeps nothing off, from the first moment on.
    assert fired([1.0, 1.0, 1.0]) == 0.0
    assert fired([0.0, 0.0, 0.0]) == 0.0
    assert fired([1.0, 1.0, 0.0, 0.0], 12.0) is None
    # What still burns in the row of the trip, or in the second after it, is the fire that it stops.
    assert fired([1.0, 1.0, 0.0, 0.0], 10.0) is None
    assert fired([1.0, 1.0, 0.0, 0.0], 9.0) is None
    assert fired([1.0, 1.0, 0.0, 0.0], 8.9) == 10.0
    # However small the fire and however late.
    assert fired([1.0, 0.0, 0.0, 0.001], 5.0) == 30.0
    assert fired([1.0, 0.0, 0.25, 0.25], 5.0) == 20.0
    # A second trip does not forgive the fire after the first.
    assert fired([1.0, 0.0, 0.5, 0.0, 0.0], 5.0, 25.0) == 20.0


def test_relief_is_lacking_below_what_the_burner_makes_and_never_less_than_nothing() -> None:
    (stage,) = stages_of(as_found("laundry"), LATE)
    # Two stamped 4,500 lb/h at 154.5 psi pass in proportion to the absolute pressure; the burner makes some 6,700.
    makes = float(stage.model.burner.full_heat) / stage.per_steam / POUNDS_PER_HOUR
    for gauge in (100.0, 60.0, 20.0):
        passed = 9000 * (gauge + 14.67) / (154.5 + 14.67)
        lacking = _lacking(stage, gauge * PA_PER_PSI) / POUNDS_PER_HOUR
        assert lacking == pytest.approx(max(0.0, makes - passed), abs=5)
    assert _lacking(stage, 159 * PA_PER_PSI) == 0.0
    (bare,) = stages_of(case_of(survey({"boiler.safety_valve": None})), LATE)
    assert _lacking(bare, 159 * PA_PER_PSI) / POUNDS_PER_HOUR == pytest.approx(makes)
