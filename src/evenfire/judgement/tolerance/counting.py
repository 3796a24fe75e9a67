"""Count what happens in blocks of draws, and set aside the draws that are too near a limit to be told by arithmetic."""

from dataclasses import dataclass
from typing import Final

import numpy as np

from evenfire.judgement.motion.modelling import Shifts
from evenfire.judgement.tolerance.questions import Ground, Question, Reckoned, reckon, run
from evenfire.judgement.tolerance.rows import Draws, Errors, digest_of, errors_of
from evenfire.physics.motion.records import Floats
from evenfire.si import ROUNDING_PA

DAYS: Final = 2
"""On which a draw is looked at: when it was set, and a year later."""


@dataclass(frozen=True, slots=True, kw_only=True)
class NearDay:
    """One draw on one of its two days."""

    shifts: Shifts
    room: float
    """By arithmetic [Pa]"""
    band: float
    """[Pa]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class NearDraw:
    """A draw that arithmetic cannot tell."""

    lift: float
    """Lowest of its safety valves [Pa gauge]; infinite without any"""
    days: tuple[NearDay, ...]
    """The days on which it may happen"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Counted:
    """One question over some draws."""

    sure: int = 0
    """Draws in which it happens beyond doubt"""
    near: int = 0
    """Draws in the band around the limit"""
    near_reckoned: int = 0
    """Those of them in which it happens by arithmetic"""
    kept: tuple[NearDraw, ...] = ()
    """The first of the near ones, in the order of the draws"""

    def and_then(self, more: "Counted", most: int) -> "Counted":
        """With the draws that follow."""
        return Counted(
            sure=self.sure + more.sure,
            near=self.near + more.near,
            near_reckoned=self.near_reckoned + more.near_reckoned,
            kept=(self.kept + more.kept)[:most],
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """What one block of draws gave."""

    draws: int
    digest: bytes
    counted: tuple[Counted, ...]
    """One for each question"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Rerun:
    """What the loop said of one near draw."""

    happens: bool
    reckoned: bool
    """Whether it happens by arithmetic"""
    apart: float
    """Largest difference between loop and arithmetic [Pa]"""
    outgrew: bool
    """Whether it was wider than the band"""
    failed: bool
    """Whether the loop could not run it; it then counts as happening"""


def count_block(ground: Ground, questions: tuple[Question, ...], draws: Draws, most: int, number: int) -> Block:
    """One block by arithmetic."""
    rows = draws.block(number)
    days = errors_of(rows, ground.spread)
    counted = tuple(_count(ground, question, days, most) for question in questions)
    return Block(draws=len(rows), digest=digest_of(rows), counted=counted)


def _count(ground: Ground, question: Question, days: tuple[Errors, Errors], most: int) -> Counted:
    reckoned = [reckon(ground, question, errors) for errors in days]
    happens = reckoned[0].room < ROUNDING_PA
    for day in reckoned[1:]:
        happens = happens | (day.room < ROUNDING_PA)
    if reckoned[0].band is None:
        return Counted(sure=int(np.count_nonzero(happens)))
    bands = [_zero_where_none(day) for day in reckoned]
    sure = np.zeros_like(happens)
    doubtful = np.zeros_like(happens)
    for day, band in zip(reckoned, bands, strict=True):
        sure |= day.room < -band
        doubtful |= day.room <= band
    near = doubtful & ~sure
    places = np.flatnonzero(near)
    kept = tuple(_near_draw(int(place), days, reckoned, bands) for place in places[:most])
    return Counted(
        sure=int(np.count_nonzero(sure)),
        near=len(places),
        near_reckoned=int(np.count_nonzero(near & happens)),
        kept=kept,
    )


def _zero_where_none(day: Reckoned) -> Floats:
    return np.zeros_like(day.room) if day.band is None else day.band


def _near_draw(place: int, days: tuple[Errors, Errors], reckoned: list[Reckoned], bands: list[Floats]) -> NearDraw:
    lift = days[0].lift
    seen = []
    for errors, day, band in zip(days, reckoned, bands, strict=True):
        if day.room[place] <= band[place]:
            shifts = Shifts(
                operating_limit=float(errors.operating_limit[place]),
                high_limit=float(errors.high_limit[place]),
                firing_rate=float(errors.firing_rate[place]),
            )
            seen.append(NearDay(shifts=shifts, room=float(day.room[place]), band=float(band[place])))
    return NearDraw(lift=np.inf if lift is None else float(lift[place]), days=tuple(seen))


def rerun(ground: Ground, question: Question, draws: tuple[NearDraw, ...]) -> tuple[Rerun, ...]:
    """Near draws by the loop."""
    return tuple(_rerun(ground, question, each) for each in draws)


def _rerun(ground: Ground, question: Question, draw: NearDraw) -> Rerun:
    rooms = [run(ground, question, day.shifts, draw.lift) for day in draw.days]
    apart = [(abs(room - day.room), day.band) for room, day in zip(rooms, draw.days, strict=True) if np.isfinite(room)]
    return Rerun(
        happens=any(room < ROUNDING_PA for room in rooms),
        reckoned=any(day.room < ROUNDING_PA for day in draw.days),
        apart=max((difference for difference, _ in apart), default=0.0),
        outgrew=any(difference > band for difference, band in apart),
        failed=any(not np.isfinite(room) for room in rooms),
    )
