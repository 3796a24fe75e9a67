"""The load of a run as somebody types it: a steam flow, a share of the boiler's output, or a recording."""

from dataclasses import dataclass
from pathlib import Path
from typing import Final

from evenfire.delivery.intake.recorded_load import read_recorded_load
from evenfire.delivery.intake.tables.quantities import described
from evenfire.delivery.units import read
from evenfire.errors import BadRequest, UnreadableQuantity
from evenfire.plant.load import Constant, Steps
from evenfire.si import Dimension

ACCEPTED: Final = (
    'Accepted are a steam flow such as "4000 lb/h", a share of the boiler\'s output such as "35 %", or a recording '
    "such as load.csv."
)
GREATEST_SHARE: Final = 2.0
"""More than twice its output asks no boiler: it is a slip of the pen [1]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ShareOfOutput:
    """A steady load as a share of what the boiler makes at full fire."""

    share: float
    """[1]"""


def read_load(text: str) -> Constant | ShareOfOutput | Steps:
    """The load that a text states.

    Raises
    ------
    BadRequest
        It states none.
    BadRecordedLoad
        It names a recording that cannot be read.
    """
    plain = text.strip()
    if plain.casefold().endswith(".csv"):
        return read_recorded_load(Path(plain))
    for dimension in (Dimension.FRACTION, Dimension.MASS_FLOW):
        try:
            value = read(plain, dimension).value
        except UnreadableQuantity:
            continue
        if value < 0 or (dimension is Dimension.FRACTION and value > GREATEST_SHARE):
            raise BadRequest(f"--load {described(text)} is no load of a boiler. {ACCEPTED}")
        return ShareOfOutput(share=value) if dimension is Dimension.FRACTION else Constant(steam=value)
    raise BadRequest(f"--load {described(text)} is no load that can be read. {ACCEPTED}")
