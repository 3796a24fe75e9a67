"""Wording of the rules on what is fitted."""

from typing import Final

from evenfire.delivery.words.entry import Entry, Words

FITTING: Final = {
    "high-limit-fitted": Entry(
        finding=Words(
            what="The survey shows no high limit.",
            why="When the operating limit sticks, nothing stops the fire before the safety valves lift.",
            do="Do not fire. Have a high limit with manual reset fitted as the maker and the adopted code say; "
            "if one is there, enter it in the plant file.",
            confirm="Prove that it stops the burner and stays off until reset by hand.",
        ),
        clear="A high limit is fitted.",
    ),
    "operating-limit-fitted": Entry(
        finding=Words(
            what="The survey shows no operating limit.",
            why="The high limit then does the daily work, and nothing stands behind it.",
            do="Do not fire. Have an operating limit fitted as the maker and the adopted code say; "
            "if one is there, enter it in the plant file.",
            confirm="Watch it stop and start the burner.",
        ),
        clear="An operating limit is fitted.",
    ),
    "high-limit-manual-reset": Entry(
        finding=Words(
            what="The high limit resets itself.",
            why="It restarts the burner again and again, and nobody learns why it acted.",
            do="Do not fire. Have it replaced by one that a hand must reset.",
            confirm="Trip it: pressure fallen, the burner stays off until it is reset by hand.",
        ),
        clear="The high limit stays off until a hand resets it.",
    ),
    "high-limit-own-element": Entry(
        finding=Words(
            what="The high limit shares its sensing element or its switch with another control.",
            why="One failure takes both.",
            do="Do not fire. Have a high limit with its own element and its own switch fitted.",
            confirm="Trip it alone: the burner stops.",
        ),
        clear="The high limit has its own element and its own switch.",
    ),
    "high-limit-senses-boiler": Entry(
        finding=Words(
            what="The high limit is tapped on the header, not on its boiler.",
            why="A shut stop valve or non-return valve leaves it blind.",
            do="Do not fire. Depressurize, then have it tapped on the boiler with no valve between.",
            confirm="Prove the trip against the boiler's own gauge.",
        ),
        clear="The high limit senses its own boiler.",
    ),
    "low-pressure-high-limit-scale": Entry(
        finding=Words(
            what="The high limit can be set as high as {observed}; on a low-pressure boiler its scale ends at {limit}.",
            why="A hand can set it above what the boiler is made for.",
            do="Do not fire. Have one fitted that cannot be set above {limit}.",
            confirm="Turn nothing: read where its scale ends.",
        ),
        clear="The high limit cannot be set above the ceiling of a low-pressure boiler.",
    ),
    "sensing-line-open": Entry(
        finding=Words(
            what="A shutoff valve stands between the boiler and the {subject}.",
            why="Shut by mistake, it blinds the control.",
            do="Do not fire. Cool and depressurize, then have the valve taken out.",
            confirm="Follow the line with your eye from tap to control, then prove the control.",
        ),
        clear="No valve stands in the sensing line of the {subject}.",
    ),
    "siphon-fitted": Entry(
        finding=Words(
            what="The {subject} has no siphon.",
            why="Live steam in the sensing element ruins it.",
            do="Do not fire. Cool and depressurize, then have a siphon fitted and filled with water.",
            confirm="Prove the control again: steam may have moved its setting.",
        ),
        clear="The {subject} has a siphon.",
    ),
    "operating-limit-not-blind": Entry(
        finding=Words(
            what="The operating limit is tapped on the header, behind a non-return valve.",
            why="When that valve closes it reads the other boilers, and only the high limit stops this one.",
            do="Depressurize, then have it tapped on the boiler.",
            confirm="Watch a cut-out on the boiler's own gauge.",
        ),
        clear="The operating limit sees its boiler.",
    ),
    "nothing-bypassed": Entry(
        finding=Words(
            what="A jumper was seen: {name}.",
            why="What is bypassed does not protect.",
            do="Do not fire. Lock out, take it off, and find out why somebody put it there.",
            confirm="Prove that what was bypassed stops the burner, then enter the list of jumpers as empty.",
        ),
        clear="Nothing was found bypassed.",
    ),
    "high-limit-resets-explained": Entry(
        finding=Words(
            what="The high limit was reset {observed} times without a found cause.",
            why="It tripped because something else failed, and that is still there.",
            do="Do not reset it again before the cause is found: operating limit, firing rate, siphon, load, setting.",
            confirm="Write the cause down; prove both limits.",
        ),
        clear="The resets of the high limit are explained.",
    ),
    "firing-in-automatic": Entry(
        finding=Words(
            what="The firing switch stands in manual.",
            why="The burner does not follow the load, and may cut out at any fire.",
            do="Find out why, then put it back to automatic.",
            confirm="Let the load change: the burner follows.",
        ),
        variants=(
            (
                "capped",
                Words(
                    what="The fire is held down by hand to {observed}.",
                    why="The boiler cannot carry its full load, and the pressure falls when it is drawn.",
                    do="Find out why; take the cap off once its reason is gone.",
                    confirm="See high fire at full load.",
                ),
            ),
        ),
        clear="The firing rate is left to its control.",
    ),
}
"""By rule code."""
