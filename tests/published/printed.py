"""One value as a publication prints it, beside the function of ours that should return it.

Every module of this folder carries its values in a tuple ``PRINTED`` and runs one parametrised test over it;
``tools/agreement.py`` collects the same tuples for the documents. A printed value that we do not reproduce is not
dropped and its tolerance is not widened: it goes to ``DISAGREEING`` with the reason, and its test fails as soon as it
no longer differs.
"""

from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal
from enum import Enum

from evenfire.sources import Reading, Source

INDEPENDENT = Source("CALC", "own calculation with an independent library: not print", Reading.READ)
ARITHMETIC = Source("ARITHMETIC", "arithmetic that can be done by hand: not print", Reading.READ)


class Tag(Enum):
    """How the expected value is known."""

    PUBLISHED = "published and read"
    MEMORY = "from memory"
    CALCULATED = "calculated elsewhere, not printed"


@dataclass(frozen=True, slots=True, kw_only=True)
class Printed:
    """A printed value and what evenfire says to the same question."""

    source: Source
    place: str
    quantity: str
    """What is compared; values of one quantity share a row of the agreement table."""
    at: str
    """Which of them: the state, the column."""
    printed: str
    """As it stands in print: its last digit gives the tolerance where no other is stated."""
    unit: str
    """As printed; empty for a pure number."""
    ours: Callable[[], float]
    """[unit]"""
    tag: Tag = Tag.PUBLISHED
    absolute: float | None = None
    """Allowed deviation [unit]"""
    relative: float | None = None
    """Allowed deviation as a share of the printed value [1]"""

    def __post_init__(self) -> None:
        if self.absolute is not None and self.relative is not None:
            raise ValueError(f"{self}: one tolerance, absolute or relative")

    def __str__(self) -> str:
        return f"{self.source.key} {self.place}: {self.quantity} at {self.at}"

    @property
    def value(self) -> float:
        """The printed number [unit]."""
        return float(self.printed)

    @property
    def allowed(self) -> float:
        """Allowed deviation [unit]; half the last printed digit where no other is stated."""
        if self.absolute is not None:
            return self.absolute
        if self.relative is not None:
            return self.relative * abs(self.value)
        exponent = Decimal(self.printed).as_tuple().exponent
        assert isinstance(exponent, int)
        return float(Decimal("0.5").scaleb(exponent))

    @property
    def deviation(self) -> float:
        """Distance between print and us [unit]."""
        return abs(self.ours() - self.value)

    @property
    def agrees(self) -> bool:
        """Whether we stand within the tolerance; a tie (51.5 x 76.7 printed with one decimal) does."""
        return self.deviation <= self.allowed * (1 + 1e-9)

    @property
    def report(self) -> str:
        """What a failing test says."""
        return f"{self}: printed {self.printed} {self.unit}, ours {self.ours():.10g}, allowed {self.allowed:.3g}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Disagreement:
    """A printed value that we do not reproduce."""

    printed: Printed
    why: str

    def __str__(self) -> str:
        return str(self.printed)
