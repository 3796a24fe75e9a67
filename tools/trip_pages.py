"""The page on trip tests: which gauge leaves how many healthy controls undecided, devices, calendar, assumptions."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from functools import partial

from evenfire.delivery.units import UnitSystem, show
from evenfire.delivery.words import BASES
from evenfire.delivery.words import trip_tests as words
from evenfire.delivery.words.trip_test_saying import say_interval
from evenfire.judgement.trip_test import components, drift, judging, planning, repeatability
from evenfire.judgement.trip_test.devices import RULES, Device, DeviceTest, judge_device
from evenfire.judgement.trip_test.gauge import ReferenceGauge
from evenfire.judgement.trip_test.intervals import CALENDAR, LIFTED_BY_HAND_UP_TO, Wanted
from evenfire.judgement.trip_test.planning import GaugePlan, Planned, plan_of
from evenfire.judgement.trip_test.repeatability import Pool, Repeatability
from evenfire.plant.controls import Filling, Position, WaterLeg
from evenfire.plant.safety_valve import SafetyValve
from evenfire.si import LOW_PRESSURE_LIMIT_PA, M_PER_IN, PA_PER_PSI, DiffPa, Dimension, GaugePa, Quantity

_SHOW = partial(show, system=UnitSystem.US)
_DAY = date(2026, 11, 25)
_LEVEL = WaterLeg(height=0.0, position=Position.BELOW_TAP, filling=Filling.FULL)


@dataclass(frozen=True, slots=True, kw_only=True)
class Setup:
    """One row of the table: what is tested, and on which gauge. All in psi."""

    set_at: float
    band: float
    gauge: str
    error: float
    division: float
    uncertainty: float
    to: float
    scatter: float
    earlier: int
    """Degrees of freedom that earlier tests of the control left behind"""

    @property
    def reference(self) -> ReferenceGauge:
        """The gauge, hung level with its tap."""
        return ReferenceGauge(
            serial=self.gauge,
            highest=GaugePa(self.to * PA_PER_PSI),
            permissible_error=DiffPa(self.error * PA_PER_PSI),
            division=DiffPa(self.division * PA_PER_PSI),
            calibrated_on=_DAY,
            expanded_uncertainty=DiffPa(self.uncertainty * PA_PER_PSI),
            water_leg=_LEVEL,
        )

    @property
    def planned(self) -> Planned:
        """Three repeats at a rise of 4 psi a minute."""
        return Planned(
            set_pressure=GaugePa(self.set_at * PA_PER_PSI),
            band=DiffPa(self.band * PA_PER_PSI),
            on=_DAY,
            repeats=3,
            rate=4.0 / 60.0 * PA_PER_PSI,
            repeatability=Repeatability(
                standard_deviation=self.scatter * PA_PER_PSI,
                degrees_of_freedom=self.earlier,
                pool=Pool.THIS_CONTROL if self.earlier else Pool.TODAY,
            ),
        )

    @property
    def plan(self) -> GaugePlan:
        """What the gauge can do."""
        return plan_of(self.planned, (self.reference,)).gauges[0]


_HIGH = (
    ("coarse: 1 % of 300 psi, 5 psi divisions", 3.0, 5.0, 0.5, 300.0),
    ("middle: 0.5 % of 200 psi, 1 psi divisions", 1.0, 1.0, 0.3, 200.0),
    ("fine: 0.1 % of 300 psi, 0.1 psi divisions", 0.3, 0.1, 0.1, 300.0),
)
_LOW = (
    ("coarse: 2 % of 30 psi, 1 psi divisions", 0.6, 1.0, 0.15, 30.0),
    ("middle: 1 % of 30 psi, 0.5 psi divisions", 0.3, 0.5, 0.1, 30.0),
    ("fine: 0.25 % of 30 psi, 0.05 psi divisions", 0.075, 0.05, 0.03, 30.0),
)
SETUPS: tuple[Setup, ...] = tuple(
    Setup(
        set_at=set_at,
        band=band,
        gauge=name,
        error=error,
        division=division,
        uncertainty=uncertainty,
        to=to,
        scatter=scatter,
        earlier=earlier,
    )
    for set_at, bands, scatter, gauges in ((140.0, (2.0, 4.0), 0.3, _HIGH), (12.0, (0.5, 1.0), 0.05, _LOW))
    for band in bands
    for earlier in (0, 8)
    for name, error, division, uncertainty, to in gauges
)
"""Every row of the table; tests play each with dice."""


_WRITTEN = "<!-- Written by `make docs`; change the code, not this page. -->"
_ABOUT = (
    "Three repeats, the gauge level with its tap, pressure rising 4 psi a minute. A healthy control acts anywhere in "
    "its band, every place as likely. Repeatability is 0.3 psi at 140 psi and 0.05 psi at 12 psi, one standard "
    "deviation. Those that are neither passed nor undecided are called high or low: they stand at an end of "
    "their band. A test plays every row with dice."
)
_STRICTEST = (
    "The strictest of code, jurisdiction, insurer, maker, owner and drift counts. Where two sources disagree (older, "
    "newer) both stand here, and one can be chosen."
)


def trip_test_page() -> str:
    """Which gauge decides what, what counts as a pass of each device, what comes due when, what is assumed."""
    parts = (
        "# Trip tests",
        _WRITTEN,
        "How a trip test decides stands in [decision 16](../decisions/0016-how-a-trip-test-decides.md).",
        "## Which gauge leaves how many healthy controls undecided",
        _ABOUT,
        "\n".join(_shares()),
        "## What counts as a pass of the other safety devices",
        "\n".join(_devices()),
        "## What comes due when",
        _STRICTEST,
        "\n".join(_calendar()),
        "## What is assumed",
        "\n".join(_assumed()),
    )
    return "\n\n".join(parts) + "\n"


def _shares() -> Iterator[str]:
    yield "| set | band | gauge | tests before | doubt at 95 % | can decide | undecided |"
    yield "|---|---|---|---|---|---|---|"
    for setup in SETUPS:
        plan = setup.plan
        if plan.budget is None or plan.share_undecided is None:
            raise TypeError("every row must have been planned")
        doubt = _SHOW(Quantity(plan.budget.expanded_uncertainty, Dimension.PRESSURE_DIFFERENCE))
        yield (
            f"| {setup.set_at:g} psi | +-{setup.band:g} psi | {setup.gauge} | {'four' if setup.earlier else 'none'} | "
            f"{doubt} | {words.SUITS[plan.suits]} | {100.0 * plan.share_undecided:.0f} % |"
        )


def _devices() -> Iterator[str]:
    yield "| device | passes when | basis | source |"
    yield "|---|---|---|---|"
    valve = SafetyValve(name="", set_pressure=GaugePa(150 * PA_PER_PSI))
    for device in Device:
        result = judge_device(
            DeviceTest(device=device, works=True, took=1.0, at=GaugePa(150 * PA_PER_PSI), valve=valve)
        )
        limits = {
            "lowest": "" if result.lowest is None else _SHOW(result.lowest),
            "highest": "" if result.highest is None else _SHOW(result.highest),
        }
        name, passes = words.DEVICES[device]
        of = " (a valve set at 150 psi)" if result.lowest is not None else ""
        rule = RULES[device]
        sources = ", ".join(each.source.key for each in rule.citations) or "no source"
        yield f"| {name} | {passes.format(**limits)}{of} | {BASES[rule.basis]} | {sources} |"


def _calendar() -> Iterator[str]:
    yield "| what | for | how often | basis | source |"
    yield "|---|---|---|---|---|"
    for row in CALENDAR:
        if row.basis is None or row.citation is None:
            raise TypeError("every row of the calendar has its source")
        edition = f" ({row.edition})" if row.edition else ""
        yield (
            f"| {words.ITEMS[row.item]} | {_for(row)} | {say_interval(row.every)} | {BASES[row.basis]} | "
            f"{row.citation.source.key}{edition} |"
        )


def _for(row: Wanted) -> str:
    if row.up_to == LOW_PRESSURE_LIMIT_PA:
        return "up to 15 psi"
    if row.up_to == LIFTED_BY_HAND_UP_TO:
        return "above 15 and up to 400 psi"
    return "every boiler" if row.above is None else "above 15 psi"


def _assumed() -> Iterator[str]:
    yield f"- `ASSUMED_READING_DELAY`: {components.ASSUMED_READING_DELAY:g} s either way, times the rise of pressure."
    yield f"- `ASSUMED_DOUBT_OF_HEIGHT`: {components.ASSUMED_DOUBT_OF_HEIGHT / M_PER_IN:g} in of water leg either way."
    yield f"- `ASSUMED_DOUBT_OF_WATER`: {100 * components.ASSUMED_DOUBT_OF_WATER:g} % of its weight."
    yield (
        f"- `ASSUMED_REPEATABILITY`, `ASSUMED_LEAST_REPEATABILITY`: {100 * planning.ASSUMED_REPEATABILITY:g} % of the "
        f"set pressure, at least {planning.ASSUMED_LEAST_REPEATABILITY / PA_PER_PSI:g} psi. For planning alone; no "
        "verdict rests on it."
    )
    yield f"- `ASSUMED_SLOW_STOP`: a burner that takes more than {judging.ASSUMED_SLOW_STOP:g} s to go out is told."
    yield (
        f"- `ASSUMED_ENOUGH_DEGREES_OF_FREEDOM`: from {repeatability.ASSUMED_ENOUGH_DEGREES_OF_FREEDOM} on a control "
        "speaks for itself, and its kind is not asked."
    )
    yield (
        f"- `ASSUMED_FIRM_DEGREES_OF_FREEDOM`: from {drift.ASSUMED_FIRM_DEGREES_OF_FREEDOM} on the interval of a "
        "drift, and not its line alone, sets the next test."
    )
