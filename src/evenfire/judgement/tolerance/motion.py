"""The motion that the margins of a case hang on, as its proofs see it, ready to be put beside millions of errors."""

from dataclasses import dataclass
from typing import Final

import numpy as np

from evenfire.errors import OutOfRange
from evenfire.judgement.case import BEYOND_STEAM, Case
from evenfire.judgement.margins import follows_the_load
from evenfire.judgement.motion.modelling import TRUE_DIALS, Shifts
from evenfire.judgement.tolerance.rig import Rig, rigs_of
from evenfire.physics.motion.records import Floats
from evenfire.plant.controls import Role
from evenfire.plant.known import Missing, NotKnownError, known
from evenfire.si import PA_PER_PSI

_CLEAR: Final = 2.0 * PA_PER_PSI
"""So far below cut-in the low-fire point is put, to see the run-on from low fire for sure [Pa]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BurnerMotion:
    """How far pressure runs on with one burner, its dials true."""

    low_share: float
    """Low fire as a share of full fire [1]; 1 for a burner that only goes on and off"""
    is_proportional: bool
    """Whether it fires on a line between high fire and low fire"""
    from_low_fire: float
    """Run-on after cut-out at low fire and without load [Pa]"""
    from_full_fire: float | Missing
    """Run-on after the high limit stopped full fire without load [Pa]"""
    drop_overshoot: float | Missing
    """Above the low-fire point through the design drop [Pa]"""

    def share_at(self, cut_out: Floats, high_fire: Floats, low_fire: Floats) -> Floats:
        """Firing when the burner is stopped at these pressures [1], standing on its line; shape (draws,)."""
        if not self.is_proportional:
            return np.where(cut_out >= low_fire, self.low_share, 1.0)
        position = np.clip((low_fire - cut_out) / (low_fire - high_fire), 0.0, 1.0)
        fire: Floats = self.low_share + (1.0 - self.low_share) * position
        return fire

    def run_on_at(self, share: Floats) -> Floats:
        """Run-on from these fires [Pa]: heat on its way grows with the fire."""
        if self.low_share >= 1.0:
            return np.full_like(share, self.from_low_fire)
        full = known(self.from_full_fire)[0]
        up: Floats = (share - self.low_share) / (1.0 - self.low_share)
        rise: Floats = self.from_low_fire + (full - self.from_low_fire) * up
        return rise


@dataclass(frozen=True, slots=True, kw_only=True)
class Motion:
    """The motion of a case."""

    burners: tuple[BurnerMotion, ...]
    """One where it comes from closed forms"""
    rigs: tuple[Rig, ...]
    """Empty where the boiler cannot be simulated: its motion then comes from closed forms"""
    missing: tuple[str, ...]
    """Plant-file keys that would let it be simulated"""

    @property
    def from_full_fire(self) -> float:
        """Of the burner that runs on most [Pa]."""
        return max(known(each.from_full_fire)[0] for each in self.burners)

    @property
    def drop_overshoot(self) -> float:
        """Of the burner that overshoots most [Pa]."""
        return max(known(each.drop_overshoot)[0] for each in self.burners)


def motion_of(case: Case) -> Motion:
    """The motion of a case by the loop, or by closed forms where the loop lacks something.

    Raises
    ------
    NotKnownError
        Not even the closed forms tell the run-on after cut-out.
    """
    try:
        rigs = rigs_of(case)
        return Motion(burners=tuple(_seen(case, rig) for rig in rigs), rigs=rigs, missing=())
    except NotKnownError as lacking:
        return Motion(burners=(_closed(case),), rigs=(), missing=lacking.keys)
    except OutOfRange:
        return Motion(burners=(_closed(case),), rigs=(), missing=(BEYOND_STEAM,))


def _seen(case: Case, rig: Rig) -> BurnerMotion:
    stack = case.stack
    cut_out, cut_in = known(stack.cut_out, stack.cut_in)
    lowered = TRUE_DIALS
    if rig.low_share < 1.0:
        low_fire = known(stack.low_fire)[0]
        lowered = Shifts(firing_rate=min(0.0, cut_in - _CLEAR - low_fire), high_limit=_out_of_the_way(case))
    return BurnerMotion(
        low_share=rig.low_share,
        is_proportional=rig.is_proportional,
        from_low_fire=max(0.0, rig.idle.peak(lowered) - cut_out),
        from_full_fire=_full(case, rig),
        drop_overshoot=_overshoot(case, rig),
    )


def _out_of_the_way(case: Case) -> float:
    """What keeps the high limit from stopping the burner before the operating limit does [Pa]."""
    trip, cut_out = case.stack.trip, case.stack.cut_out
    if isinstance(trip, Missing) or isinstance(cut_out, Missing):
        return 0.0
    return max(0.0, 2.0 * cut_out - trip)


def _full(case: Case, rig: Rig) -> float | Missing:
    if case.boiler.controls.high_limit is None:
        return Missing((f"controls.{Role.HIGH_LIMIT.value}",))
    return max(0.0, rig.let_go.peak(TRUE_DIALS) - known(case.stack.trip)[0])


def _overshoot(case: Case, rig: Rig) -> float | Missing:
    if isinstance(rig.drop, Missing):
        return rig.drop
    return max(0.0, rig.drop.peak(TRUE_DIALS) - known(case.stack.low_fire)[0])


def _closed(case: Case) -> BurnerMotion:
    """Run-on at the worst corner, whatever the fire: without the loop nothing finer is known to be true."""
    stack = case.stack
    low_share = min((1.0 if not follows_the_load(case.boiler) else _low(case)), 1.0)
    return BurnerMotion(
        low_share=low_share,
        is_proportional=True,
        from_low_fire=known(stack.run_on)[0],
        from_full_fire=stack.full_fire_run_on,
        drop_overshoot=stack.drop_overshoot,
    )


def _low(case: Case) -> float:
    return min(case.behaviour.low_fire_share(burner) for burner in case.boiler.burners)
