"""What the acts answer: whole, frozen, complete at birth. Reports read them; they never draw or print themselves."""

from dataclasses import dataclass
from enum import Enum
from typing import TYPE_CHECKING

from evenfire.delivery.intake.plant_file import PlantFile
from evenfire.judgement.case import Case
from evenfire.judgement.moves.result import Moves
from evenfire.judgement.outcome import Finding, NotJudged, Outcome, Severity
from evenfire.judgement.settle.result import CannotSettle, Fits, NothingFits, Settlement
from evenfire.judgement.standing import Standing
from evenfire.plant.burner import Burner
from evenfire.plant.load import Batches, Constant, Daily, Steps
from evenfire.si import GaugePa

if TYPE_CHECKING:
    # A run loads arrays and a compiler; a check starts without them, and they are only named here.
    from evenfire.delivery.records.verification import Judged, Verification
    from evenfire.errors import Diverged
    from evenfire.judgement.motion.holding import Holding
    from evenfire.judgement.motion.loading import FaultAt
    from evenfire.judgement.proofs.learning import Learned
    from evenfire.judgement.proofs.result import Proved
    from evenfire.judgement.tolerance.result import Likelihoods
    from evenfire.judgement.tolerance.sensitivity import Sensitivity
    from evenfire.physics.motion.run import Run


class Ending(Enum):
    """How a judgement ends, as the exit codes of the command line."""

    CLEAR = 0
    STOP_FINDING = 1
    BAD_INPUT = 2
    NOTHING_FITS = 3
    STOP_NOT_JUDGED = 4
    DOES_NOT_VERIFY = 5


@dataclass(frozen=True, slots=True, kw_only=True)
class Identity:
    """What a result was made from and by."""

    plant_revision: str
    engine_version: str
    rule_book_version: str


@dataclass(frozen=True, slots=True, kw_only=True)
class BoilerCheck:
    """The judgement of one boiler."""

    case: Case
    outcomes: tuple[Outcome, ...]
    standing: Standing
    is_stale: bool
    """A proposal made for another survey than this one is judged"""
    beside_stale: bool
    """The file also holds a proposal made for another survey"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Check:
    """The judgement of a plant file."""

    plant_file: PlantFile
    boilers: tuple[BoilerCheck, ...]
    identity: Identity

    @property
    def ending(self) -> Ending:
        """A stop finding outweighs a stop rule that could not be judged; examples left in the file judge nothing."""
        ending = ending_of(tuple(outcome for boiler in self.boilers for outcome in boiler.outcomes))
        return Ending.STOP_NOT_JUDGED if ending is Ending.CLEAR and self.plant_file.unfilled else ending


def ending_of(outcomes: tuple[Outcome, ...]) -> Ending:
    """How these outcomes end."""
    stops = [outcome for outcome in outcomes if outcome.severity is Severity.STOP]
    if any(isinstance(outcome, Finding) for outcome in stops):
        return Ending.STOP_FINDING
    if any(isinstance(outcome, NotJudged) for outcome in stops):
        return Ending.STOP_NOT_JUDGED
    return Ending.CLEAR


@dataclass(frozen=True, slots=True, kw_only=True)
class BoilerSettle:
    """The answer for one boiler, beside the judgement of what was read there."""

    now: BoilerCheck
    answer: Settlement
    moves: Moves | None
    """From the settings last read to those proposed; ``None`` where nothing is proposed or nothing was read"""
    motion: "Learned | None" = None
    """What the simulation taught and proved of these settings; ``None`` where it was not asked for"""

    @property
    def is_unsafe(self) -> bool:
        """Whether the high limit alone fails in motion, on settings that fit by the closed forms."""
        if self.motion is None or not isinstance(self.answer, Fits):
            return False
        from evenfire.judgement.proofs.weighing import settings_are_unsafe

        return settings_are_unsafe(self.motion.proofs)

    @property
    def lacks_relief(self) -> bool:
        """Whether the safety valves alone do not hold the boiler in motion: no dial mends that."""
        if self.motion is None:
            return False
        from evenfire.judgement.proofs.weighing import valves_are_too_small

        return valves_are_too_small(self.motion.proofs)

    @property
    def falls_short(self) -> bool:
        """Whether motion does not bear out settings that fit by the closed forms."""
        return self.motion is not None and self.motion.falls_short


@dataclass(frozen=True, slots=True, kw_only=True)
class Settle:
    """The answer for a plant file."""

    plant_file: PlantFile
    boilers: tuple[BoilerSettle, ...]
    identity: Identity

    @property
    def ending(self) -> Ending:
        """Nothing fits outweighs a rule that could not be judged; a stop finding on a proposal outweighs both.

        Settings that fit by the closed forms and keep failing a proof of what they are chosen for do not fit.
        """
        answers = [boiler.answer for boiler in self.boilers]
        endings = [
            ending_of(boiler.answer.chosen.outcomes if isinstance(boiler.answer, Fits) else boiler.now.outcomes)
            for boiler in self.boilers
            if not isinstance(boiler.answer, NothingFits)
        ]
        unsafe = any(boiler.is_unsafe or boiler.lacks_relief for boiler in self.boilers)
        if Ending.STOP_FINDING in endings or unsafe:
            return Ending.STOP_FINDING
        if any(isinstance(boiler.answer, NothingFits) or boiler.falls_short for boiler in self.boilers):
            return Ending.NOTHING_FITS
        if Ending.STOP_NOT_JUDGED in endings or any(isinstance(answer, CannotSettle) for answer in answers):
            return Ending.STOP_NOT_JUDGED
        return Ending.CLEAR


@dataclass(frozen=True, slots=True, kw_only=True)
class BoilerProofs:
    """One boiler through its scenarios."""

    case: Case
    proofs: "tuple[Proved, ...]"
    """Worst first"""
    is_stale: bool
    """A proposal made for another survey than this one was proved"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Prove:
    """A plant file through its scenarios."""

    plant_file: PlantFile
    boilers: tuple[BoilerProofs, ...]
    identity: Identity
    physics_version: str

    @property
    def ending(self) -> Ending:
        """What has to keep people safe outweighs what could not be proved; other failures are told and no more."""
        from evenfire.judgement.proofs.result import NotProved
        from evenfire.judgement.proofs.weighing import is_unsafe

        proofs = [proved for boiler in self.boilers for proved in boiler.proofs]
        if any(is_unsafe(proved) for proved in proofs):
            return Ending.STOP_FINDING
        lacking = any(isinstance(proved, NotProved) for proved in proofs)
        return Ending.STOP_NOT_JUDGED if lacking or self.plant_file.unfilled else Ending.CLEAR


@dataclass(frozen=True, slots=True, kw_only=True)
class BoilerOdds:
    """How likely one boiler leaves its order in a year."""

    case: Case
    counted: "Likelihoods"
    is_stale: bool
    """A proposal made for another survey than this one was counted"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Odds:
    """How likely the boilers of a plant file leave their order in a year."""

    plant_file: PlantFile
    boilers: tuple[BoilerOdds, ...]
    not_begun: tuple[str, ...]
    """Boilers of which nothing was counted when somebody stopped it"""
    seed: int
    draws: int
    """Asked for, of each boiler"""
    most_reruns: int
    identity: Identity
    physics_version: str

    @property
    def is_stopped(self) -> bool:
        """Whether somebody stopped it before its end."""
        return bool(self.not_begun) or any(not boiler.counted.is_complete for boiler in self.boilers)

    @property
    def ending(self) -> Ending:
        """A valve that is likely to lift outweighs what could not be counted; a nuisance is told and no more."""
        from evenfire.judgement.tolerance.weighing import lets_a_valve_lift, may_let_a_valve_lift

        answers = [each for boiler in self.boilers for each in boiler.counted.answers]
        if any(lets_a_valve_lift(each) for each in answers):
            return Ending.STOP_FINDING
        lacking = any(boiler.counted.not_counted for boiler in self.boilers)
        unsure = lacking or self.is_stopped or any(may_let_a_valve_lift(each) for each in answers)
        return Ending.STOP_NOT_JUDGED if unsure or self.plant_file.unfilled else Ending.CLEAR


@dataclass(frozen=True, slots=True, kw_only=True)
class BoilerPulls:
    """What the margins of one boiler hang on."""

    case: Case
    found: "Sensitivity"
    is_stale: bool
    """Margins of a proposal made for another survey than this one"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Measure:
    """What the margins of the boilers of a plant file hang on, and what to measure."""

    plant_file: PlantFile
    boilers: tuple[BoilerPulls, ...]
    identity: Identity
    physics_version: str

    @property
    def ending(self) -> Ending:
        """It judges nothing; it only says whether there was a margin that could not be weighed."""
        lacking = any(boiler.found.not_weighed for boiler in self.boilers)
        return Ending.STOP_NOT_JUDGED if lacking or self.plant_file.unfilled else Ending.CLEAR


class LoadFrom(Enum):
    """Who stated the load of a run."""

    PLANT = "plant file"
    ASKED = "command"
    NOBODY = "nobody"
    """It is the steady load at which the burner starts most often"""
    SHUT = "stop valve shut"
    """The boiler warms from cold, and nobody draws"""


@dataclass(frozen=True, slots=True, kw_only=True)
class RunLoad:
    """The load that a run draws."""

    demand: Constant | Steps | Daily | Batches
    stated_by: LoadFrom
    file: str | None
    """Of a recording"""
    output_steam: float
    """Steam that full fire makes at working pressure [kg/s]"""


class Beginning(Enum):
    """How a boiler stands when a run begins."""

    AT_WORK = "at work"
    """As if the load of the first moment had been drawn for long"""
    COLD = "cold"
    AT_PRESSURE = "at pressure"
    """Hot, with its burner off"""


@dataclass(frozen=True, slots=True, kw_only=True)
class RunPlan:
    """What is done to a boiler in a run."""

    duration: float
    """[s]"""
    load: RunLoad
    beginning: Beginning
    pressure: GaugePa | None
    """At the beginning, where one was asked for [Pa gauge]"""
    faults: "tuple[FaultAt, ...]"
    resets: tuple[float, ...]
    """When a hand presses every reset [s]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Ran:
    """A run that came about, as far as it came."""

    plan: RunPlan
    run: "Run"
    holding: "Holding"
    broke_off: "Diverged | None"
    """Why and where the run ended early; ``run`` then reaches until there"""


@dataclass(frozen=True, slots=True, kw_only=True)
class CannotRun:
    """What the survey lacks for a run."""

    missing: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class BoilerRun:
    """One boiler, set in motion."""

    plant_file: PlantFile
    case: Case
    burner: Burner | None
    is_stale: bool
    """A proposal made for another survey than this one was run"""
    result: Ran | CannotRun
    identity: Identity
    physics_version: str

    @property
    def ending(self) -> Ending:
        """A pressure that nothing held is a stop, and so are safety valves that had to, when nothing was broken."""
        if isinstance(self.result, CannotRun):
            return Ending.STOP_NOT_JUDGED
        held, is_sound = self.result.holding.held.value, not self.result.plan.faults
        if self.result.broke_off is not None or held == "nothing" or (held == "safety valves" and is_sound):
            return Ending.STOP_FINDING
        return Ending.STOP_NOT_JUDGED if self.plant_file.unfilled else Ending.CLEAR


@dataclass(frozen=True, slots=True, kw_only=True)
class GivenKey:
    """A public key that counts as known because somebody named its file."""

    file: str
    fingerprint: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Verified:
    """Signed records, verified: those of one file, or those of each boiler of a store."""

    file: str | None
    """Nothing where a whole store was asked for"""
    verifications: "tuple[Verification, ...]"
    """One for each boiler"""
    given: tuple[GivenKey, ...]
    store: str | None
    """Where the known keys and records came from"""

    @property
    def judged(self) -> "Judged":
        """The worst of them; a store without a record has nothing that is changed."""
        from evenfire.delivery.records.verification import Judged

        worst = (Judged.DOES_NOT_VERIFY, Judged.SIGNER_NOT_JUDGED)
        found = {verification.judged for verification in self.verifications}
        return next((judged for judged in worst if judged in found), Judged.VERIFIED)

    @property
    def ending(self) -> Ending:
        """A signer whom nobody here knows was not judged: neither good nor bad."""
        return {
            "verified": Ending.CLEAR,
            "does not verify": Ending.DOES_NOT_VERIFY,
        }.get(self.judged.value, Ending.STOP_NOT_JUDGED)
