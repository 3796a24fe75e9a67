"""Wording of the rules on the safety valves."""

from typing import Final

from evenfire.delivery.words.entry import Entry, Words

_LICENSED: Final = "Safety valves are set and repaired only by those licensed for it."

VALVES: Final = {
    "safety-valve-fitted": Entry(
        finding=Words(
            what="The survey shows no safety valve.",
            why="Nothing holds the boiler when both limits have failed.",
            do="Do not fire. If one is there, enter it from its nameplate; else call the authority and the insurer.",
            confirm="Read set pressure and capacity on its plate.",
        ),
        clear="A safety valve is fitted.",
    ),
    "first-valve-within-mawp": Entry(
        finding=Words(
            what="The lowest safety valve is set at {observed}, above the MAWP of {limit}.",
            why="The boiler is over its pressure before any valve lifts.",
            do=f"Do not fire. Have a valve fitted that is set at {{limit}} or below. {_LICENSED}",
            confirm="Read both nameplates again, valve and boiler.",
        ),
        clear="The lowest safety valve is set within the MAWP, {margin} to spare.",
    ),
    "other-valves-near-mawp": Entry(
        finding=Words(
            what="The {subject} is set at {observed}, above {limit}.",
            why="It comes too late to help the first valve.",
            do=f"Do not fire. Have it replaced by one set at {{limit}} or below. {_LICENSED}",
            confirm="Read both nameplates again, valve and boiler.",
        ),
        clear="The {subject} is set near enough to the MAWP, {margin} to spare.",
    ),
    "valve-settings-close": Entry(
        finding=Words(
            what="The safety valves are set {observed} apart; {limit} is the most.",
            why="Valves far apart do not work together.",
            do=f"Do not fire. Have them set closer. {_LICENSED}",
            confirm="Read every valve's plate again.",
        ),
        clear="The safety valves are set close enough together, {margin} to spare.",
    ),
    "second-valve": Entry(
        finding=Words(
            what="There is one safety valve; above {limit} there are two, and this boiler has {observed}.",
            why="One valve may stick.",
            do="Ask the authority and the insurer; have a second valve fitted where they say so.",
            confirm="Check the size on the nameplate.",
        ),
        variants=(
            (
                "small",
                Words(
                    what="There is one safety valve; above {limit} there are two, and this boiler has {observed}.",
                    why="One valve may stick.",
                    do="Ask the authority: recent editions accept one valve up to 4,000 lb/h (from memory, check the "
                    "adopted edition).",
                    confirm="Check the size on the nameplate.",
                ),
            ),
        ),
        clear="The number of safety valves suits the size of the boiler.",
    ),
    "relieving-capacity": Entry(
        finding=Words(
            what="The safety valves pass {observed}; the boiler can make {limit}.",
            why="With the steam shut off and the fire full, the pressure goes on rising.",
            do=f"Do not fire. Have more capacity fitted, or the firing brought down to what they pass. {_LICENSED}",
            confirm="Read the stamped capacity on every plate, and clock the fuel.",
        ),
        clear="The safety valves pass all that the boiler can make, {margin} to spare.",
    ),
    "valve-accumulation": Entry(
        finding=Words(
            what="The safety valves pass all the steam only at {observed}; the pressure may rise to {limit} at most.",
            why="The boiler is over its pressure before the valves can hold it.",
            do=f"Do not fire. Have lower-set or larger valves fitted. {_LICENSED}",
            confirm="Read set pressure and capacity on every plate again.",
        ),
        variants=(
            (
                "shut",
                Words(
                    what="The lowest safety valve opens at {observed}; the pressure may rise to {limit} at most.",
                    why="No valve has opened by then.",
                    do=f"Do not fire. Have lower-set valves fitted. {_LICENSED}",
                    confirm="Read set pressure and MAWP on the plates again.",
                ),
            ),
            (
                "never",
                Words(
                    what="At no pressure do the safety valves pass all the steam that the boiler can make.",
                    why="With the steam shut off and the fire full, the pressure goes on rising.",
                    do=f"Do not fire. Have more capacity fitted. {_LICENSED}",
                    confirm="Read the stamped capacity on every plate, and clock the fuel.",
                ),
            ),
        ),
        clear="The safety valves hold the pressure at full fire, {margin} to spare.",
    ),
    "stamped-capacity-plausible": Entry(
        finding=Words(
            what="The {subject} is stamped {observed}; its orifice passes {limit}.",
            why="A plate read wrong, or of another valve, hides that the valves are too small.",
            do="Read capacity, orifice and coefficient on the plate again.",
            confirm="Compare with the maker's certificate.",
        ),
        clear="The stamped capacity of the {subject} agrees with its orifice.",
    ),
    "valve-lift-test-pressure": Entry(
        finding=Words(
            what="The {subject} was lifted by hand at {observed}; lift it at {limit} or more.",
            why="With little pressure under it the seat is not blown clean, and it leaks.",
            do="Look whether it leaks; next time lift it at {limit} or more, clear of the discharge.",
            confirm="It closes tight.",
        ),
        clear="The {subject} was lifted with enough pressure under it.",
    ),
    "shared-header-relief": Entry(
        finding=Words(
            what="The safety valves of this boiler pass {observed}; with the stronger boilers on its header {limit} "
            "can reach it.",
            why="They can drive it above the MAWP on its nameplate.",
            do=f"Do not fire them together. Isolate it, or have its valves enlarged for all of them. {_LICENSED}",
            confirm="Read MAWP and valve plates of every boiler on the header.",
        ),
        clear="No stronger boiler can drive this one above its MAWP.",
    ),
}
"""By rule code."""
