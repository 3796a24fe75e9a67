"""What an entry of the wording holds, and what is said of one outcome."""

from dataclasses import dataclass
from typing import Protocol

from evenfire.delivery.units import Rounding
from evenfire.si import Quantity


class Show(Protocol):
    """Turns a quantity into text in the reader's units, such as ``partial(units.show, system=UnitSystem.US)``."""

    def __call__(self, quantity: Quantity, /, *, rounding: Rounding = ...) -> str:
        """Text of the quantity, rounded the way that is asked."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Words:
    """One wording of a finding.

    Places for what the outcome carries: ``{observed}``, ``{limit}``, ``{short_by}``, ``{subject}``, ``{name}`` (what
    the subject is called in the plant file) and ``{remedies}`` (whole sentences).
    """

    what: str
    why: str
    do: str
    confirm: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """All wordings of one rule."""

    finding: Words
    clear: str
    """When it is in order; ``{margin}`` is how much there is to spare"""
    variants: tuple[tuple[str, Words], ...] = ()
    """Other wordings of the finding, each with the ``detail`` that chooses it"""

    def of(self, detail: str) -> Words:
        """The wording that a detail chooses."""
        return dict(self.variants).get(detail, self.finding)


@dataclass(frozen=True, slots=True, kw_only=True)
class Said:
    """What is told of one outcome; empty where there is nothing to tell."""

    what: str
    why: str = ""
    do: str = ""
    confirm: str = ""
