"""What a visit adds to a sheet or a card of its settings: how they stand, who signed, and what changed since."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

from evenfire.delivery.answers import BoilerCheck
from evenfire.delivery.papers.admission import QUESTIONS, Countersigner
from evenfire.delivery.papers.content import Head, SignedPart, Signing
from evenfire.delivery.papers.shared_parts import code_of, signed_by
from evenfire.delivery.papers.visit_body import Body, table_of
from evenfire.delivery.papers.visit_settings import NOT_PROVED, SAYS_NOTHING
from evenfire.delivery.records.searchable import rows_of, text_of
from evenfire.delivery.report.outcome_json import kind_of
from evenfire.delivery.words import visit_papers as words
from evenfire.delivery.words.proofs import SCENARIOS
from evenfire.judgement.case import SettingsSet
from evenfire.judgement.proofs.result import NotApplicable, NotProved, Proved, Scenario
from evenfire.plant.settings import Settings

SHORT = 12
"""Of a hash that a person compares at a glance [characters]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class OfVisit:
    """A visit whose settings a paper tells."""

    body: Body
    dials_left: Settings
    """As read after the last move; a control that is proved acts where it was seen to"""
    notices: tuple[str, ...]
    """What bars signing, what the head of the visit says, what is to be known of the key"""
    stops: tuple[str, ...]
    """Why the boiler must not be run as it was left, whatever its dials say"""
    signed: SignedPart | None
    """Nothing while it is open"""
    is_amended: bool
    versions: str
    """That judged when it was signed; empty while it is open"""

    def head_of_sheet(self, head: Head, check: BoilerCheck, proofs: tuple[Proved, ...]) -> Head:
        """The head of a sheet with what the visit says."""
        own = self.head_of_card(head)
        notices = [*own.notices, *self.notices]
        if self.signed is None:
            return replace(own, notices=tuple(notices))
        if self.is_amended:
            notices.append(words.IS_AMENDED_ELSEWHERE)
        differing = tuple(self._differences(check, proofs)) if check.case.which is SettingsSet.AS_LEFT else ()
        if differing:
            notices.append(words.DIFFERS.format(then=self.versions, what="; ".join(differing)))
        notices.append(words.SIGNED_SHEET)
        made_from = words.FROM_RECORD.format(record=self.signed.record[:SHORT], made_from=own.made_from)
        return replace(own, notices=tuple(notices), made_from=made_from)

    def head_of_card(self, head: Head) -> Head:
        """The head of a card: whether the visit is signed, by a key that is known here, and amended."""
        state = (words.FROM_AN_OPEN_VISIT if self.signed is None else words.LEFT_AND_SIGNED).format(state=head.state)
        if self.is_amended:
            state = words.AND_AMENDED.format(state=state)
        if self.signed is not None and self.signed.mark:
            state = words.AND_MARKED.format(state=state, mark=self.signed.mark)
        return replace(head, state=state)

    def signing(self, countersigner: Countersigner | None) -> Signing:
        """The foot of a paper."""
        answers = "" if countersigner is None else f"{countersigner.name}, {countersigner.licence}"
        if self.signed is not None:
            return signed_by(self.signed, answers)
        visit = table_of(self.body, "visit")
        code = words.CODE.format(visit=text_of(visit, "id"), survey=text_of(visit, "survey")[:SHORT])
        return Signing(signed=None, unsigned=words.UNSIGNED_SHEET, countersigned=answers, code=code_of(code))

    def _differences(self, check: BoilerCheck, proofs: tuple[Proved, ...]) -> Iterator[str]:
        """What is judged otherwise now than it was signed: rules and scenarios, each in a phrase."""
        then = {_rule(row): text_of(row, "outcome") for row in rows_of(self.body, "judged_as_left")}
        now = {(each.code, each.subject.part.value, each.subject.name): kind_of(each) for each in check.outcomes}
        for key in sorted(then.keys() | now.keys()):
            if then.get(key) != now.get(key):
                yield _difference(QUESTIONS.get(key[0], key[0]), then.get(key), now.get(key))
        was = {text_of(row, "scenario"): text_of(row, "verdict") for row in rows_of(self.body, "proved_as_left")}
        named = {scenario.value: scenario for scenario in Scenario}
        for each in proofs:
            name = each.scenario.value
            if was.get(name) != _verdict(each):
                yield _difference(f"{SCENARIOS[named[name]].title}:", was.get(name), _verdict(each))


def _rule(row: Body) -> tuple[str, str, str]:
    return text_of(row, "code"), text_of(row, "subject"), text_of(row, "name")


def _verdict(proved: Proved) -> str:
    """As a record has it."""
    if isinstance(proved, NotProved):
        return NOT_PROVED
    return SAYS_NOTHING if isinstance(proved, NotApplicable) else proved.verdict.value


def _difference(what: str, then: str | None, now: str | None) -> str:
    return words.DIFFERENCE.format(what=what, then=then or words.NOT_ASKED, now=now or words.NOT_ASKED)
