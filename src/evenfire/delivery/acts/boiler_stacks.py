"""The pressure stack of a boiler of the store, as a picture and as text."""

from evenfire.delivery.acts.boiler_now import BoilerNow
from evenfire.delivery.figures.sentence_svg import sentence_svg
from evenfire.delivery.figures.stack_svg import stack_svg
from evenfire.delivery.figures.stack_text import stack_text
from evenfire.delivery.units import UnitSystem

NOTHING_TO_DRAW = "No dial was read yet: nothing to draw."
TEXT_WIDTH = 72
"""Of a stack as text on a page, which scrolls where there is less room [characters]."""


def stack_picture(now: BoilerNow, system: UnitSystem, width: float) -> str:
    """The stack as SVG, so many pixels wide; a sentence where no dial was read."""
    layout = now.stack()
    return sentence_svg(NOTHING_TO_DRAW, width) if layout is None else stack_svg(layout, system, width)


def stack_in_words(now: BoilerNow, system: UnitSystem, width: int = TEXT_WIDTH) -> str:
    """The same as on a terminal."""
    layout = now.stack()
    return f"{NOTHING_TO_DRAW}\n" if layout is None else stack_text(layout, system, width)
