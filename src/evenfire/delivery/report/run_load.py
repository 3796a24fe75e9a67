"""The load of a run in one sentence."""

from typing import assert_never

from evenfire.delivery.answers import LoadFrom, RunLoad
from evenfire.delivery.report.page import Page
from evenfire.delivery.words.clock import lasting
from evenfire.delivery.words.running import WORST_LOAD
from evenfire.plant.load import Batches, Constant, Daily, Steps
from evenfire.si import Dimension, Quantity

MOST_STEPS_TOLD = 4


def load_sentence(load: RunLoad, page: Page) -> str:
    """What is drawn, and who said so."""
    drawn = _drawn(load, page)
    match load.stated_by:
        case LoadFrom.NOBODY:
            return f"{WORST_LOAD}: {drawn}."
        case LoadFrom.PLANT:
            return f"Load as the plant file states it: {drawn}."
        case LoadFrom.SHUT:
            return "The stop valve is shut: nobody draws steam while it warms (--load says otherwise)."
        case LoadFrom.ASKED:
            return f"Load as asked for: {drawn}."
    assert_never(load.stated_by)


def _drawn(load: RunLoad, page: Page) -> str:
    match load.demand:
        case Constant(steam=steam):
            return f"a steady {_flow(load, steam, page)}"
        case Daily(hours=hours):
            low, high = min(hours), max(hours)
            return (
                f"hour by hour, from {_flow(load, low, page)} at {hours.index(low):02d}:00 to "
                f"{_flow(load, high, page)} at {hours.index(high):02d}:00"
            )
        case Steps(steps=steps):
            return _steps(load, steps, page)
        case Batches(base=base, batch=batch, duration=duration, per_hour=per_hour):
            times = f"{3600 * per_hour:.3g} times an hour"
            return (
                f"{_flow(load, base, page)}, and {_flow(load, batch, page)} more for {lasting(duration)}, {times} from "
                "00:00 on"
            )
    assert_never(load.demand)


def _steps(load: RunLoad, steps: tuple[tuple[float, float], ...], page: Page) -> str:
    """A few steps one by one, many by their ends."""
    whole = sum(duration for duration, _ in steps)
    where = f" recorded in {load.file}" if load.file is not None else ""
    if len(steps) <= MOST_STEPS_TOLD:
        one_by_one = ", then ".join(f"{_flow(load, steam, page)} for {lasting(duration)}" for duration, steam in steps)
        return f"{one_by_one}{where}, and so on"
    flows = [steam for _, steam in steps]
    mean = sum(duration * steam for duration, steam in steps) / whole
    return (
        f"{len(steps):,} steps{where}, {lasting(whole)} in all and then again, from {_flow(load, min(flows), page)} to "
        f"{_flow(load, max(flows), page)}, {_flow(load, mean, page)} on average"
    )


def _flow(load: RunLoad, steam: float, page: Page) -> str:
    flow = page.show(Quantity(steam, Dimension.MASS_FLOW))
    share = page.show(Quantity(round(steam / load.output_steam, 3), Dimension.FRACTION))
    return f"{flow} ({share} of the output)"
