"""Which dial, which way, how far: the sentence that follows a finding on the pressure stack."""

from collections.abc import Iterable
from itertools import groupby
from typing import Final

from evenfire.delivery.units import Rounding
from evenfire.delivery.words.demands import DEMANDS
from evenfire.delivery.words.entry import Show
from evenfire.delivery.words.names import DIALS
from evenfire.judgement.outcome import Finding, Remedy, Severity
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


def also_told(finding: Finding, others: Iterable[Finding], show: Show) -> str:
    """How much further a dial that cures a stop has to go to clear the warnings about it as well; empty for none."""
    if finding.severity is not Severity.STOP:
        return ""
    parts = []
    for remedy in finding.remedies:
        further = [
            (other, each)
            for other in others
            if other.severity is Severity.WARN
            for each in other.remedies
            if (each.role, each.turn, each.change < 0) == (remedy.role, remedy.turn, remedy.change < 0)
            and abs(each.change) > abs(remedy.change)
        ]
        if further:
            furthest = max(further, key=lambda pair: abs(pair[1].change))[1]
            names = " and ".join(f'"{DEMANDS[other.code]}"' for other, _ in further)
            turn = f"{'lower' if furthest.change < 0 else 'raise'} the {DIALS[furthest.role, furthest.turn]}"
            within = "" if furthest.change < 0 else f", {WITHIN}"
            amount = f"at least {_amount(furthest, show)}"
            parts.append(f"To clear {names} as well, {turn} by {amount}{within}{_price(furthest.breaks)}.")
    return " ".join(parts)


def _price(breaks: tuple[str, ...]) -> str:
    """What a turn would break."""
    if not breaks:
        return ""
    names = " and ".join(f'"{DEMANDS[code]}"' for code in breaks)
    return f" (alone it would break {names})"


def _amount(remedy: Remedy, show: Show) -> str:
    least = max(abs(remedy.change), SMALLEST_TURN)
    return show(Quantity(least, Dimension.PRESSURE_DIFFERENCE), rounding=Rounding.UP)
