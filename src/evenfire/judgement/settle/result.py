"""What settle answers."""

from dataclasses import dataclass

from evenfire.judgement.case import Case
from evenfire.judgement.outcome import Outcome
from evenfire.judgement.standing import Standing
from evenfire.plant.settings import Settings


@dataclass(frozen=True, slots=True, kw_only=True)
class Room:
    """One demand at one set of settings."""

    code: str
    room: float
    """[Pa], negative where the demand is not met"""
    unit: float
    """The tolerances in which the room is weighed [Pa]"""
    met: bool

    @property
    def weight(self) -> float:
        """Room in units of its own tolerance [1]."""
        return self.room / self.unit


@dataclass(frozen=True, slots=True, kw_only=True)
class NotWeighed:
    """One demand that could not be judged, and what is missing."""

    code: str
    missing: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Chosen:
    """One set of settings with all that is known of it."""

    settings: Settings
    case: Case
    rooms: tuple[Room, ...]
    not_weighed: tuple[NotWeighed, ...]
    standing: Standing
    outcomes: tuple[Outcome, ...]
    """The whole rule book on these settings"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Fits:
    """Settings that meet every demand that could be judged."""

    boiler: str
    chosen: Chosen
    combinations: float
    """How many combinations of dial positions were covered [1]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class NothingFits:
    """No combination of dial positions meets every demand; the nearest breaks the fewest tolerances."""

    boiler: str
    nearest: Chosen | None
    """Keeps every demand that is never relaxed; ``None`` when not even those can be kept"""
    failing: tuple[Room, ...]
    """The demands that fail most narrowly, worst first"""
    combinations: float
    """[1]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class CannotSettle:
    """A demand that is never relaxed, or a dial, could not be judged: nothing is proposed."""

    boiler: str
    missing: tuple[str, ...]


Settlement = Fits | NothingFits | CannotSettle
