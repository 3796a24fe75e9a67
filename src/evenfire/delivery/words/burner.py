"""Wording of the rules on the burner."""

from typing import Final

from evenfire.delivery.words.entry import Entry, Words

_BURNER_WORK: Final = "Have the burner technician set it as the maker says."

BURNER: Final = {
    "input-within-nameplate": Entry(
        finding=Words(
            what="The {subject} is clocked at {observed}; {limit} is the most its nameplate allows for.",
            why="Boiler and safety valves were chosen for the nameplate.",
            do=f"Do not fire it like this. {_BURNER_WORK}",
            confirm="Clock the fuel meter again at full fire.",
        ),
        clear="The {subject} is fired within its nameplate, {margin} to spare.",
    ),
    "prepurge-air-changes": Entry(
        finding=Words(
            what="The prepurge of the {subject} moves {observed} air changes; {limit} is the least.",
            why="Fuel that leaked in while it was off lights with the spark.",
            do=_BURNER_WORK,
            confirm="Time a prepurge, and reckon the changes from the fan's air.",
        ),
        clear="The prepurge of the {subject} moves enough air.",
    ),
    "prepurge-air-flow": Entry(
        finding=Words(
            what="The {subject} purges with {observed} of its full air; {limit} is the least.",
            why="A weak draught leaves corners unswept.",
            do=_BURNER_WORK,
            confirm="See the damper at its purge position, proved by its switch.",
        ),
        clear="The {subject} purges with enough of its air.",
    ),
    "pilot-trial-time": Entry(
        finding=Words(
            what="The trial for the pilot of the {subject} lasts {observed}; {limit} is the most.",
            why="Unlit fuel gathers all the while.",
            do=_BURNER_WORK,
            confirm="Have a trial timed with the pilot's fuel shut: the burner locks out.",
        ),
        clear="The trial for the pilot of the {subject} is short enough, {margin} to spare.",
    ),
    "main-trial-time": Entry(
        finding=Words(
            what="The trial for the main flame of the {subject} lasts {observed}; {limit} is the most.",
            why="Unlit fuel gathers all the while.",
            do=_BURNER_WORK,
            confirm="Have a trial timed with the main fuel shut: the burner locks out.",
        ),
        clear="The trial for the main flame of the {subject} is short enough, {margin} to spare.",
    ),
    "flame-failure-time": Entry(
        finding=Words(
            what="The fuel of the {subject} shuts {observed} after the flame has gone; {limit} is the most.",
            why="Unlit fuel gathers all the while.",
            do=_BURNER_WORK,
            confirm="Have a flame failure timed.",
        ),
        clear="The {subject} shuts its fuel in time after the flame has gone, {margin} to spare.",
    ),
    "low-fire-start": Entry(
        finding=Words(
            what="The {subject} is large and does not light at low fire.",
            why="A large fire that lights late lights hard.",
            do=_BURNER_WORK,
            confirm="Watch a start: it lights with damper and fuel at low fire, proved by their switch.",
        ),
        clear="The {subject} lights at low fire.",
    ),
    "prepurge-before-start": Entry(
        finding=Words(
            what="The {subject} is large and lights without a prepurge.",
            why="Fuel that leaked in while it was off lights with the spark.",
            do=f"Leave it off until it purges. {_BURNER_WORK}",
            confirm="Time a prepurge.",
        ),
        clear="The {subject} purges before it lights.",
    ),
}
"""By rule code."""
