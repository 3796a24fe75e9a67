"""Cases and proofs for tests: a demo plant as found, and as settled."""

from functools import cache

from evenfire.judgement.case import Case
from evenfire.judgement.proofs.learning import Learned, case_in, learned
from evenfire.judgement.proofs.proving import prove
from evenfire.judgement.proofs.result import Check, Proof, Scenario, Watched
from tests.surveys import case_of, survey


@cache
def as_found(plant: str) -> Case:
    return case_of(survey(plant=plant))


@cache
def settled(plant: str) -> Learned:
    plant_file = survey(plant=plant)
    return learned(plant_file.plant, plant_file.plant.boilers[0])


def proposed(plant: str) -> Case:
    case = case_in(settled(plant).settlement)
    assert case is not None
    return case


def proof_of(case: Case, scenario: Scenario) -> Proof:
    proved = prove(case, scenario)
    assert isinstance(proved, Proof), proved
    return proved


def failures(proof: Proof) -> set[Watched]:
    return {check.watched for check in proof.checks if not check.holds}


def check_of(proof: Proof, watched: Watched) -> Check:
    """The worst check of what is looked at."""
    return next(check for check in proof.checks if check.watched is watched)
