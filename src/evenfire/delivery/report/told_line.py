"""One line of an answer with its weight, so that what matters most is told first."""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import IntEnum

from evenfire.delivery.report.page import Page


class Weight(IntEnum):
    """How much a line matters, worst first."""

    DANGER = 0
    TROUBLE = 1
    PLAIN = 2


@dataclass(frozen=True, slots=True)
class Line:
    """A word in the margin and what is told beside it."""

    label: str
    text: str
    weight: Weight = Weight.PLAIN


def told(lines: Iterable[Line], page: Page) -> str:
    """The lines, worst first, equals in the order given."""
    return "\n".join(page.labelled(line.label, line.text) for line in sorted(lines, key=lambda line: line.weight))
