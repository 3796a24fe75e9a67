"""How long a dip lasts between the rows of a series, what a low pressure is blamed on, and what JSON may say."""

import json
from itertools import groupby

import pytest

from evenfire.delivery.acts.proving import ProveAsked, prove_plant
from evenfire.delivery.report.prove_json import prove_json
from evenfire.delivery.units import UnitSystem
from evenfire.judgement.outcome import TermName
from evenfire.judgement.proofs.result import Found, Scenario, Shown, Watched
from evenfire.judgement.proofs.staging import LOW, TRUE, Stage, stages_of
from evenfire.judgement.proofs.watching import FINE, falls_as, longest_below
from evenfire.physics.motion.model import steady
from tests.judgement.proofs.cases import as_found, check_of, failures, proof_of
from tests.surveys import EXAMPLES, case_of, survey


def restart(stage: Stage, interval: float) -> Shown:
    """From cut-in, at a load that low fire just carries."""
    return stage.run("restart", stage.at_cut_in(), steady(0.9 * stage.low), hours=0.5, interval=interval)


def test_a_dip_is_timed_to_a_second_whatever_the_interval_of_the_series() -> None:
    (stage,) = stages_of(as_found("laundry"), LOW)
    fine = restart(stage, FINE)
    below = float(stage.model.controls.cut_in - stage.model.vessel.ambient) - 1e4
    # Counted in the rows of the fine series, dip by dip: no line is drawn between them.
    dips = groupby((fine.run.series.pressure < below).tolist())
    counted = max(sum(1 for _ in rows) for is_below, rows in dips if is_below) * FINE
    assert counted > 60.0
    assert longest_below(restart(stage, 10.0), below) == pytest.approx(counted, abs=2.0)
    assert longest_below(fine, below) == pytest.approx(counted, abs=FINE)


def test_a_fall_that_never_ends_lasts_to_the_end_of_the_run() -> None:
    (stage,) = stages_of(as_found("laundry"), TRUE)
    shown = stage.run("idle", stage.at_cut_in(), steady(0.0), hours=0.5)
    assert longest_below(shown, 1e7) == pytest.approx(1800.0)
    assert longest_below(shown, 0.0) == 0.0


def test_a_low_pressure_after_a_start_is_blamed_on_the_restart_and_an_overdrawn_boiler_on_no_dial() -> None:
    (stage,) = stages_of(as_found("laundry"), TRUE)
    assert falls_as(restart(stage, 10.0)) is TermName.UNDERSHOOT
    flow = 0.6 * stage.full
    assert falls_as(stage.run("steady", stage.standing_at(flow), steady(flow), hours=0.5)) is TermName.FALL_AT_LOAD
    over = stage.freed().free_of_hold()
    flow = 1.3 * stage.full
    assert falls_as(over.run("over", over.standing_at(flow), steady(flow), hours=1.0)) is None


def test_the_depot_as_found_is_pinned_by_its_hold_at_steady_full_load_and_told_so_first() -> None:
    # Its hold was left at 70 psi, and full fire stands at 65: by the dials alone it is in the hold.
    proof = proof_of(as_found("rental-trailer-depot"), Scenario.STEADY_LOADS)
    assert proof.checks[0].watched is Watched.STAYS_ABOVE_HOLD
    # A load that low fire carries pulls nothing down.
    low = case_of(survey({"load.demand": {"shape": "constant", "steam": "400 lb/h"}}, plant="rental-trailer-depot"))
    assert Watched.STAYS_ABOVE_HOLD not in failures(proof_of(low, Scenario.STEADY_LOADS))


def test_a_boiler_that_trips_and_stands_off_says_when_instead_of_how_often_it_starts() -> None:
    # The vertical's high limit stands right over cut-out; whoever comes has to reset it.
    proof = proof_of(as_found("vertical"), Scenario.STEADY_LOADS)
    assert Watched.NO_TRIP in failures(proof)
    assert Found.STOOD_OFF in {fact.found for fact in proof.facts}
    held = proof_of(as_found("laundry"), Scenario.STEADY_LOADS)
    assert check_of(held, Watched.NO_TRIP).holds
    assert Found.STOOD_OFF not in {fact.found for fact in held.facts}


def test_no_time_of_a_proof_is_before_its_beginning() -> None:
    done = prove_plant(EXAMPLES / "rental-trailer-depot.toml", ProveAsked(scenarios=("power dip", "low-water")))
    facts = [
        fact for proof in json.loads(prove_json(done, UnitSystem.SI))["boilers"][0]["proofs"] for fact in proof["facts"]
    ]
    assert Found.PINNED_BEFORE.value in {fact["found"] for fact in facts}
    assert all(fact["value_s"] >= 0.0 for fact in facts if "value_s" in fact)
