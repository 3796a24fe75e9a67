"""Where the time, the fuel, the steam and the heat of a run went."""

from collections.abc import Iterator
from typing import Final

from evenfire.delivery.answers import BoilerRun, Ran
from evenfire.delivery.report.page import Page
from evenfire.delivery.report.run_facts import RunFacts
from evenfire.delivery.report.told_line import Line, Weight
from evenfire.delivery.words.clock import lasting
from evenfire.physics.motion.run import Run
from evenfire.plant.burner import Firing
from evenfire.si import Dimension, Quantity

CLOSES: Final = 1e-6
"""What the balances of a sound run may lack at most [1]."""
LEAST_TOLD: Final = 0.0005
"""A smaller share of the time is left out [1]."""


def fuel_burnt(answer: BoilerRun, ran: Ran) -> tuple[float, float | None] | None:
    """Gross heat of the fuel [J] and its cost [currency]; the efficiency is that at full fire all the time."""
    if answer.burner is None or answer.burner.efficiency is None:
        return None
    fuel = ran.run.crossed.heat / answer.burner.efficiency.value
    price = answer.case.site.fuel_price
    return fuel, None if price is None else fuel * price.amount


def account(answer: BoilerRun, ran: Ran, facts: RunFacts, page: Page) -> Iterator[Line]:
    """Time in each state, fuel, steam, what was lost, and whether the balances close."""
    yield Line("time", _time(answer, ran.run, facts))
    yield Line("fuel", _fuel(answer, ran, page))
    yield Line("steam", _steam(ran.run, page))
    yield Line("lost", _lost(ran.run, page))
    yield _closure(ran.run)


def _time(answer: BoilerRun, run: Run, facts: RunFacts) -> str:
    on_off = answer.burner is not None and answer.burner.firing is Firing.ON_OFF
    parts = []
    for state, seconds in facts.states:
        if seconds > LEAST_TOLD * run.duration:
            name = "firing" if on_off and state == "full fire" else state
            parts.append(f"{name} {lasting(seconds)} ({100 * seconds / run.duration:.0f} %)")
    return f"{', '.join(parts)}."[:1].upper() + f"{', '.join(parts)}."[1:]


def _fuel(answer: BoilerRun, ran: Ran, page: Page) -> str:
    burnt = fuel_burnt(answer, ran)
    if burnt is None:
        return "Not told: the efficiency of the burner is not known (key burner.efficiency)."
    heat, cost = burnt
    name = "" if answer.burner is None else f" of {answer.burner.fuel.value}"
    price = answer.case.site.fuel_price
    paid = "" if cost is None or price is None else f", {cost:,.2f} {price.currency}"
    return f"{page.show(Quantity(heat, Dimension.ENERGY))}{name}{paid}, at its full-fire efficiency throughout."


def _steam(run: Run, page: Page) -> str:
    drawn = page.show(Quantity(run.crossed.steam, Dimension.MASS))
    mean = page.show(Quantity(run.crossed.steam / max(run.duration, 1e-9), Dimension.MASS_FLOW))
    return f"{drawn} drawn, {mean} on average."


def _lost(run: Run, page: Page) -> str:
    shell, purge = (Quantity(each, Dimension.ENERGY) for each in (run.crossed.lost, run.crossed.purged))
    heat = run.crossed.heat
    share = "" if heat <= 0 else f": {100 * (shell.value + purge.value) / heat:.1f} % of the heat that the water got"
    return f"{page.show(shell)} from the shell and {page.show(purge)} with purge air{share}."


def _closure(run: Run) -> Line:
    worst = max(abs(run.closure.mass), abs(run.closure.energy))
    if worst <= CLOSES:
        return Line("balance", "Mass and energy of the run close to a millionth.")
    return Line(
        "balance",
        f"The mass and energy of this run close only to {100 * worst:.2g} %, not to a millionth as they should: rely "
        "on none of its numbers, and please report it.",
        Weight.DANGER,
    )
