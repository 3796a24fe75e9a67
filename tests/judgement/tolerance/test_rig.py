"""The quick way to a peak gives what the simulation gives."""

import pytest

from evenfire.judgement.case import Case
from evenfire.judgement.motion.modelling import TRUE_DIALS, Shifts, boiler_model
from evenfire.judgement.outcome import TermName
from evenfire.judgement.proofs import changing, steady
from evenfire.judgement.proofs.staging import ACCURACY, TRUE, stages_of
from evenfire.judgement.tolerance.motion import motion_of
from evenfire.judgement.tolerance.rig import IDLE, rigs_of, shifted
from evenfire.physics.motion import run as running
from evenfire.physics.motion.records import digits
from evenfire.plant.known import Missing
from evenfire.si import PA_PER_PSI
from tests.surveys import case_of, survey

OFF = Shifts(operating_limit=1.3 * PA_PER_PSI, high_limit=-0.7 * PA_PER_PSI, firing_rate=0.9 * PA_PER_PSI)


def plant(name: str) -> Case:
    return case_of(survey(plant=name))


@pytest.mark.parametrize("name", ["board-mill", "laundry", "vertical"])
def test_controls_are_shifted_as_the_survey_would_shift_them(name: str) -> None:
    case = plant(name)
    by_hand, by_survey = shifted(boiler_model(case), OFF), boiler_model(case, None, OFF)
    assert digits(by_hand.controls)[:8] != digits(boiler_model(case).controls)[:8]
    for point in ("cut_out", "cut_in", "trip", "remakes", "high_fire", "low_fire", "takes_hold", "lets_go"):
        assert getattr(by_hand.controls, point) == pytest.approx(getattr(by_survey.controls, point), rel=1e-12)


@pytest.mark.parametrize("name", ["board-mill", "laundry", "vertical"])
@pytest.mark.parametrize("off", [TRUE_DIALS, OFF])
def test_a_peak_is_that_of_a_whole_run_with_the_same_errors(name: str, off: Shifts) -> None:
    case = plant(name)
    for rig, stage in zip(rigs_of(case), stages_of(case, TRUE), strict=True):
        model = boiler_model(case, stage.burner.fuel, off)
        model.feed.kind, model.valves.count = stage.model.feed.kind, 0
        first = type(stage)(case=case, burner=stage.burner, corner=TRUE, model=model).at_cut_in()
        whole = running.run(model, rig.idle.inputs, first, duration=IDLE, interval=10.0, accuracy=ACCURACY)
        assert rig.idle.peak(off) == pytest.approx(whole.highest.pressure, abs=2.0)


@pytest.mark.parametrize("name", ["board-mill", "laundry"])
def test_with_true_dials_it_sees_the_motion_that_the_proofs_see(name: str) -> None:
    case = plant(name)
    overshoot = changing.motion_seen(case)[TermName.OVERSHOOT_OF_DROP]
    assert motion_of(case).drop_overshoot == pytest.approx(overshoot, abs=2.0)
    run_on = steady.motion_seen(case)[TermName.RUN_ON_AT_CUT_OUT]
    cut_out = case.stack.cut_out
    assert not isinstance(cut_out, Missing)
    assert max(rig.idle.peak(TRUE_DIALS) for rig in rigs_of(case)) - cut_out == pytest.approx(run_on, abs=2.0)


def test_a_peak_taken_twice_is_the_same_and_another_in_between_changes_nothing() -> None:
    (rig,) = rigs_of(plant("laundry"))
    before = rig.let_go.peak(OFF)
    assert rig.let_go.peak(TRUE_DIALS) != before
    assert rig.let_go.peak(OFF) == before
