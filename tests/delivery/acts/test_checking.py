"""Which settings are judged, and how a judgement ends."""

import pytest

from evenfire.delivery.acts.checking import boiler_named, check_of
from evenfire.delivery.answers import Ending, ending_of
from evenfire.errors import BadRequest
from evenfire.judgement.case import SettingsSet
from evenfire.judgement.outcome import Basis, Clear, Finding, NotJudged, Part, Severity, Subject
from tests.surveys import survey

PROPOSED = {"operating_limit": "128 psi", "operating_limit_differential": "12 psi", "high_limit": "138 psi"}


def proposed_for(revision: str) -> dict[str, object]:
    return {"boiler.proposed": {**PROPOSED, "plant_revision": revision, "engine_version": "0"}}


def test_a_proposal_for_this_survey_is_not_stale() -> None:
    revision = survey().revision
    checked = check_of(survey(proposed_for(revision)), SettingsSet.PROPOSED)
    assert not checked.boilers[0].is_stale


def test_a_proposal_for_another_survey_is_called_stale() -> None:
    revision = survey().revision
    changed = survey({**proposed_for(revision), "load.need": "106 psi"})
    assert check_of(changed, SettingsSet.PROPOSED).boilers[0].is_stale


def test_what_a_person_read_last_is_judged() -> None:
    assert check_of(survey()).boilers[0].case.which is SettingsSet.AS_FOUND
    left = survey({"boiler.as_left": {"operating_limit": "128 psi", "high_limit": "138 psi"}})
    assert check_of(left).boilers[0].case.which is SettingsSet.AS_LEFT


def test_a_set_that_is_not_there_is_refused() -> None:
    with pytest.raises(BadRequest, match="has no settings proposed"):
        check_of(survey(), SettingsSet.PROPOSED)


def test_a_boiler_that_is_not_there_is_refused_with_those_that_are() -> None:
    with pytest.raises(BadRequest, match=r"No\. 1"):
        boiler_named(survey(), "No. 7")


def outcome(kind: type[Finding] | type[Clear] | type[NotJudged], severity: Severity) -> Finding | Clear | NotJudged:
    if kind is NotJudged:
        return NotJudged(
            code="x", severity=severity, basis=Basis.DERIVED, subject=Subject(Part.BOILER), missing=("load.need",)
        )
    if kind is Clear:
        return Clear(code="x", severity=severity, basis=Basis.DERIVED, subject=Subject(Part.BOILER))
    return Finding(code="x", severity=severity, basis=Basis.DERIVED, subject=Subject(Part.BOILER))


@pytest.mark.parametrize(
    ("outcomes", "ending"),
    [
        ([(Clear, Severity.STOP), (Finding, Severity.WARN)], Ending.CLEAR),
        ([(Finding, Severity.STOP), (NotJudged, Severity.STOP)], Ending.STOP_FINDING),
        ([(NotJudged, Severity.STOP), (Clear, Severity.STOP)], Ending.STOP_NOT_JUDGED),
        ([(NotJudged, Severity.WARN)], Ending.CLEAR),
    ],
)
def test_only_a_judged_and_clear_set_of_stop_rules_ends_well(
    outcomes: list[tuple[type[Finding] | type[Clear] | type[NotJudged], Severity]], ending: Ending
) -> None:
    assert ending_of(tuple(outcome(kind, severity) for kind, severity in outcomes)) is ending
