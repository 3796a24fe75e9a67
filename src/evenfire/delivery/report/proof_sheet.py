"""The sheet of a proof with its words: what was done, what came of it, one panel for each run."""

import re
from functools import partial

from evenfire.delivery import units
from evenfire.delivery.figures.measured_text import printable
from evenfire.delivery.figures.proof_layout import ProofSheet, SheetWords, lay_out_proof
from evenfire.delivery.units import UnitSystem
from evenfire.delivery.words.cautions import CAUTION_OF_A_RUN
from evenfire.delivery.words.cooling import PREFIXES
from evenfire.delivery.words.proof_saying import found_out, sentences
from evenfire.delivery.words.proofs import SCENARIOS, STEADY_PANELS, VERDICTS
from evenfire.judgement.case import Case
from evenfire.judgement.proofs.result import Proof, Scenario

_TOLD_IN_FULL = frozenset({Scenario.COLD_START, Scenario.HOLD_ABSENT, Scenario.SHUTDOWN})
"""What they find out is what they are for: it stands on the sheet as well."""


def lay_out_sheet(case: Case, proof: Proof, physics_version: str, system: UnitSystem) -> ProofSheet:
    """Everything that stands on the sheet of a proof."""
    show = partial(units.show, system=system)
    title = f"{SCENARIOS[proof.scenario].title}, {case.boiler.name}, {case.site.name}"
    verdict = VERDICTS[proof.verdict]
    said = f"{verdict[0].upper()}{verdict[1:]}. {sentences(case, proof, show)}"
    found = found_out(case, proof, show) if proof.scenario in _TOLD_IN_FULL else ()
    steady = (STEADY_PANELS,) if proof.scenario is Scenario.STEADY_LOADS else ()
    runs = ", ".join(shown.run.identity[:8] for shown in proof.runs)
    words = SheetWords(
        title=printable(title),
        lead=tuple(_held_together(line) for line in (said, *found, f"Settings {case.which.value}.")),
        caption=(*steady, f"Runs {runs}; physics {physics_version}. {CAUTION_OF_A_RUN}"),
    )
    labels = tuple(_label(case, proof, shown.name) for shown in proof.runs)
    return lay_out_proof(case, proof, words, labels, system)


def _held_together(text: str) -> str:
    """No line ends between a number and its unit."""
    return re.sub(r"(?<=\d) (?=[a-z%])", "\N{NO-BREAK SPACE}", text)


def _label(case: Case, proof: Proof, name: str) -> str:
    if proof.scenario is Scenario.STEADY_LOADS:
        return f"Load {name.replace('%', ' %')}"
    if proof.scenario is Scenario.SHUTDOWN:
        return PREFIXES[name]
    return f"On {name}" if len(case.boiler.burners) > 1 else ""
