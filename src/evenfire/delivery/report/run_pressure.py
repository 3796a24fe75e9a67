"""How high the pressure came and what held it; how low it fell and whether the need was kept."""

from evenfire.delivery.answers import BoilerRun, Ran
from evenfire.delivery.report.page import Page
from evenfire.delivery.report.run_facts import NeedKept, RunFacts
from evenfire.delivery.report.told_line import Line, Weight
from evenfire.delivery.units import Rounding
from evenfire.delivery.words.clock import DAY, clock, lasting
from evenfire.delivery.words.running import HELD
from evenfire.judgement.motion.holding import Held
from evenfire.plant.known import Missing
from evenfire.si import ROUNDING_PA, Dimension, Quantity

_WEIGHTS = {Held.NOTHING: Weight.DANGER, Held.SAFETY_VALVES: Weight.DANGER, Held.HIGH_LIMIT: Weight.TROUBLE}


def highest_line(answer: BoilerRun, ran: Ran, facts: RunFacts, page: Page) -> Line:
    """What held the pressure, how high it came, and how much room was left to what would have come next."""
    holding, days = ran.holding, ran.plan.duration > DAY
    label = "STOP" if holding.held is Held.NOTHING else "held"
    high = page.show(Quantity(holding.highest.pressure, Dimension.GAUGE_PRESSURE), rounding=Rounding.UP)
    text = f"{HELD[holding.held]} Highest: {high} at {clock(holding.highest.time, days=days)}"
    text += f"; {_room(answer, ran, page)}."
    if facts.above_mawp > 0:
        mawp = page.show(Quantity(answer.case.boiler.mawp, Dimension.GAUGE_PRESSURE))
        text += f" It stood above the MAWP of {mawp} for {lasting(facts.above_mawp)}."
    return Line(label, text, _WEIGHTS.get(holding.held, Weight.PLAIN))


def _room(answer: BoilerRun, ran: Ran, page: Page) -> str:
    """How far it was to the high limit, to the first safety valve, or to what valves may let the boiler reach."""
    holding, stack, facts = ran.holding, answer.case.stack, answer.case.facts
    if holding.held in {Held.NOTHING, Held.SAFETY_VALVES}:
        allowed = page.show(Quantity(holding.allowed, Dimension.GAUGE_PRESSURE), rounding=Rounding.DOWN)
        return f"{_apart(holding.margin, page)} the {allowed} that safety valves may let it reach"
    parts = []
    trip = stack.trip
    if holding.held is not Held.HIGH_LIMIT and not isinstance(trip, Missing):
        parts.append(f"{_apart(trip - holding.highest.pressure, page)} the high limit")
    if not isinstance(facts.valve_set, Missing):
        parts.append(f"{_apart(facts.valve_set - holding.highest.pressure, page)} the lowest safety valve")
    return " and ".join(parts) or f"{_apart(answer.case.boiler.mawp - holding.highest.pressure, page)} the MAWP"


def _apart(room: float, page: Page) -> str:
    if abs(room) <= ROUNDING_PA:
        return "just at"
    rounding = Rounding.DOWN if room > 0 else Rounding.UP
    shown = page.show(Quantity(abs(room), Dimension.PRESSURE_DIFFERENCE), rounding=rounding)
    return f"{shown} {'below' if room > 0 else 'ABOVE'}"


def lowest_line(answer: BoilerRun, ran: Ran, facts: RunFacts, page: Page) -> Line:
    """How low the pressure fell, and whether the need was kept."""
    days = ran.plan.duration > DAY
    if facts.need is None:
        lowest = ran.run.lowest
        low = page.show(Quantity(lowest.pressure, Dimension.GAUGE_PRESSURE), rounding=Rounding.DOWN)
        return Line(
            "lowest",
            f"{low} at {clock(lowest.time, days=days)}. Whether that is enough is not judged: nobody stated the need "
            "(key load.need).",
        )
    return _against_need(answer, ran, facts.need, page, days=days)


def _against_need(answer: BoilerRun, ran: Ran, kept: NeedKept, page: Page, *, days: bool) -> Line:
    need = page.show(Quantity(kept.need, Dimension.GAUGE_PRESSURE), rounding=Rounding.UP)
    raised = answer.case.load.need is not None and kept.need > answer.case.load.need + ROUNDING_PA
    needed = f"need of {need}{' at the boiler' if raised else ''}"
    low = page.show(Quantity(kept.lowest.pressure, Dimension.GAUGE_PRESSURE), rounding=Rounding.DOWN)
    at = clock(kept.lowest.time, days=days)
    if kept.reached is None:
        high = page.show(Quantity(ran.run.highest.pressure, Dimension.GAUGE_PRESSURE), rounding=Rounding.DOWN)
        return Line("lowest", f"It never came up to the {needed}: at most {high}.", Weight.TROUBLE)
    came = f"It came up to the {needed} at {clock(kept.reached, days=days)}. " if kept.reached > 0 else ""
    since = "From then on the lowest was " if came else ""
    if kept.below <= 0:
        return Line("lowest", f"{came}{since}{low} at {at}: the {'need' if came else needed} held all the time.")
    text = (
        f"{came}{since}{low} at {at}. It was below the {'need' if came else needed} for {lasting(kept.below)} in all, "
        f"{lasting(kept.longest)} at one stretch"
    )
    allowed = answer.case.load.may_dip_to is not None or answer.case.load.may_dip_for is not None
    if not kept.deeper_than_allowed:
        return Line("lowest", f"{text}, which the plant allows.")
    return Line("lowest", f"{text}{', more than the plant allows' if allowed else ''}.", Weight.TROUBLE)
