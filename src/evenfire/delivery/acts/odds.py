"""Count how likely the boilers of a plant file leave their order in a year, on as many threads as are asked for."""

import os
from collections.abc import Callable, Generator, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing, contextmanager
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Final

from evenfire.delivery.acts.asked_cases import cases_asked, refusing_the_impossible
from evenfire.delivery.acts.checking import identity_of
from evenfire.delivery.acts.draws import SeededDraws
from evenfire.delivery.answers import BoilerOdds, Odds
from evenfire.delivery.intake.plant_file import PlantFile, read_plant_file
from evenfire.judgement.case import Case, SettingsSet
from evenfire.judgement.proofs.learning import Progress
from evenfire.judgement.tolerance.likelihood import MOST_RERUNS, InOrder, likelihoods, one_by_one
from evenfire.judgement.tolerance.result import Likelihoods
from evenfire.judgement.tolerance.rows import columns_of
from evenfire.judgement.tolerance.spread import spread_of
from evenfire.physics.motion.run import PHYSICS_VERSION

DRAWS: Final = 1_000_000
"""Of each boiler, unless somebody asks for another number: none seen then says less than one in a quarter million."""
RERUNS: Final = MOST_RERUNS


@dataclass(frozen=True, slots=True, kw_only=True)
class OddsAsked:
    """What somebody asks for."""

    boiler: str | None = None
    settings: SettingsSet | None = None
    draws: int = DRAWS
    most_reruns: int = RERUNS
    seed: int = 1
    threads: int = 1


def odds_plant(plant: Path, asked: OddsAsked, watch: Callable[[Progress], None] | None = None) -> Odds:
    """Count for the boilers of a plant file; ``watch`` is told how far it has come.

    An interrupt from the keyboard stops it, and what was counted until then is the answer, marked as stopped.

    Raises
    ------
    BadInput
        The file or what was asked cannot be used.
    """
    return odds_of(read_plant_file(plant), asked, watch)


def odds_of(plant_file: PlantFile, asked: OddsAsked, watch: Callable[[Progress], None] | None = None) -> Odds:
    """Count for the boilers of a plant file that has been read."""
    cases = cases_asked(plant_file, asked.boiler, asked.settings)
    answered: dict[int, BoilerOdds] = {}
    try:
        for place, (case, stale) in enumerate(cases):
            with refusing_the_impossible(plant_file), closing(_counted(case, asked)) as items:
                for item in items:
                    if isinstance(item, Likelihoods):
                        answered[place] = BoilerOdds(case=case, counted=item, is_stale=stale)
                    elif watch is not None:
                        watch(_of_boiler(item, case, several=len(cases) > 1))
    except KeyboardInterrupt:
        # The last answer of each boiler is right for the draws that it names; there is no more to be had.
        pass
    return Odds(
        plant_file=plant_file,
        boilers=tuple(answered.values()),
        not_begun=tuple(case.boiler.name for place, (case, _) in enumerate(cases) if place not in answered),
        seed=asked.seed,
        draws=asked.draws,
        most_reruns=asked.most_reruns,
        identity=identity_of(plant_file),
        physics_version=PHYSICS_VERSION,
    )


def processors() -> int:
    """How many threads can work at once here."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def _counted(case: Case, asked: OddsAsked) -> Generator[Progress | Likelihoods]:
    draws = SeededDraws(seed=asked.seed, draws=asked.draws, columns=columns_of(spread_of(case)))
    with _in_threads(asked.threads) as in_order:
        yield from likelihoods(case, draws, most_reruns=asked.most_reruns, in_order=in_order)


@contextmanager
def _in_threads(threads: int) -> Iterator[InOrder]:
    """On so many threads; work that was not begun when it ends is dropped."""
    if threads == 1:
        yield one_by_one
        return
    pool = ThreadPoolExecutor(threads)
    try:
        yield pool.map
    finally:
        pool.shutdown(cancel_futures=True)


def _of_boiler(progress: Progress, case: Case, *, several: bool) -> Progress:
    return replace(progress, what=f"{case.boiler.name}: {progress.what}") if several else progress
