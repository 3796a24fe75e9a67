"""What stands between the high limit and the first safety valve, and which of it decides how high it may be set."""

from typing import Final

from evenfire.delivery.report.page import Page
from evenfire.delivery.units import Rounding
from evenfire.judgement.case import Case
from evenfire.judgement.outcome import Route, TermName
from evenfire.plant.known import NotKnownError, known
from evenfire.si import Dimension, Quantity

ROOM: Final = (
    "From the high limit to the first lift of a safety valve it is {gap}: run-on from full fire takes {rise} of it, "
    "tolerance {off}, and {left} is left."
)
RUN_ON: Final = "Run-on decides how high it may stand{how}."
TOLERANCE: Final = "Its tolerance decides how high it may stand: prove it closer and it may stand higher."
HOW: Final = {
    Route.MEASURED: ", and it was measured",
    Route.SIMULATED: ", as the simulation shows it: read it at the boiler",
    Route.COMPUTED: ", and it comes from the heat lag (key burner.heat_lag): read it at the boiler",
    Route.ASSUMED: ", and it rests on assumptions: read it at the boiler",
    Route.STATED: "",
}


def high_limit_lines(case: Case, page: Page) -> list[str]:
    """One line; none where something of it is not known."""
    try:
        lift, trip, off, rise = known(
            case.facts.earliest_lift, case.stack.trip, case.facts.off.high_limit, case.stack.full_fire_run_on
        )
    except NotKnownError:
        return []
    left = lift - trip - off - rise
    if left < 0.0:
        return []  # a finding tells it
    told = ROOM.format(
        gap=_shown(lift - trip, page, Rounding.DOWN),
        rise=_shown(rise, page, Rounding.UP),
        off=_shown(off, page, Rounding.UP),
        left=_shown(left, page, Rounding.DOWN),
    )
    route = next((each.route for each in case.terms if each.name is TermName.RUN_ON_AT_FULL_FIRE), Route.STATED)
    return [f"{told} {RUN_ON.format(how=HOW[route]) if rise > off else TOLERANCE}"]


def _shown(pressure: float, page: Page, rounding: Rounding) -> str:
    return page.show(Quantity(pressure, Dimension.PRESSURE_DIFFERENCE), rounding=rounding)
