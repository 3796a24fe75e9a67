"""The answer of ``prove`` as text: every scenario with its verdict, worst first."""

from collections.abc import Iterator

from evenfire.delivery.answers import BoilerProofs, Prove
from evenfire.delivery.report.boiler_text import assumption_lines, cautions, made_from, nameplate, several_boilers, who
from evenfire.delivery.report.check_text import STILL_EXAMPLES
from evenfire.delivery.report.page import Page, joined
from evenfire.delivery.units import UnitSystem
from evenfire.delivery.words import name_of_key
from evenfire.delivery.words.cautions import CAUTION_OF_A_RUN
from evenfire.delivery.words.proof_saying import clause, found_out, sentences, to_do
from evenfire.delivery.words.proofs import ENDINGS, NEXT, NOT_PROVED, SCENARIOS, VERDICTS
from evenfire.judgement.case import Case
from evenfire.judgement.proofs.result import NotApplicable, NotProved, Proof, Verdict, is_mild
from evenfire.judgement.proofs.weighing import KEEPS_SAFE


def prove_text(answer: Prove, system: UnitSystem, width: int, *, every: bool = False) -> str:
    """What each boiler was put through and what came of it."""
    page = Page(width, system)
    assumed = [page.item(line) for line in assumption_lines(answer.plant_file, page, motion=True)]
    lines = ", ".join(str(line) for line in answer.plant_file.unfilled)
    return joined(
        [
            page.paragraph(STILL_EXAMPLES.format(file=answer.plant_file.name, lines=lines)) if lines else "",
            *(_boiler(answer, boiler, page, every=every) for boiler in answer.boilers),
            page.heading("Assumed, because the survey does not say") + "\n" + "\n".join(assumed) if assumed else "",
            page.paragraph(_ending(answer)),
            several_boilers(answer.plant_file, page),
            f"{page.paragraph(CAUTION_OF_A_RUN)}\n{cautions(page)}",
            page.paragraph(f"{made_from(answer.identity)} Physics {answer.physics_version}."),
        ]
    )


def counted(boiler: BoilerProofs) -> str:
    """How many scenarios end which way, worst first."""
    counts = dict.fromkeys(Verdict, 0)
    for proved in boiler.proofs:
        if isinstance(proved, Proof):
            counts[proved.verdict] += 1
    lacking = sum(isinstance(proved, NotProved) for proved in boiler.proofs)
    fails, holds = counts[Verdict.FAILS], counts[Verdict.HOLDS]
    parts = [f"{fails} FAIL{'S' if fails == 1 else ''}", f"{lacking} not proved"]
    warns = counts[Verdict.WARNS]
    parts += [f"{warns} warn{'s' if warns == 1 else ''}"] if warns else []
    parts += [f"{holds} hold{'s' if holds == 1 else ''}", f"{counts[Verdict.TOLD]} told"]
    absent = [each.scenario.value for each in boiler.proofs if isinstance(each, NotApplicable)]
    return f"{', '.join(parts)}." + (f" Does not apply to this boiler: {', '.join(absent)}." if absent else "")


def _boiler(answer: Prove, boiler: BoilerProofs, page: Page, *, every: bool) -> str:
    plate = nameplate(boiler.case.boiler, page)
    proofs = [each for each in boiler.proofs if isinstance(each, Proof)]
    failed = [_proof(boiler, each, page, every=every) for each in proofs if each.verdict is Verdict.FAILS]
    others = [_proof(boiler, each, page, every=every) for each in proofs if each.verdict is not Verdict.FAILS]
    return joined(
        [
            page.title(who(answer.plant_file, boiler.case.boiler)),
            page.paragraph(f"{plate[0].upper()}{plate[1:]}. {_which(boiler)}"),
            page.paragraph(counted(boiler)),
            *failed,
            _not_proved(boiler, page),
            *others,
        ]
    )


def _which(boiler: BoilerProofs) -> str:
    read = boiler.case.settings.read_on
    when = "" if read is None else f", read {read.isoformat()}"
    stale = " (STALE: the survey has changed since they were proposed)" if boiler.is_stale else ""
    return f"Settings {boiler.case.which.value}{when}{stale}."


def _proof(boiler: BoilerProofs, proof: Proof, page: Page, *, every: bool) -> str:
    title = SCENARIOS[proof.scenario].title
    said = sentences(boiler.case, proof, page.show)
    lines = [page.labelled(VERDICTS[proof.verdict], f"{title.upper()}. {said}")]
    lines += [page.labelled(label, line) for label, line in beside_of(boiler.case, proof, page)]
    if every:
        lines += [
            page.labelled("seen" if place == 0 else "", line) for place, line in enumerate(_seen(boiler, proof, page))
        ]
    return "\n".join(lines)


def beside_of(case: Case, proof: Proof, page: Page) -> list[tuple[str, str]]:
    """What was found out beside the checks, and what to do: each with its word for the margin."""
    found = [("found", line) for line in found_out(case, proof, page.show)]
    todo = to_do(case, proof, page.show)
    return [*found, ("do", todo)] if todo else found


def _seen(boiler: BoilerProofs, proof: Proof, page: Page) -> Iterator[str]:
    """Every check, as its own sentence."""
    for check in proof.checks:
        told = clause(boiler.case, proof, check, page.show)
        yield f"{'' if check.holds else 'WARNS: ' if is_mild(check) else 'FAILS: '}{told[0].upper()}{told[1:]}."


def _not_proved(boiler: BoilerProofs, page: Page) -> str:
    lacking: dict[tuple[str, ...], list[str]] = {}
    for each in boiler.proofs:
        if isinstance(each, NotProved):
            lacking.setdefault(each.missing, []).append(each.scenario.value)
    if not lacking:
        return ""
    lines = (
        page.item(f"{', '.join(names)}. Missing: {'; '.join(name_of_key(key) for key in keys)}.")
        for keys, names in lacking.items()
    )
    return page.heading(NOT_PROVED) + "\n" + "\n".join(lines)


def _ending(answer: Prove) -> str:
    failed = any(
        isinstance(each, Proof) and each.verdict is Verdict.FAILS for boiler in answer.boilers for each in boiler.proofs
    )
    told = ENDINGS[answer.ending.value] if _both_were_run(answer) or answer.ending.value else ""
    return f"{told} {NEXT.format(file=answer.plant_file.name) if failed else ''}".strip()


def _both_were_run(answer: Prove) -> bool:
    """Nothing is said of what keeps people safe where only other scenarios were asked for."""
    wanted = {scenario for scenario, _ in KEEPS_SAFE}
    return all(wanted <= {each.scenario for each in boiler.proofs} for boiler in answer.boilers)
