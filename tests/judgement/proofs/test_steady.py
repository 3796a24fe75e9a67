"""Steady loads and the plant's day: which loads are tried, at which corner each question is put, and what is seen."""

import pytest

from evenfire.judgement.case import Case
from evenfire.judgement.outcome import TermName
from evenfire.judgement.proofs.result import Found, Proof, Scenario, Verdict, Watched
from evenfire.judgement.proofs.steady import motion_seen
from evenfire.si import Dimension
from tests.judgement.proofs.cases import check_of, failures, proof_of
from tests.surveys import case_of, survey

PSI = 6894.757
LEG = 0.433 * 0.5
FULL = 8.35e6 * 0.81 * 1055.056 / 3600
LOSS = 70_000 * 1055.056 / 3600
CLEAR: dict[str, object] = {
    "boiler.standing_loss": "70,000 Btu/h",
    "boiler.as_found.firing_rate": "112 psi",
    "boiler.as_found.firing_rate_differential": "10 psi",
    "boiler.as_found.operating_limit": "127 psi",
    "boiler.as_found.operating_limit_differential": "8 psi",
    "load.wish": "135 psi",
}
"""Full fire at 112 psi, low fire at 122, cut-out at 127 and cut-in at 119: nothing crosses, the need is 105."""


def case(edits: dict[str, object] | None = None) -> Case:
    return case_of(survey(CLEAR | (edits or {})))


def shares(proof: Proof) -> list[float]:
    """Shares of full load that were shown [%]."""
    return [float(run.name.split("%")[0]) for run in proof.runs]


def test_loads_from_nothing_to_nearly_full_are_tried() -> None:
    # Low fire is a quarter less the loss: 24.2 % of what full fire holds; 98 % is tried and no more.
    low = 100 * (FULL / 4 - LOSS) / (FULL - LOSS)
    above = [low + (98 - low) * share for share in (0.25, 0.6, 1.0)]
    tried = shares(proof_of(case(), Scenario.STEADY_LOADS))
    assert tried == pytest.approx([0, 0.5 * low, 0.9 * low, *above], abs=0.51)


def test_only_loads_that_the_plant_draws_are_tried() -> None:
    # 3,000 lb/h of the 6,560 or so that full fire holds.
    proof = proof_of(case({"load.demand": {"shape": "constant", "steam": "3000 lb/h"}}), Scenario.STEADY_LOADS)
    assert max(shares(proof)) == pytest.approx(45.7, abs=1.0)


def test_a_plant_that_draws_less_than_low_fire_gives_is_tried_below_it_alone() -> None:
    # 900 lb/h are 13.7 % of what full fire holds; half of low fire's 24.2 % is less, nine tenths are more.
    proof = proof_of(case({"load.demand": {"shape": "constant", "steam": "900 lb/h"}}), Scenario.STEADY_LOADS)
    assert shares(proof) == pytest.approx([0, 12.0], abs=0.6)


def test_an_on_off_burner_is_tried_from_nothing_to_its_greatest_load() -> None:
    proof = proof_of(case_of(survey(plant="vertical")), Scenario.STEADY_LOADS)
    tried = shares(proof)
    assert tried == pytest.approx([share * tried[-1] for share in (0.0, 0.25, 0.5, 0.75, 1.0)], abs=0.6)


def test_each_question_is_put_at_the_corner_where_it_is_worst() -> None:
    proof = proof_of(case(), Scenario.STEADY_LOADS)
    assert proof.verdict is Verdict.HOLDS
    # Every dial within 2 psi. Full load stands at the high-fire point, 112 psi, low: some 110 psi less the leg.
    need = [check.observed.value / PSI for check in proof.checks if check.watched is Watched.NEED]
    assert min(need) == pytest.approx(110 - LEG, abs=0.5)
    # No load: the cut-out high, 129 psi, and a run-on of low fire on top: 8 s x a quarter of the fire.
    store = case().behaviour.storage(case().stack.cut_out).value  # type: ignore[arg-type]
    run_on = FULL / 4 * 8 / store / PSI
    wish = check_of(proof, Watched.WISH)
    assert wish.observed.value / PSI == pytest.approx(129 - LEG + run_on, abs=0.15)
    assert check_of(proof, Watched.NO_TRIP).limit.value / PSI == pytest.approx(138 - LEG, abs=1e-3)
    # The firing band 2 psi high, 114 to 124, and the cut-out 2 psi low, 125: low fire comes first, just.
    assert check_of(proof, Watched.LOW_FIRE_FIRST).holds


def test_a_cut_out_that_may_come_down_into_the_band_stops_more_than_low_fire() -> None:
    # Dials true 122 is below 124; two psi either way they cross.
    proof = proof_of(case({"boiler.as_found.operating_limit": "124 psi"}), Scenario.STEADY_LOADS)
    assert failures(proof) == {Watched.LOW_FIRE_FIRST}
    failed = check_of(proof, Watched.LOW_FIRE_FIRST)
    # 124 to 122: at most a fifth of the way up from low fire.
    assert 0.25 < failed.observed.value < 0.25 + 0.25 * 0.75


def test_above_low_fire_load_nobody_asks_for_low_fire_before_a_stop() -> None:
    # A cut-out in the middle of the band stops the burner at every load; only the three below low fire are asked about.
    proof = proof_of(case({"boiler.as_found.operating_limit": "117 psi"}), Scenario.STEADY_LOADS)
    asked = [check.shown for check in proof.checks if check.watched is Watched.LOW_FIRE_FIRST]
    assert sorted(asked) == ["0%", "12%", "21%"] or sorted(asked) == ["0%", "12%", "22%"]


def test_what_run_on_and_undershoot_are_with_the_dials_true() -> None:
    seen = motion_seen(case())
    here = case()
    store = here.behaviour.storage(here.stack.cut_out).value  # type: ignore[arg-type]
    # Low fire for the eight seconds of its lag, and for one that the limit itself is late; a part of it goes with purge
    # air and from the shell before the pressure turns.
    assert 0.7 * FULL / 4 * 8 / store < seen[TermName.RUN_ON_AT_CUT_OUT] < FULL / 4 * 9 / store
    # Low-fire load while the chain of 98 s runs, and 8 s until heat comes, purge air taking its heat meanwhile.
    assert seen[TermName.UNDERSHOOT] == pytest.approx(FULL / 4 * 106 / store, rel=0.2)


def test_starts_are_counted_an_hour_where_dials_are_high() -> None:
    proof = proof_of(case(), Scenario.STEADY_LOADS)
    (starts,) = [fact.value.value * 3600 for fact in proof.facts if fact.found is Found.STARTS]
    # Half of low fire drawn: 8 psi up and 8 down on half of low fire each, a start chain and a run-on beside.
    store = case().behaviour.storage(case().stack.cut_out).value  # type: ignore[arg-type]
    up_and_down = 2 * 8 * PSI * store / (FULL / 8)
    assert starts == pytest.approx(3600 / (up_and_down + 106 + 30), rel=0.35)


HOURS = 24


def test_the_day_is_the_plants_own() -> None:
    base: dict[str, object] = {"load.demand": {"shape": "constant", "steam": "3000 lb/h"}}
    proof = proof_of(case(base), Scenario.DAY)
    assert proof.runs[0].run.duration == HOURS * 3600
    # A load well above low fire starts nothing.
    assert [fact.value.value for fact in proof.facts if fact.found is Found.STARTS] == [0.0]
    steam = proof.runs[0].run.crossed.steam / 0.4535924
    assert steam == pytest.approx(3000 * HOURS, rel=1e-3)
    assert {Watched.NEED, Watched.WISH, Watched.NO_TRIP, Watched.NO_LIFT} <= {each.watched for each in proof.checks}


def test_a_day_of_a_load_that_nobody_stated_is_the_load_that_cycles_most() -> None:
    # Low fire holds about 1,590 lb/h; a burner cycles most near half of that (textbook), so loads well below and well
    # above start it less often.
    def starts(edits: dict[str, object] | None = None) -> float:
        facts = proof_of(case(edits), Scenario.DAY).facts
        (found,) = [fact.value.value * 3600 for fact in facts if fact.found is Found.STARTS]
        return found

    unstated = starts()
    for steam in ("300 lb/h", "1350 lb/h"):
        assert 0.0 < starts({"load.demand": {"shape": "constant", "steam": steam}}) < unstated


def test_the_starts_of_a_day_are_those_of_its_load_for_an_hour() -> None:
    # Half of what low fire holds, 790 lb/h or so: 8 psi up and 8 down on an eighth of full fire, a start chain, run-on.
    demand: dict[str, object] = {"load.demand": {"shape": "constant", "steam": "790 lb/h"}}
    (starts,) = [fact for fact in proof_of(case(demand), Scenario.DAY).facts if fact.found is Found.STARTS]
    assert starts.value.dimension is Dimension.FREQUENCY
    store = case().behaviour.storage(case().stack.cut_out).value  # type: ignore[arg-type]
    assert starts.value.value * 3600 == pytest.approx(3600 / (2 * 8 * PSI * store / (FULL / 8) + 106 + 30), rel=0.35)


def test_a_day_begins_and_goes_with_feed_as_it_comes() -> None:
    run = proof_of(case(), Scenario.DAY).runs[0].run
    # The pump starts at the low end of three percent of 1450 gallons and stops at its high end (assumed).
    water = 1450 * 3.785412e-3
    assert run.series.water_volume.min() == pytest.approx(0.985 * water, rel=5e-3)
    assert run.series.water_volume.max() == pytest.approx(1.015 * water, rel=5e-3)


def test_several_burners_are_told_apart() -> None:
    proof = proof_of(case_of(survey(plant="board-mill")), Scenario.STEADY_LOADS)
    named = {run.name.partition(" on ")[2] for run in proof.runs}
    assert named == {"natural gas", "light oil"}
    assert not any(" on " in run.name for run in proof_of(case(), Scenario.STEADY_LOADS).runs)


def test_a_boiler_without_firing_rate_and_hold_has_no_low_fire_to_come_first() -> None:
    vertical = case_of(survey(plant="vertical"))
    assert Watched.LOW_FIRE_FIRST not in {check.watched for check in proof_of(vertical, Scenario.STEADY_LOADS).checks}
    assert motion_seen(vertical)[TermName.RUN_ON_AT_CUT_OUT] > 0.0


def test_every_run_that_breaks_off_is_shown_and_fails_the_proof_at_whichever_corner() -> None:
    # Steam tables end at 165 bar; a cut-out at 2,370 psi (163 bar) with two minutes of run-on passes them at any load
    # and with its dial off either way.
    scale = {"from": "10 psi", "to": "4000 psi", "division": "10 psi"}
    edits: dict[str, object] = {
        "boiler.mawp": "4000 psi",
        "boiler.burner.heat_lag": "120 s",
        "boiler.safety_valve": [{"name": "only", "set": "4000 psi", "capacity": "900 lb/h", "blowdown": "6 psi"}],
        "boiler.controls.operating_limit.scale": scale,
        "boiler.controls.high_limit.scale": scale,
        "boiler.as_found.operating_limit": "2370 psi",
        "boiler.as_found.operating_limit_differential": "20 psi",
        "boiler.as_found.high_limit": "2390 psi",
    }
    proof = proof_of(case_of(survey(edits, plant="vertical")), Scenario.STEADY_LOADS)
    assert proof.verdict is Verdict.FAILS
    # Five loads of a burner with one fire, at three corners.
    broken = [check.shown for check in proof.checks if check.watched is Watched.RUNS_THROUGH]
    assert len(broken) == 15
    assert len(set(broken)) == 5
    assert all(run.broke_off for run in proof.runs)


def test_runs_are_shown_once_where_pressure_stands_high_and_none_breaks_off() -> None:
    proof = proof_of(case_of(survey(plant="vertical")), Scenario.STEADY_LOADS)
    assert len(proof.runs) == 5
    assert not any(run.broke_off for run in proof.runs)
