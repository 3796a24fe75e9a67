"""What breaks during a run, as somebody types it: ``operating limit welded @ 2h``, ``power off for 10 s @ 5h``."""

import difflib
import re
from math import inf
from typing import Final

from evenfire.delivery.intake.moments import ACCEPTED as TIMES
from evenfire.delivery.intake.moments import read_time
from evenfire.delivery.intake.tables.quantities import described
from evenfire.delivery.units import read
from evenfire.delivery.words.running import AMOUNT, DRIFTS, FAULTS
from evenfire.errors import BadRequest, UnreadableQuantity
from evenfire.judgement.motion.loading import FaultAt
from evenfire.physics.motion.faults import Fault
from evenfire.si import PA_PER_PSI, Dimension

FORM: Final = "WHAT [AMOUNT] [for DURATION] @ TIME"
ASSUMED_GREATEST_DRIFT: Final = 1000 * PA_PER_PSI
"""No pressure control drifts further than the boilers of this trade are pressed: more is a slip of the pen [Pa]."""
LONGEST_TEXT: Final = 100
"""The longest form with its times needs half of it [characters]."""
_SPELLED: Final = {form.replace(f" {AMOUNT}", ""): fault for fault, form in FAULTS.items()}
_LASTING: Final = re.compile(r"(?P<what>.*?)(?:\s+for\s+(?P<lasting>.+))?", re.DOTALL)
_SAME: Final = (
    (re.compile(r"\blow-fire hold\b|\blow fire hold\b"), "hold"),
    (re.compile(r"\bfiring-rate control\b|\bfiring rate control\b|\bfiring-rate\b"), "firing rate"),
    (re.compile(r"\blimit control\b"), "limit"),
    (re.compile(r"\b(?:drift|drifted)\b"), "drifts"),
    (re.compile(r"\blow-water\b"), "low water"),
)


def accepted() -> str:
    """The forms of a fault, in one sentence."""
    example = 'for example "high limit drifts +6 psi @ 0h" or "power off for 10 s @ 5h"'
    return f"Accepted is {FORM}, {example}. WHAT is one of: {', '.join(FAULTS.values())}."


def read_fault(text: str) -> FaultAt:
    """The fault that a text names.

    Raises
    ------
    BadRequest
        It names none, or none that can be: one sentence with the accepted forms and the nearest of them.
    """
    shown = described(text)
    if len(text) > LONGEST_TEXT:
        raise BadRequest(f"--fault {shown} is too long for a fault. {accepted()}")
    before, at_sign, when = text.rpartition("@")
    if not at_sign:
        raise BadRequest(f"--fault {shown} does not say when: end it with @ and a time. {accepted()}")
    parts = _LASTING.fullmatch(" ".join(before.split()))
    what, lasting = (parts["what"], parts["lasting"]) if parts is not None else (before, None)
    fault, amount = _what(what.strip(), shown)
    begin = read_time(when, f"--fault {shown}")
    if lasting is None:
        return FaultAt(fault=fault, begin=begin, amount=amount)
    duration = read_time(lasting, f"--fault {shown}")
    if duration <= 0:
        raise BadRequest(f"--fault {shown} lasts no time. {TIMES}")
    return FaultAt(fault=fault, begin=begin, end=begin + duration if duration < inf else inf, amount=amount)


def _what(typed: str, shown: str) -> tuple[Fault, float]:
    """The fault and how far a control drifts [Pa]."""
    regular = _regular(typed)
    for spelled, fault in sorted(_SPELLED.items(), key=lambda pair: -len(pair[0])):
        if regular == spelled and fault not in DRIFTS:
            return fault, 0.0
        if fault in DRIFTS and (regular == spelled or regular.startswith(f"{spelled} ")):
            return fault, _amount(typed, regular.removeprefix(spelled).strip(), spelled, shown)
    near = difflib.get_close_matches(regular, list(_SPELLED), n=1, cutoff=0.5)
    hint = f"Did you mean {FAULTS[_SPELLED[near[0]]]!r}? " if near else ""
    raise BadRequest(f"--fault {shown} names no fault that is known here. {hint}{accepted()}")


def _regular(typed: str) -> str:
    text = " ".join(typed.casefold().split())
    for pattern, word in _SAME:
        text = pattern.sub(word, text)
    return text


def _amount(typed: str, rest: str, spelled: str, shown: str) -> float:
    """How much higher a control acts [Pa]; the unit is read as it was typed, since its case may matter."""
    if not rest:
        raise BadRequest(f'--fault {shown} does not say how far: write "{spelled} +6 psi", or - for lower.')
    text = " ".join(typed.split())[-len(rest) :]
    if text[0] not in "+-":
        raise BadRequest(f'--fault {shown} does not say which way: write "+{text}" for acting higher, or - for lower.')
    try:
        amount = read(text, Dimension.PRESSURE_DIFFERENCE).value
    except UnreadableQuantity as error:
        raise BadRequest(f"--fault {shown}: {error}") from error
    if not 0 < abs(amount) <= ASSUMED_GREATEST_DRIFT:
        raise BadRequest(f"--fault {shown}: no control drifts so far, or it has not drifted at all.")
    return amount
