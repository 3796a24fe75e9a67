"""What follows the last dial: proofs from the top down, cycles, switches, and nothing temporary left behind."""

from evenfire.judgement.case import Case
from evenfire.judgement.moves.result import Closing, ClosingStep
from evenfire.plant.boiler import Boiler
from evenfire.plant.burner import Firing
from evenfire.plant.controls import Role
from evenfire.plant.known import Missing
from evenfire.si import GaugePa


def closing_steps(goal: Case) -> tuple[Closing, ...]:
    """The steps after the last dial.

    The high limit is proved first, because everything below it leans on it. To let the pressure rise that far the
    operating limit has to be out of the way for a while: that is the one temporary change, and it is put back before
    its own proof. What has not acted at the far end of its tolerance is stopped by hand and has failed; settings that
    keep every demand never relaxed leave the valves well above that.
    """
    rest = (Role.FIRING_RATE, Role.LOW_FIRE_HOLD)
    others = tuple(role for role in rest if role in goal.settings.proved and goal.settings.of(role) is not None)
    return (
        _proof(goal, Role.HIGH_LIMIT, ClosingStep.PROVE_HIGH_LIMIT),
        Closing(
            step=ClosingStep.PUT_OPERATING_LIMIT_BACK,
            role=Role.OPERATING_LIMIT,
            acts_at=_pressure(goal.stack.cut_out),
            returns_at=_pressure(goal.stack.cut_in),
        ),
        _proof(goal, Role.OPERATING_LIMIT, ClosingStep.PROVE_OPERATING_LIMIT),
        *(_proof(goal, role, ClosingStep.PROVE_CONTROL) for role in others),
        Closing(
            step=ClosingStep.SEE_THREE_CYCLES,
            acts_at=_pressure(goal.stack.cut_out),
            returns_at=_pressure(goal.stack.cut_in),
        ),
        Closing(step=ClosingStep.SWITCHES_TO_AUTOMATIC),
        Closing(step=ClosingStep.CLOSE_TEMPORARY_CHANGES),
    )


def has_low_fire(boiler: Boiler) -> bool:
    """Whether every burner can be held at low fire by hand."""
    return all(burner.firing is not Firing.ON_OFF for burner in boiler.burners)


def _proof(goal: Case, role: Role, step: ClosingStep) -> Closing:
    stack = goal.stack
    acts_at, returns_at = {
        Role.HIGH_LIMIT: (_pressure(stack.trip), None),
        Role.OPERATING_LIMIT: (_pressure(stack.cut_out), _pressure(stack.cut_in)),
        Role.FIRING_RATE: (_pressure(stack.low_fire), _pressure(stack.high_fire)),
        Role.LOW_FIRE_HOLD: (_pressure(stack.hold), None),
    }[role]
    control = goal.boiler.controls.of(role)
    # What is unsure of a water leg is no leave to prove the control less well.
    tolerance = None if control is None else control.tolerance
    within = None if tolerance is None else tolerance.proved if role in goal.settings.proved else tolerance.dial
    limits = {Role.HIGH_LIMIT, Role.OPERATING_LIMIT}
    stop = GaugePa(acts_at + within) if role in limits and acts_at is not None and within is not None else None
    return Closing(
        step=step,
        role=role,
        acts_at=acts_at,
        returns_at=returns_at,
        within=within,
        stop_by_hand=stop,
        # Held at low fire by hand the other controls drive nothing: they are seen to act in automatic.
        at_low_fire=role in limits and has_low_fire(goal.boiler),
        sets_it=role in goal.settings.proved,
    )


def _pressure(value: float | Missing) -> GaugePa | None:
    return None if isinstance(value, Missing) else GaugePa(value)
