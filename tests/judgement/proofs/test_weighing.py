"""What a proof's checks come to, and which proof is told first: proofs written by hand."""

import pytest

from evenfire.judgement.outcome import TermName
from evenfire.judgement.proofs.result import (
    Check,
    Fact,
    Found,
    NotApplicable,
    NotProved,
    Proof,
    Scenario,
    Verdict,
    Watched,
    concluded,
)
from evenfire.judgement.proofs.watching import at_most, yes_or_no
from evenfire.judgement.proofs.weighing import falls_short, is_unsafe, settings_are_unsafe, worst_first
from evenfire.si import Dimension, Quantity
from tests.judgement.proofs.runs_by_hand import PSI, shown


def pressure(watched: Watched, margin: float) -> Check:
    """A pressure so far below a hundred psi [psi]."""
    return at_most(watched, (100 - margin) * PSI, 100 * PSI, shown([90.0]))


def proof(scenario: Scenario, *checks: Check) -> Proof:
    return concluded(scenario, list(checks))


def test_a_proof_fails_with_any_of_its_checks_and_the_narrowest_leads() -> None:
    wide, narrow, failed, worse = (
        pressure(watched, margin)
        for watched, margin in (
            (Watched.WISH, 9.0),
            (Watched.NO_TRIP, 1.0),
            (Watched.NO_LIFT, -1.0),
            (Watched.DOWNSTREAM, -5.0),
        )
    )
    assert proof(Scenario.DAY, wide, narrow).verdict is Verdict.HOLDS
    assert proof(Scenario.DAY, wide, narrow).checks == (narrow, wide)
    mixed = proof(Scenario.DAY, wide, failed, narrow, worse)
    assert mixed.verdict is Verdict.FAILS
    assert mixed.checks == (worse, failed, narrow, wide)


def test_where_nothing_is_demanded_it_is_told_what_happens() -> None:
    fact = Fact(Found.RUN_ON, Quantity(7.0, Dimension.PRESSURE_DIFFERENCE))
    told = concluded(Scenario.HOLD_ABSENT, [], (fact,), (shown([90.0]),))
    assert told.verdict is Verdict.TOLD
    assert told.facts == (fact,)
    assert [run.name for run in told.runs] == ["by hand"]
    assert told.seen == {}
    seen = {TermName.UNDERSHOOT: 7.0}
    assert concluded(Scenario.HOLD_ABSENT, [], seen=seen).seen == seen


def test_a_run_that_broke_off_fails_whatever_else_holds() -> None:
    broken = shown([90.0, 80.0, 70.0], broke_off=True)
    failed = concluded(Scenario.DAY, [pressure(Watched.WISH, 9.0)], runs=(shown([90.0]), broken))
    assert failed.verdict is Verdict.FAILS
    first = failed.checks[0]
    assert (first.watched, first.holds) == (Watched.RUNS_THROUGH, False)
    assert first.margin.value < 0
    assert first.at is not None
    assert first.at.value == 20.0
    assert len(failed.checks) == 2


UNSAFE = [
    (Scenario.HIGH_LIMIT_ALONE, Watched.NO_LIFT),
    (Scenario.HIGH_LIMIT_ALONE, Watched.STAYS_OFF),
    (Scenario.VALVES_ALONE, Watched.ACCUMULATION),
]


@pytest.mark.parametrize("scenario", [Scenario.HIGH_LIMIT_ALONE, Scenario.VALVES_ALONE, Scenario.DAY])
@pytest.mark.parametrize("watched", [Watched.NO_LIFT, Watched.STAYS_OFF, Watched.ACCUMULATION, Watched.NEED])
def test_unsafe_is_the_high_limit_alone_and_the_valves_alone(scenario: Scenario, watched: Watched) -> None:
    failed = proof(scenario, pressure(Watched.WISH, 3.0), pressure(watched, -1.0))
    assert is_unsafe(failed) is ((scenario, watched) in UNSAFE)
    assert not is_unsafe(proof(scenario, pressure(watched, 1.0)))
    assert settings_are_unsafe((failed,)) is ((scenario, watched) in UNSAFE and scenario is Scenario.HIGH_LIMIT_ALONE)


def test_what_was_not_proved_is_not_called_unsafe() -> None:
    assert not is_unsafe(NotProved(scenario=Scenario.HIGH_LIMIT_ALONE, missing=("water_volume",)))
    assert not is_unsafe(NotApplicable(scenario=Scenario.HIGH_LIMIT_ALONE))


def test_the_worst_is_told_first_and_equals_keep_their_order() -> None:
    unsafe = proof(Scenario.HIGH_LIMIT_ALONE, pressure(Watched.NO_LIFT, -1.0))
    failed = proof(Scenario.DAY, pressure(Watched.WISH, -9.0))
    also = proof(Scenario.DROP, yes_or_no(Watched.NO_STOP, False, shown([90.0])))
    unknown = NotProved(scenario=Scenario.PICK_UP, missing=("load.pick_up",))
    holds = proof(Scenario.STEADY_LOADS, pressure(Watched.WISH, 1.0))
    told = proof(Scenario.HOLD_ABSENT)
    silent = NotApplicable(scenario=Scenario.PICK_UP_AFTER_RESTART)
    order = (unsafe, failed, also, unknown, holds, told, silent)
    assert worst_first((silent, told, holds, unknown, failed, also, unsafe)) == order
    assert worst_first((failed, silent, also, holds, told, unsafe, unknown)) == order


def test_settings_fall_short_of_what_they_are_chosen_for() -> None:
    failed = proof(Scenario.DAY, pressure(Watched.WISH, -9.0))
    unsafe = proof(Scenario.HIGH_LIMIT_ALONE, pressure(Watched.NO_LIFT, -1.0))
    holds = proof(Scenario.STEADY_LOADS, pressure(Watched.WISH, 1.0))
    # Valves that are too small are no matter of settings.
    small = proof(Scenario.VALVES_ALONE, pressure(Watched.ACCUMULATION, -1.0))
    unknown = NotProved(scenario=Scenario.PICK_UP, missing=("load.pick_up",))
    assert falls_short((failed, holds, small, unknown, unsafe)) == (unsafe, failed)
    # A limit that never acted is unsafe, but no dial is turned for it here.
    relit = proof(Scenario.HIGH_LIMIT_ALONE, yes_or_no(Watched.STAYS_OFF, False, shown([90.0])))
    assert falls_short((relit,)) == ()


def test_a_run_that_broke_off_is_told_as_no_whole_run_and_when() -> None:
    broken = shown([90.0, 80.0, 70.0], broke_off=True)
    (check,) = concluded(Scenario.DAY, [], runs=(shown([90.0]), broken)).checks
    assert check.watched is Watched.RUNS_THROUGH
    assert {each.dimension for each in (check.observed, check.limit, check.margin)} == {Dimension.NUMBER}
    assert (check.observed.value, check.limit.value, check.margin.value) == (0.0, 1.0, -1.0)
    assert check.at == Quantity(20.0, Dimension.TIME)
    assert not check.holds
