"""Wording of the rules on gauge, scales and sensing lines."""

from typing import Final

from evenfire.delivery.words.entry import Entry, Words

_LATE: Final = Words(
    what="The {subject} hangs above its tap: it acts {observed} above what its dial shows.",
    why="Late is the unsafe side.",
    do="Allow for it as evenfire does here, or depressurize and have it moved below its tap.",
    confirm="Prove the point at which it acts against a gauge.",
)

INSTRUMENTS: Final = {
    "gauge-range": Entry(
        finding=Words(
            what="The gauge ends at {observed}; it should read to {limit} or more.",
            why="It stands at its stop when it matters.",
            do="Do not fire. Have a gauge with a longer scale fitted; depressurize first.",
            confirm="Read where its scale ends.",
        ),
        clear="The gauge reads far enough beyond the safety valve, {margin} to spare.",
    ),
    "gauge-range-usual": Entry(
        finding=Words(
            what="The gauge ends at {observed}; about {limit} is usual.",
            why="At work the pointer then stands near upright.",
            do="Choose the longer scale when the gauge is next changed.",
            confirm="Read where its scale ends.",
        ),
        clear="The gauge reads to about twice the safety valve.",
    ),
    "heating-gauge-range": Entry(
        finding=Words(
            what="The gauge ends at {observed}; on a low-pressure boiler it reads to {limit}.",
            why="It stands at its stop when it matters.",
            do="Have a gauge from 0 to {limit} fitted; depressurize first.",
            confirm="Read where its scale ends.",
        ),
        clear="The gauge reads far enough for a low-pressure boiler.",
    ),
    "heating-gauge-division": Entry(
        finding=Words(
            what="The gauge is divided in steps of {observed}; on a low-pressure boiler {limit} is the coarsest.",
            why="Its controls stand a few psi apart.",
            do="Have a finer gauge fitted; depressurize first.",
            confirm="Read its divisions.",
        ),
        clear="The gauge is divided finely enough for a low-pressure boiler.",
    ),
    "gauge-calibration": Entry(
        finding=Words(
            what="When the settings were read, the gauge had not been calibrated for more than {limit} months.",
            why="Every setting here was read on it.",
            do="Have it calibrated, or read the settings again on a gauge that is.",
            confirm="Enter the day of the calibration and the day of the reading.",
        ),
        clear="The gauge was calibrated within {limit} months before the reading.",
    ),
    "water-leg": Entry(
        finding=_LATE,
        variants=(
            (
                "control-unsure",
                Words(
                    what="Nobody knows how full the sensing line of the {subject} is: {observed} of water may be there "
                    "or not.",
                    why="It may act that much off its dial, and an empty siphon lets steam in.",
                    do="Fill the siphon with the boiler cold and without pressure; evenfire counts the worse end "
                    "until then.",
                    confirm="Prove the point at which it acts against a gauge, and enter the line as full.",
                ),
            ),
            (
                "gauge-above",
                Words(
                    what="The gauge hangs above its tap: it reads {observed} low.",
                    why="The boiler stands higher than you read.",
                    do="Add {observed} to what you read, or have the gauge moved; depressurize first.",
                    confirm="Compare with a reference gauge.",
                ),
            ),
            (
                "gauge-unsure",
                Words(
                    what="Nobody knows how full the line of the gauge is: it may be {observed} off.",
                    why="Every setting here was read on it.",
                    do="Fill its siphon with the boiler cold and without pressure.",
                    confirm="Compare with a reference gauge, and enter the line as full.",
                ),
            ),
        ),
        clear="Water in the line puts the {subject} on the safe side, by {margin}.",
    ),
    "setting-within-scale": Entry(
        finding=Words(
            what="The {subject} is set at {observed}; the good part of its scale ends at {limit}.",
            why="Near its end a spring is least true.",
            do="Prove it against a gauge; choose another scale when it is next changed.",
            confirm="See it act at the gauge where its dial says.",
        ),
        variants=(
            (
                "low",
                Words(
                    what="The {subject} is set at {observed}; the good part of its scale begins at {limit}.",
                    why="Near its end a spring is least true.",
                    do="Prove it against a gauge; choose a lower scale when it is next changed.",
                    confirm="See it act at the gauge where its dial says.",
                ),
            ),
        ),
        clear="The {subject} is set in the middle of its scale.",
    ),
    "sensing-element-rating": Entry(
        finding=Words(
            what="The sensing element of the {subject} is made for {observed}; with the valves blowing the boiler may "
            "reach {limit}.",
            why="An element that was strained once is no longer true.",
            do="Have one with a higher rating fitted; depressurize first.",
            confirm="Read the rating on its plate.",
        ),
        clear="The sensing element of the {subject} stands the blowing valves, {margin} to spare.",
    ),
    "scale-fits-boiler": Entry(
        finding=Words(
            what="The scale of the {subject} ends at {observed}: that is a control for low-pressure boilers.",
            why="Every day's work strains it.",
            do="Have one made for this boiler's pressure fitted; depressurize first.",
            confirm="Read its scale and the rating on its plate.",
        ),
        clear="The {subject} has a scale for high pressure.",
    ),
}
"""By rule code."""
