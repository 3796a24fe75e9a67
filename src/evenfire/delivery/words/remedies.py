"""Which dial, which way, how far: the sentence that follows a finding on the pressure stack."""

from itertools import groupby
from typing import Final

from evenfire.delivery.units import Rounding
from evenfire.delivery.words.demands import DEMANDS
from evenfire.delivery.words.entry import Show
from evenfire.delivery.words.names import DIALS
from evenfire.judgement.outcome import Remedy
from evenfire.si import PA_PER_PSI, Dimension, Quantity

SMALLEST_TURN: Final = 0.1 * PA_PER_PSI
"""The finest pressure that is shown: an amount below it would be no amount anybody can turn a dial by [Pa]."""
SETTLE: Final = "`evenfire settle` chooses all dials together."
WITHIN: Final = "no further than the limits above it leave room"


def remedies_told(remedies: tuple[Remedy, ...], show: Show) -> str:
    """The dials that would each clear a finding alone, with least amounts rounded up, and what each would break."""
    if not remedies:
        return f"No single dial cures this. {SETTLE}"
    parts: list[str] = []
    said = ""
    ordered = sorted(remedies, key=lambda remedy: len(remedy.breaks))
    for key, group in groupby(ordered, key=lambda remedy: (remedy.change < 0, _amount(remedy, show), remedy.breaks)):
        lowers, amount, breaks = key
        dials = " or the ".join(DIALS[remedy.role, remedy.turn] for remedy in group)
        far = "as much" if amount == said else f"at least {amount}"
        within = "" if lowers else f", {WITHIN}"
        parts.append(f"{'lower' if lowers else 'raise'} the {dials} by {far}{within}{_price(breaks)}")
        said = amount
    told = ", or ".join(parts)
    return f"{told[0].upper()}{told[1:]}. {SETTLE}"


def _price(breaks: tuple[str, ...]) -> str:
    """What a turn would break."""
    if not breaks:
        return ""
    names = " and ".join(f'"{DEMANDS[code]}"' for code in breaks)
    return f" (alone it would break {names})"


def _amount(remedy: Remedy, show: Show) -> str:
    least = max(abs(remedy.change), SMALLEST_TURN)
    return show(Quantity(least, Dimension.PRESSURE_DIFFERENCE), rounding=Rounding.UP)
