"""Where a trip test is broken off: there a person stops the burner by hand, and the control has failed."""

from dataclasses import dataclass
from enum import Enum

from evenfire.judgement.behaviour import Estimate
from evenfire.judgement.case import Case
from evenfire.judgement.trip_test.gauge import ReferenceGauge
from evenfire.plant.known import Missing
from evenfire.si import DiffPa, GaugePa


class Bound(Enum):
    """What keeps the abort pressure from being higher."""

    BAND = "set pressure and band"
    EARLIEST_LIFT = "earliest lift of a safety valve"


@dataclass(frozen=True, slots=True, kw_only=True)
class Abort:
    """Where the burner is stopped by hand."""

    at_boiler: GaugePa
    """[Pa gauge]"""
    on_gauge: GaugePa
    """What the reference gauge shows then, rounded down to what can be read on it [Pa gauge]"""
    bound: Bound
    earliest_lift: GaugePa
    """[Pa gauge]"""
    run_on: Estimate
    """After a stop from low fire [Pa]"""
    allowance: DiffPa
    """For the doubt of the gauge, at 95 % [Pa]"""
    passes_downstream_rating: bool | None
    """Whether the run-on from there passes the lowest rating downstream, which has to be shut off then"""


@dataclass(frozen=True, slots=True, kw_only=True)
class MustNotBeMade:
    """A safety valve could lift before the control has to act: no true rise, not with this gauge and this setting."""

    set_pressure: GaugePa
    """[Pa gauge]"""
    highest_abort: GaugePa
    """What the earliest lift leaves [Pa gauge]"""
    earliest_lift: GaugePa
    """[Pa gauge]"""
    run_on: Estimate
    """[Pa]"""
    allowance: DiffPa
    """[Pa]"""

    @property
    def short_by(self) -> DiffPa:
        """How far the setting stands too high for a test [Pa]."""
        return DiffPa(self.set_pressure - self.highest_abort)


AbortAnswer = Abort | MustNotBeMade | Missing


def abort_of(case: Case, set_pressure: GaugePa, band: DiffPa, gauge: ReferenceGauge) -> AbortAnswer:
    """Where a true rise is broken off [Pa gauge]: the lowest of set and band, and earliest lift less what follows."""
    raise NotImplementedError
