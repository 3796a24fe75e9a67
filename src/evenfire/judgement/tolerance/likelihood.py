"""How likely a boiler leaves its order in a year: millions of draws by arithmetic, the loop where a limit is near."""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from functools import partial
from hashlib import sha256
from typing import Final, Protocol, TypeVar

from evenfire.judgement.case import Case
from evenfire.judgement.outcome import Route
from evenfire.judgement.proofs.learning import Progress
from evenfire.judgement.rulebook import RULE_BOOK_VERSION
from evenfire.judgement.tolerance.counting import Block, Counted, NearDraw, Rerun, count_block, rerun
from evenfire.judgement.tolerance.motion import motion_of
from evenfire.judgement.tolerance.questions import Ground, Question, questions_on, require_known
from evenfire.judgement.tolerance.result import Likelihoods, NotCounted, likelihood
from evenfire.judgement.tolerance.rows import Draws
from evenfire.judgement.tolerance.spread import Spread, spread_of
from evenfire.physics.motion.run import PHYSICS_VERSION
from evenfire.plant.identity import identity
from evenfire.plant.known import NotKnownError
from evenfire.plant.possible import require_positive
from evenfire.si import Dimension

MOST_RERUNS: Final = 400
"""Near draws that the loop runs for each question, unless somebody asks for more."""
DRAWS_PER_PIECE: Final = 16
"""Near draws that are run at once."""
ASSUMPTIONS: Final = (
    "ASSUMED_SET_ERROR_IS_EVEN",
    "ASSUMED_DRIFT_A_YEAR",
    "ASSUMED_REPEAT_OF_TESTED_LIFT",
    "ASSUMED_DISAGREEMENT",
    "ASSUMED_LEAST_BAND",
)
"""Every number behind an answer that no survey and no publication gave."""
_ANSWER_EVERY: Final = 8
"""Pieces between two answers; the first block is answered at once, so that a count stopped early has one."""

A = TypeVar("A")
B = TypeVar("B")


class InOrder(Protocol):
    """Does work on items and hands the answers back in the order of the items, on as many threads as it likes."""

    def __call__(self, work: Callable[[A], B], items: Iterable[A], /) -> Iterator[B]:
        """Answers in order."""


def one_by_one(work: Callable[[A], B], items: Iterable[A], /) -> Iterator[B]:
    """All on the caller's own thread, each when it is asked for."""
    return map(work, items)


@dataclass(slots=True, kw_only=True)
class _Sheet:
    """Where the count stands."""

    ground: Ground
    questions: tuple[Question, ...]
    not_counted: tuple[NotCounted, ...]
    identity: str
    draws: int = 0
    digests: list[bytes] = field(default_factory=list)
    counted: list[Counted] = field(default_factory=list)
    reruns: list[tuple[Rerun, ...]] = field(default_factory=list)

    def add(self, block: Block, most: int) -> None:
        """One more block."""
        self.draws += block.draws
        self.digests.append(block.digest)
        pairs = zip(self.counted, block.counted, strict=True)
        self.counted = [before.and_then(more, most) for before, more in pairs]

    def answer(self, *, is_complete: bool) -> Likelihoods:
        """All that is known now."""
        rows = zip(self.questions, self.counted, self.reruns, strict=True)
        motion = self.ground.motion
        return Likelihoods(
            boiler=self.ground.case.boiler.name,
            answers=tuple(likelihood(question, self.draws, counted, reruns) for question, counted, reruns in rows),
            not_counted=self.not_counted,
            draws=self.draws,
            rows=sha256(b"".join(self.digests)).hexdigest(),
            identity=self.identity,
            is_complete=is_complete,
            route=Route.SIMULATED if motion.rigs else Route.COMPUTED,
            missing=motion.missing,
            spread=self.ground.spread,
            assumptions=ASSUMPTIONS,
        )


def likelihoods(
    case: Case,
    draws: Draws,
    *,
    most_reruns: int = MOST_RERUNS,
    in_order: InOrder = one_by_one,
    spread: Spread | None = None,
) -> Iterator[Progress | Likelihoods]:
    """Count over all draws, then run those near a limit; stop taking items to stop it.

    Answers come on the way too, each right for the draws that it names and marked as not complete; the last item is
    the whole answer. It does not depend on the number of threads.

    Parameters
    ----------
    case
        Boiler and settings.
    draws
        Rows of as many columns as ``columns_of(spread_of(case))`` says.
    most_reruns
        Near draws that the loop runs for each question [1].
    in_order
        How the blocks are worked off; ``ThreadPoolExecutor.map`` will do.
    spread
        What is drawn, where it is known better than the survey and the assumptions say.

    Raises
    ------
    ImpossibleValue
        No draws.
    """
    require_positive("blocks of draws", float(draws.blocks), Dimension.NUMBER)
    drawn = spread_of(case) if spread is None else spread
    try:
        ground = Ground(case=case, spread=drawn, motion=motion_of(case))
    except NotKnownError as lacking:
        yield _nothing(case, drawn, lacking.keys)
        return
    sheet = _sheet(ground, most_reruns)
    if not sheet.questions:
        yield sheet.answer(is_complete=True)
        return
    yield from _first_stage(sheet, draws, most_reruns, in_order)
    if ground.motion.rigs:
        yield from _second_stage(sheet, draws.blocks, in_order)
    yield sheet.answer(is_complete=True)


def likelihoods_of(case: Case, draws: Draws, *, most_reruns: int = MOST_RERUNS) -> Likelihoods:
    """The answer of :func:`likelihoods`, all at once."""
    last: Likelihoods | None = None
    for item in likelihoods(case, draws, most_reruns=most_reruns):
        if isinstance(item, Likelihoods):
            last = item
    if last is None:
        raise AssertionError("the last item is the answer")
    return last


def _first_stage(sheet: _Sheet, draws: Draws, most: int, in_order: InOrder) -> Iterator[Progress | Likelihoods]:
    """Every block by arithmetic."""
    work = partial(count_block, sheet.ground, sheet.questions, draws, most)
    for done, block in enumerate(in_order(work, range(draws.blocks)), start=1):
        sheet.add(block, most)
        yield Progress(done=done, total=draws.blocks, what="draws")
        if done == 1 or done % _ANSWER_EVERY == 0 or done == draws.blocks:
            yield sheet.answer(is_complete=False)


def _second_stage(sheet: _Sheet, before: int, in_order: InOrder) -> Iterator[Progress | Likelihoods]:
    """The near draws by the loop, in pieces that do not depend on who does them."""
    pieces = [
        (place, counted.kept[begin : begin + DRAWS_PER_PIECE])
        for place, counted in enumerate(sheet.counted)
        for begin in range(0, len(counted.kept), DRAWS_PER_PIECE)
    ]

    def work(piece: tuple[int, tuple[NearDraw, ...]]) -> tuple[int, tuple[Rerun, ...]]:
        place, near = piece
        return place, rerun(sheet.ground, sheet.questions[place], near)

    for done, (place, reruns) in enumerate(in_order(work, pieces), start=1):
        sheet.reruns[place] += reruns
        yield Progress(done=before + done, total=before + len(pieces), what="runs near a limit")
        if done % _ANSWER_EVERY == 0:
            yield sheet.answer(is_complete=False)


def _sheet(ground: Ground, most: int) -> _Sheet:
    asked, lacking = [], []
    for question in questions_on(ground.case):
        try:
            require_known(ground, question)
            asked.append(question)
        except NotKnownError as missing:
            lacking.append(NotCounted(question=question, missing=missing.keys))
    return _Sheet(
        ground=ground,
        questions=tuple(asked),
        not_counted=tuple(lacking),
        identity=_identity(ground.case, ground.spread, most),
        counted=[Counted() for _ in asked],
        reruns=[() for _ in asked],
    )


def _identity(case: Case, spread: Spread, most: int) -> str:
    return identity((case.plant, case.boiler, case.settings, spread, most, RULE_BOOK_VERSION, PHYSICS_VERSION))


def _nothing(case: Case, spread: Spread, missing: tuple[str, ...]) -> Likelihoods:
    """Not even the run-on is known."""
    return Likelihoods(
        boiler=case.boiler.name,
        answers=(),
        not_counted=tuple(NotCounted(question=each, missing=missing) for each in questions_on(case)),
        draws=0,
        rows="",
        identity=_identity(case, spread, 0),
        is_complete=True,
        route=Route.COMPUTED,
        missing=missing,
        spread=spread,
        assumptions=ASSUMPTIONS,
    )
