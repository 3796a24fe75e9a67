"""What one state on the way does to every demand, at the worst corner of every dial.

A control is proved only as long as nobody has touched it since: once either of its dials has been turned it acts
within the tolerance of its scale, until its own proof after the last move. So a control that will be proved, and one
that was proved as found and is moved, are both judged on the way with the wider tolerance of the dial. That may break
a demand that is kept at both ends. Each state is therefore looked at twice: unproved, which decides, and as if the
proofs of the goal were done already, which tells only why a demand is broken (by the order, or for want of a proof).
"""

from collections.abc import Iterable
from dataclasses import dataclass

from evenfire.judgement.case import Case
from evenfire.judgement.margins import (
    CUT_OUT_CLEAR_OF_HIGH_LIMIT,
    LOW_FIRE_BEFORE_CUT_OUT,
    Margin,
    Tier,
    least_room,
    room,
)
from evenfire.judgement.moves.result import CUT_OUT_ABOVE_BOTH_ENDS
from evenfire.plant.known import Missing, NotKnownError
from evenfire.si import ROUNDING_PA

BAND_DEMANDS = (LOW_FIRE_BEFORE_CUT_OUT, CUT_OUT_CLEAR_OF_HIGH_LIMIT)
"""Kept on the way where that can be: the band of the burner is cut neither by the cut-out nor by the high limit."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Look:
    """One state against the two ends of the way."""

    case: Case
    broken: frozenset[str]
    """Demands never relaxed that are kept at both ends and not here, or that are worse than at the worse end"""
    unjudged: frozenset[str]
    """Demands never relaxed of which that cannot be told"""
    missing: tuple[str, ...]
    """Plant-file keys that would tell it"""
    not_clear: frozenset[str]
    """Demands never relaxed that are not kept here, or not judged: the burner may not fire"""
    band_cut: frozenset[str]
    """Of ``BAND_DEMANDS`` those that are worse than at both ends"""
    worsened: frozenset[str]
    """Other wanted demands that are worse than at both ends"""


def look_at(case: Case, found: Case, goal: Case) -> Look:
    """Judge one state on the way from ``found`` to ``goal``."""
    broken, unjudged, not_clear, missing = set(), set(), set(), dict[str, None]()
    for margin in _of_tier(case, Tier.NEVER_RELAXED):
        here = room_of(margin, case)
        if isinstance(here, Missing):
            missing.update(dict.fromkeys(here.keys))
        if isinstance(here, Missing) or here < least_room(margin):
            not_clear.add(margin.code)
            worse = is_worse(margin, here, (room_of(margin, found), room_of(margin, goal)))
            if worse is None:
                unjudged.add(margin.code)
            elif worse:
                broken.add(margin.code)
    if _cut_out_stands_above(case, found, goal):
        broken.add(CUT_OUT_ABOVE_BOTH_ENDS)
    worsened = frozenset(_worsened(case, found, goal))
    band = frozenset(margin.code for margin in BAND_DEMANDS)
    return Look(
        case=case,
        broken=frozenset(broken),
        unjudged=frozenset(unjudged),
        missing=tuple(missing),
        not_clear=frozenset(not_clear),
        band_cut=worsened & band,
        worsened=worsened - band,
    )


def is_worse(margin: Margin, here: float | Missing, ends: tuple[float | Missing, float | Missing]) -> bool | None:
    """Whether a margin that is not kept here is kept at both ends, or less broken at the worse; ``None`` if unknown."""
    first, last = ends
    if isinstance(here, Missing) or isinstance(first, Missing) or isinstance(last, Missing):
        return None
    worse_end = min(first, last)
    return worse_end >= least_room(margin) or here < worse_end - ROUNDING_PA


def room_of(margin: Margin, case: Case) -> float | Missing:
    """Room of one demand [Pa], or what is missing."""
    try:
        return float(room(margin, case.stack, case.facts))
    except NotKnownError as error:
        return Missing(error.keys)


def not_kept(case: Case) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Codes of the demands never relaxed that one set of settings breaks, and keys without which others are open."""
    broken, missing = [], dict[str, None]()
    for margin in _of_tier(case, Tier.NEVER_RELAXED):
        here = room_of(margin, case)
        if isinstance(here, Missing):
            missing.update(dict.fromkeys(here.keys))
        elif here < least_room(margin):
            broken.append(margin.code)
    return tuple(broken), tuple(missing)


def _of_tier(case: Case, tier: Tier) -> Iterable[Margin]:
    return (margin for margin in case.demands if margin.tier is tier)


def _worsened(case: Case, found: Case, goal: Case) -> Iterable[str]:
    for margin in _of_tier(case, Tier.WANTED):
        here = room_of(margin, case)
        if isinstance(here, Missing) or here >= least_room(margin):
            continue
        if is_worse(margin, here, (room_of(margin, found), room_of(margin, goal))):
            yield margin.code


def _cut_out_stands_above(case: Case, found: Case, goal: Case) -> bool:
    """Two dials make one cut-out where the differential counts upwards; the other limit has one dial and cannot."""
    here, ends = case.stack.cut_out, (found.stack.cut_out, goal.stack.cut_out)
    tops = [end for end in ends if not isinstance(end, Missing)]
    if isinstance(here, Missing) or len(tops) < len(ends):
        return False
    return here > max(tops) + ROUNDING_PA
