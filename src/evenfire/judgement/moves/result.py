"""The answer: dials in the order in which they are turned, or why no order is safe while the burner fires."""

from dataclasses import dataclass
from enum import Enum

from evenfire.judgement.outcome import Finding
from evenfire.plant.controls import Role
from evenfire.si import DiffPa, GaugePa

CUT_OUT_ABOVE_BOTH_ENDS = "cut-out-above-both-ends"
"""Code of the one demand that only moves make: on the way the cut-out stands no higher than at its higher end."""


@dataclass(frozen=True, slots=True)
class Dial:
    """One scale of one control."""

    role: Role
    turn: str
    """``"main"`` or ``"differential"``"""


class Direction(Enum):
    """Which way a dial is turned."""

    UP = "up"
    DOWN = "down"
    UNKNOWN = "unknown"
    """Nobody read it as found"""


class BurnerState(Enum):
    """What the burner may do."""

    MAY_FIRE = "may fire"
    """As far as these dials go"""
    LOW_FIRE_BY_HAND = "low fire by hand"
    OFF_FOR_THE_TURN = "off for the turn"
    """Switched off while the dial is turned, and on again"""
    LOCKED_OUT = "off and locked out"


class Point(Enum):
    """Where a control acts, seen from the boiler."""

    TRIP = "trip"
    CUT_OUT = "cut_out"
    CUT_IN = "cut_in"
    HIGH_FIRE = "high_fire"
    LOW_FIRE = "low_fire"
    HOLD = "hold"


@dataclass(frozen=True, slots=True, kw_only=True)
class PointMove:
    """What one turn does to one acting point; ``None`` where it is not known."""

    point: Point
    before: GaugePa | None
    """[Pa gauge]"""
    after: GaugePa | None
    """[Pa gauge]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Swept:
    """The pressures that an acting point may pass while its dial is turned, tolerance included."""

    lowest: GaugePa
    """[Pa gauge]"""
    highest: GaugePa
    """[Pa gauge]"""


class ReasonKind(Enum):
    """Why a move stands where it stands."""

    CURES = "cures"
    """A demand never relaxed that was broken before it is kept after it"""
    CURES_ONCE_PROVED = "cures once proved"
    """The same, when the control will have had its proof"""
    BEFORE = "before"
    """The other dial must wait for this one"""
    AFTER = "after"
    """This dial had to wait for the other one"""
    MENDS = "mends"
    """What an earlier move made worse than at both ends is right again after it"""
    LESS_SPOILT = "less spoilt"
    """By habit the other dial would come first, and more would be out of order on the way"""
    LIMITS_FIRST = "limits first"
    """What was not read is set from the top down"""
    TOP_DOWN = "top down"
    """Raising, any safe order: by habit from the top down"""
    BOTTOM_UP = "bottom up"
    """Lowering, any safe order: by habit from the bottom up"""
    ALONE = "alone"
    """Nothing else is turned"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Reason:
    """Why a move stands where it stands, and which demands say so."""

    kind: ReasonKind
    codes: tuple[str, ...] = ()
    other: Dial | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Move:
    """One dial turned once, straight from where it stands to where it shall stand."""

    dial: Dial
    direction: Direction
    from_: float | None
    """[Pa gauge] of a main scale, [Pa] of a differential"""
    to: float
    """[Pa gauge] of a main scale, [Pa] of a differential"""
    to_be_proved: bool
    """The dial is only a start: the control is set exactly when it is proved"""
    points: tuple[PointMove, ...]
    """Every acting point that this turn moves: a main scale carries both ends of its differential"""
    swept: Swept | None
    """Where the gauge must not stand while the dial is turned and the burner fires; ``None`` when not known"""
    burner: BurnerState
    """While the dial is turned"""
    burner_after: BurnerState
    """From then to the next move"""
    stop_by_hand: GaugePa | None
    """An operating limit has stopped the burner by here, or a hand does [Pa gauge]"""
    reason: Reason


class ClosingStep(Enum):
    """What follows the last dial."""

    PROVE_HIGH_LIMIT = "prove high limit"
    PUT_OPERATING_LIMIT_BACK = "put operating limit back"
    PROVE_OPERATING_LIMIT = "prove operating limit"
    PROVE_CONTROL = "prove control"
    SEE_THREE_CYCLES = "see three cycles"
    SWITCHES_TO_AUTOMATIC = "switches to automatic"
    CLOSE_TEMPORARY_CHANGES = "close temporary changes"


@dataclass(frozen=True, slots=True, kw_only=True)
class Closing:
    """One step after the last dial."""

    step: ClosingStep
    role: Role | None = None
    acts_at: GaugePa | None = None
    """Upper acting point at the boiler [Pa gauge]"""
    returns_at: GaugePa | None = None
    """Lower acting point at the boiler [Pa gauge]"""
    within: DiffPa | None = None
    """How far from there it may act [Pa]"""
    stop_by_hand: GaugePa | None = None
    """Not acted here is stopped by hand, and has failed [Pa gauge]"""
    at_low_fire: bool = False
    """Whether the burner has a low fire to prove it at"""
    sets_it: bool = False
    """The control is set until it acts there; otherwise it is only seen to act within its tolerance"""


class Why(Enum):
    """Why the burner is off and locked out before the first dial is turned."""

    STOP_AS_FOUND = "stop as found"
    """A demand on the dials that is never relaxed is broken as found; the first moves cure it"""
    STOP_BESIDE_THE_DIALS = "stop beside the dials"
    """The boiler has a stop finding that no dial makes"""
    NO_SAFE_ORDER = "no safe order"
    """In every order some demand never relaxed is broken on the way"""
    UNPROVED_ON_THE_WAY = "unproved on the way"
    """It is kept only by controls that are proved, and they are not until the last dial stands"""
    NOT_JUDGED = "not judged"
    """A demand never relaxed could not be judged on the way"""
    READING_MISSING = "reading missing"
    """A dial that is to be turned was not read as found"""
    GOAL_BREAKS = "goal breaks"
    """The settings aimed at break a demand never relaxed, so there are no moves"""
    GOAL_NOT_JUDGED = "goal not judged"
    """The settings aimed at could not be judged, so there are no moves"""


NO_ORDER = frozenset(Why) - {Why.STOP_AS_FOUND, Why.STOP_BESIDE_THE_DIALS}


@dataclass(frozen=True, slots=True, kw_only=True)
class Obstacle:
    """One reason to lock the burner out first."""

    why: Why
    codes: tuple[str, ...] = ()
    """Of the demands or rules that say so"""
    missing: tuple[str, ...] = ()
    """Plant-file keys that would change it"""
    findings: tuple[Finding, ...] = ()
    """Of the rule book, where no demand on the dials says so"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Moves:
    """The way from one set of settings to another."""

    steps: tuple[Move, ...]
    closing: tuple[Closing, ...]
    obstacles: tuple[Obstacle, ...]
    """Empty when the burner need not be locked out first"""
    unknown: tuple[Dial, ...]
    """Dials to be turned that nobody read as found"""
    look_first: tuple[str, ...]
    """Plant-file keys without which a stop rule beside the dials could not be judged"""
    has_low_fire: bool
    """Whether every burner can be held at low fire"""
    mercury: bool
    """Whether some control may hold mercury: it does, or nobody knows"""

    @property
    def order_exists(self) -> bool:
        """Whether every demand never relaxed stays kept, or gets no worse, after every single move of this order."""
        return not self.why_not

    @property
    def why_not(self) -> tuple[Obstacle, ...]:
        """What stands against every order; empty when there is a safe one."""
        return tuple(each for each in self.obstacles if each.why in NO_ORDER)

    @property
    def is_locked_out_first(self) -> bool:
        """Whether the first thing to do is to lock the burner out."""
        return bool(self.obstacles)
