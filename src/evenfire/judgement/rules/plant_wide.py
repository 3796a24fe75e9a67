"""Rules on boilers that share a header: what one can send into another."""

from evenfire.judgement.case import Case
from evenfire.judgement.outcome import Basis, Part, Severity, Subject
from evenfire.judgement.rule import Rule, Verdict, at_least, rule_for_each, yes_or_no
from evenfire.judgement.rules.steaming import most_steam
from evenfire.judgement.rules.surveyed import stated
from evenfire.judgement.rules.valves import all_that_valves_pass
from evenfire.plant.boiler import Boiler
from evenfire.si import ROUNDING_PA, AbsPa, Dimension
from evenfire.sources import COLORADO, Citation


def _stronger(case: Case) -> tuple[tuple[Subject, tuple[Boiler, ...]], ...]:
    """The boilers of the plant that are made for more pressure than this one, where there are several boilers."""
    if len(case.plant.boilers) < 2:
        return ()
    others = tuple(other for other in case.plant.boilers if other.mawp > case.boiler.mawp + ROUNDING_PA)
    return ((Subject(Part.SAFETY_VALVE), others),)


@rule_for_each(
    items=_stronger,
    code="shared-header-relief",
    question="Can the valves of the boiler with the lower MAWP also pass what the stronger boilers on its header make?",
    severity=Severity.STOP,
    basis=Basis.PUBLISHED,
    number="its own steam and that of every boiler with a higher MAWP",
    citations=(Citation(COLORADO),),
)
def weaker_boiler_is_relieved_for_the_stronger(case: Case, stronger: tuple[Boiler, ...]) -> Verdict:
    """A non-return valve may leak or stick, so it is not counted on."""
    if not stronger:
        return yes_or_no(True)
    if not stated(case.site.boilers_share_header, "site.boilers_share_header"):
        return yes_or_no(True)
    ambient = AbsPa(case.site.ambient.value)
    needed = sum(most_steam(boiler, ambient) for boiler in (case.boiler, *stronger))
    return at_least(all_that_valves_pass(case.boiler), needed, Dimension.MASS_FLOW)


RULES: tuple[Rule, ...] = (weaker_boiler_is_relieved_for_the_stronger,)
