"""Wording of how likely a boiler leaves its order in a year: what happens, what to do, what the answer rests on."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from evenfire.judgement.tolerance.questions import Question
from evenfire.judgement.tolerance.weighing import Weight


@dataclass(frozen=True, slots=True, kw_only=True)
class QuestionWords:
    """One thing that may happen in a year."""

    title: str
    happens: str
    """A whole sentence"""
    do: str
    """Where it is likely; ``{file}`` is the plant file"""


WEIGHTS: Final[Mapping[Weight, str]] = {
    Weight.LIKELY: "LIKELY",
    Weight.UNSURE: "unsure",
    Weight.RARE: "rare",
    Weight.UNSEEN: "unseen",
}
"""For the margin of a page."""

QUESTIONS: Final[Mapping[Question, QuestionWords]] = {
    Question.NUISANCE_TRIP: QuestionWords(
        title="Nuisance trip",
        happens="In normal work, cut-out and the run-on above it reach the high limit: the burner stays off until a "
        "hand resets it.",
        do="Prove the operating limit and the high limit against a reference gauge, and widen the gap between them: "
        "evenfire settle {file} weighs all the dials together.",
    ),
    Question.STOP_BEFORE_LOW_FIRE: QuestionWords(
        title="Stop before low fire",
        happens="When the load falls by the design drop, the operating limit stops the burner before it is down at low "
        "fire.",
        do="Raise cut-out or lower the firing band, then prove both against a reference gauge: evenfire settle {file} "
        "weighs all the dials together.",
    ),
    Question.INVERTED_ORDER: QuestionWords(
        title="Order inverted",
        happens="The operating limit acts above the high limit, which then does the daily work with nothing behind it "
        "but the safety valves.",
        do="Prove the operating limit and the high limit against a reference gauge, and set cut-out further below the "
        "trip: evenfire settle {file} weighs all the dials together.",
    ),
    Question.LIFT_IN_NORMAL_WORK: QuestionWords(
        title="Valve lifts in normal work",
        happens="Whichever limit stops the burner first, the run-on above it reaches a safety valve.",
        do="Do not leave it like this: lower cut-out, and the high limit where it stands too high as well. evenfire "
        "settle {file} weighs all the dials together.",
    ),
    Question.LIFT_AFTER_HIGH_LIMIT: QuestionWords(
        title="High limit too late",
        happens="Should the high limit ever have to stop full fire with the load gone, the run-on above its trip "
        "reaches a safety valve.",
        do="Lower the high limit, and cut-out under it: evenfire settle {file}. How far hangs on the run-on: evenfire "
        "measure {file}.",
    ),
}

ABOUT: Final = (
    "Told is the share of boilers set just like this in which it happens, on the day they are set or after a year of "
    "drift, with bounds that are {confidence} sure. Only dials, drift and safety valves are drawn; the motion of the "
    "boiler is taken as {route}, and how far the survey behind it may be off is told by evenfire measure {file}."
)
SEEN: Final = "{chance} of boilers ({one_in}{lowest} to {highest})."
ALWAYS: Final = "every one of {draws} draws (above {lowest} of boilers)."
NONE_SEEN: Final = "none seen in {draws} draws: below {highest} of boilers{one_in}."
NONE_REACHED: Final = (
    "none seen in {draws} draws, but of {near} near the limit only {rerun} were run: below {highest} of "
    "boilers{one_in}."
)
BY_CLOSED_FORM: Final = "closed forms alone, on {draws} draws; {near} lie near the limit, and none could be run."
BY_ARITHMETIC: Final = "arithmetic alone: of {draws} draws none lies near the limit."
BY_BOTH: Final = (
    "arithmetic in {clear} of {draws} draws; the other {near} lie near the limit, and {rerun} of those were run in "
    "motion (it happened in {seen})."
)
FAILED: Final = " {failed} of the runs broke off and count as happening."
OUTGROWN: Final = (
    " CAUTION: in {outgrown} of the runs motion was further from arithmetic (up to {apart}) than the band that is run; "
    "the share of those beyond the band may be off."
)
MORE_DRAWS: Final = "Too few draws to call it unlikely: ask for more (--draws)."
MORE_RERUNS: Final = "Too few runs near the limit to call it unlikely: ask for more (--reruns)."

STOPPED: Final = "STOPPED after {done} of {draws} draws{reruns}: right for those, and wider than it would have been."
STOPPED_IN_RERUNS: Final = " and {done} of {reruns} runs near a limit"
NOT_BEGUN: Final = "STOPPED before anything was counted of boiler {names}."
NOT_COUNTED: Final = "Not judged, because the survey does not tell what it takes"
NOT_SIMULATED: Final = "This boiler was not simulated, so closed forms decide alone. To simulate it, survey: {keys}."
DRAWN: Final = "Drawn, each on its own"
DRAWN_CONTROL: Final = (
    "{control}: set within {set_error} either way, every place there as likely; drifts {drift} in a year (one standard "
    "deviation, {share} of its scale)."
)
DRAWN_VALVES: Final = (
    "{count} safety valve{s}: lift{verb} between {lowest} and {highest}, every pressure there as likely."
)
UNKNOWN_CONTROL: Final = "{control}: not drawn. Missing: {keys}."
ASSUMED: Final = "No survey and no publication gave: {names}."
ENDINGS: Final[Mapping[int, str]] = {
    0: "No lift of a safety valve is likely in a year, with dials and valves as far off as is said above.",
    1: "STOP: a safety valve is likely to lift where a limit should have stopped the burner. Do not leave it like "
    "this.",
    4: "Not everything could be counted, or not well enough: that is not an all-clear.",
}
"""By the exit code."""
NEXT: Final = "Next: evenfire settle {file}"
MADE_FROM: Final = "Seed {seed}, {draws} draws of each boiler, at most {reruns} runs near a limit for each question."
