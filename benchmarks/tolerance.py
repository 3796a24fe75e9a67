"""Monte Carlo: how many days of boilers with errors of their own go through in a second, on one thread and on two."""

from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from pathlib import Path
from typing import Final

from benchmarks.day import medians
from benchmarks.row import Row
from evenfire.delivery.acts.draws import SeededDraws
from evenfire.delivery.intake.plant_file import read_plant_file
from evenfire.judgement.case import Case, SettingsSet, prepare
from evenfire.judgement.motion.loading import inputs_of
from evenfire.judgement.motion.modelling import Shifts
from evenfire.judgement.proofs.staging import TRUE, stages_of
from evenfire.judgement.tolerance.likelihood import InOrder, likelihoods, one_by_one
from evenfire.judgement.tolerance.result import Likelihoods
from evenfire.judgement.tolerance.rig import Way, rigs_of
from evenfire.judgement.tolerance.rows import columns_of, errors_of
from evenfire.judgement.tolerance.spread import spread_of
from evenfire.physics.motion.model import steady

PLANT: Final = Path(__file__).parents[1] / "examples" / "laundry.toml"
DAY: Final = 86_400.0
BOILERS: Final = 64
PER_PIECE: Final = 4
DRAWS: Final = 1_000_000
SHARE_OF_LOW_FIRE: Final = 0.5
"""Near the load that starts the burner most often [1]."""


def rows() -> Iterator[Row]:
    """Days by the loop, and the whole count of a million draws, on two threads against one."""
    case = _case()
    day, errors = _day_of(case), _errors(case)
    with ThreadPoolExecutor(2) as pool:
        if _days(day, errors, one_by_one) != _days(day, errors, pool.map):
            raise RuntimeError("two threads do not give the digits of one")
        if _count(case, one_by_one) != _count(case, pool.map):
            raise RuntimeError("two threads do not count what one counts")
        times = medians(
            {
                "days on one": lambda: _days(day, errors, one_by_one),
                "days on two": lambda: _days(day, errors, pool.map),
                "count on one": lambda: _count(case, one_by_one),
                "count on two": lambda: _count(case, pool.map),
            }
        )
    one, two = times["days on one"], times["days on two"]
    yield Row(
        work=f"Monte Carlo, {BOILERS} boiler-days with drawn errors on two threads: {BOILERS / two:.0f} days a second",
        reference=f"on one thread: {BOILERS / one:.0f} days a second",
        ratio=two / one,
        reach=1.0 / 1.9,
        seconds=two,
        reference_seconds=one,
    )
    one, two = times["count on one"], times["count on two"]
    yield Row(
        work=f"{DRAWS:,} draws counted and those near a limit run, on two threads",
        reference="on one thread",
        ratio=two / one,
        reach=None,
        seconds=two,
        reference_seconds=one,
    )


def _case() -> Case:
    plant = read_plant_file(PLANT).plant
    boiler = plant.boilers[0]
    if boiler.as_found is None:
        raise RuntimeError("the demo plant has no settings")
    return prepare(plant, boiler, SettingsSet.AS_FOUND, boiler.as_found.settings)


def _day_of(case: Case) -> Way:
    """A day of cycling at half of low fire."""
    load = SHARE_OF_LOW_FIRE * stages_of(case, TRUE)[0].low
    return replace(rigs_of(case)[0].idle, inputs=inputs_of(steady(load)), seconds=DAY)


def _errors(case: Case) -> list[list[Shifts]]:
    """The errors of all boilers, in pieces."""
    spread = spread_of(case)
    later = errors_of(SeededDraws(seed=1, draws=BOILERS, columns=columns_of(spread)).block(0), spread)[1]
    made = [
        Shifts(operating_limit=float(operating), high_limit=float(high), firing_rate=float(rate))
        for operating, high, rate in zip(later.operating_limit, later.high_limit, later.firing_rate, strict=True)
    ]
    return [made[begin : begin + PER_PIECE] for begin in range(0, BOILERS, PER_PIECE)]


def _days(day: Way, errors: list[list[Shifts]], in_order: InOrder) -> list[float]:
    """Highest pressure of every boiler's day [Pa gauge]."""

    def work(piece: list[Shifts]) -> list[float]:
        return [day.peak(shifts) for shifts in piece]

    return [peak for peaks in in_order(work, errors) for peak in peaks]


def _count(case: Case, in_order: InOrder) -> Likelihoods:
    draws = SeededDraws(seed=1, draws=DRAWS, columns=columns_of(spread_of(case)))
    *_, last = likelihoods(case, draws, in_order=in_order)
    if not isinstance(last, Likelihoods):
        raise TypeError("the last item is the answer")
    return last
