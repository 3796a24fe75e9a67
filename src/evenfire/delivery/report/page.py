"""Plain text for a terminal: headings, wrapped paragraphs, lists. Nothing here depends on colour."""

import textwrap
from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial

from evenfire.delivery import units
from evenfire.delivery.units import UnitSystem
from evenfire.delivery.words import Show

LABEL_WIDTH = 8
"""Room for the word in the margin of a paragraph [characters]."""


@dataclass(frozen=True, slots=True)
class Page:
    """How wide a page is and in whose units it speaks."""

    width: int
    system: UnitSystem

    @property
    def show(self) -> Show:
        """Quantities as text in the reader's units."""
        return partial(units.show, system=self.system)

    def heading(self, text: str) -> str:
        """A line with a rule under it."""
        lines = textwrap.wrap(text, self.width)
        return "\n".join([*lines, "-" * max(len(line) for line in lines)])

    def title(self, text: str) -> str:
        """The first line of an answer about one boiler."""
        lines = textwrap.wrap(text, self.width) or [""]
        return "\n".join([*lines, "=" * max(len(line) for line in lines)])

    def paragraph(self, text: str, *, indent: int = 0) -> str:
        """Wrapped text."""
        return textwrap.fill(
            text,
            self.width,
            initial_indent=" " * indent,
            subsequent_indent=" " * indent,
            break_long_words=True,
            break_on_hyphens=False,
        )

    def labelled(self, label: str, text: str) -> str:
        """A word in the margin and wrapped text beside it."""
        return textwrap.fill(
            text,
            self.width,
            initial_indent=f"{label:<{LABEL_WIDTH}}"[: max(LABEL_WIDTH, len(label) + 1)],
            subsequent_indent=" " * LABEL_WIDTH,
            break_on_hyphens=False,
        )

    def item(self, text: str) -> str:
        """One item of a list."""
        return textwrap.fill(text, self.width, initial_indent="- ", subsequent_indent="  ", break_on_hyphens=False)


def joined(parts: Sequence[str]) -> str:
    """Blocks with an empty line between them; empty ones are left out."""
    return "\n\n".join(part for part in parts if part)
