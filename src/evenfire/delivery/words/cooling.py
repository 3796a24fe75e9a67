"""Wording of a shutdown: what a vacuum can do at a boiler, and what to see before it is fired again."""

from collections.abc import Mapping
from typing import Final

from evenfire.plant.boiler import Kind

PREFIXES: Final[Mapping[str, str]] = {"air gets in": "Where air gets in", "tight": "Where it is tight"}
"""By the name of the run."""
STAYS_AT_ZERO: Final = "it stays at zero gauge"
STILL_ABOVE: Final = "after {time} it still stands at {value}"
LOWEST: Final = "after {time} it is down at {value} and still falling"
DRAWS_IN: Final = (
    "A vacuum draws water in past any check valve that leaks, and may fill the boiler to the top. Shut feed and return "
    "by their stop valves, and let air in: open the vent while a little pressure is left, and keep clear of its steam."
)
LOOSENS: Final = (
    "It also loosens hand-hole and manhole joints that pressure keeps tight, empties siphons, and strains gauges and "
    "controls that are made for pressure only."
)
CRACKS: Final = "Cold water that it draws into hot cast iron cracks the sections."
NO_DEMAND: Final = "No rule that is known here asks for a vacuum breaker: told, not judged."
BREAKER: Final = "See that the vacuum breaker opens as the gauge comes to zero, and shuts when steam is back."
BEFORE_FIRE: Final = (
    "Before it is fired again: true level in the glass (never light a flooded boiler or a dry one), every siphon full "
    "of water, vent open until steam drives the air out, and somebody there."
)


def to_do_after_shutdown(kind: Kind, *, breaks_vacuum: bool | None) -> str:
    """What to see to, in the order of doing; ``breaks_vacuum`` is nothing where the survey does not say."""
    iron = (CRACKS,) if kind is Kind.CAST_IRON else ()
    if breaks_vacuum:
        return " ".join((BREAKER, BEFORE_FIRE))
    return " ".join((DRAWS_IN, LOOSENS, *iron, NO_DEMAND, BEFORE_FIRE))
