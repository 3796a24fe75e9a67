"""Which dial, which way, how far: the sentence that follows a finding on the pressure stack."""

from itertools import groupby
from typing import Final

from evenfire.delivery.units import Rounding
from evenfire.delivery.words.entry import Show
from evenfire.delivery.words.names import DIALS
from evenfire.judgement.outcome import Remedy
from evenfire.si import PA_PER_PSI, Dimension, Quantity

SMALLEST_TURN: Final = 0.1 * PA_PER_PSI
"""The finest pressure that is shown: an amount below it would be no amount anybody can turn a dial by [Pa]."""
SETTLE: Final = "`evenfire settle` chooses all dials together."
WITHIN: Final = "no further than the limits above it leave room"


def remedies_told(remedies: tuple[Remedy, ...], show: Show) -> str:
    """The dials that would each clear a finding alone, with least amounts rounded up, and who chooses among them."""
    if not remedies:
        return f"See that the dials fit one another: {SETTLE}"
    parts: list[str] = []
    said = ""
    for (lowers, amount), group in groupby(remedies, key=lambda remedy: (remedy.change < 0, _amount(remedy, show))):
        dials = " or the ".join(DIALS[remedy.role, remedy.turn] for remedy in group)
        far = "as much" if amount == said else f"at least {amount}"
        parts.append(f"{'lower' if lowers else 'raise'} the {dials} by {far}" + ("" if lowers else f", {WITHIN}"))
        said = amount
    told = ", or ".join(parts)
    return f"{told[0].upper()}{told[1:]}; {SETTLE}"


def _amount(remedy: Remedy, show: Show) -> str:
    least = max(abs(remedy.change), SMALLEST_TURN)
    return show(Quantity(least, Dimension.PRESSURE_DIFFERENCE), rounding=Rounding.UP)
