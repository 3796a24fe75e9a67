"""The traces of a proof as drawings for paper, so many panels to a drawing that it never outgrows a page."""

from collections.abc import Iterator
from dataclasses import replace
from typing import Final

from evenfire.delivery.figures.proof_drawing import draw_sheet
from evenfire.delivery.figures.proof_layout import ProofSheet
from evenfire.delivery.figures.trace_file import trace_bytes
from evenfire.delivery.papers.content import Drawing
from evenfire.delivery.report.page import Page
from evenfire.delivery.report.proof_sheet import lay_out_sheet
from evenfire.delivery.words import papers as words
from evenfire.delivery.words.proof_saying import sentences
from evenfire.delivery.words.proofs import SCENARIOS
from evenfire.judgement.case import Case
from evenfire.judgement.proofs.result import Proof

ALONE: Final = 430
TOGETHER: Final = 680
"""Width of a drawing of one panel and of several: on the page their type is of one size [px]."""
MOST_PANELS: Final = 6
"""Of one drawing: three rows fill most of a page."""


def trace_drawings(case: Case, proof: Proof, physics_version: str, page: Page) -> Iterator[Drawing]:
    """Every run of the proof; its title and its sentence stand beside it on the paper, in the paper's own type."""
    sheet = lay_out_sheet(case, proof, physics_version, page.system)
    bare = replace(sheet, title="", lead=(), caption=(), is_small_multiples=True)
    says = words.PROOF_SAYS.format(title=SCENARIOS[proof.scenario].title, said=sentences(case, proof, page.show))
    for part in _parts(bare):
        several = len(part.panels) > 1
        figure = draw_sheet(part, TOGETHER if several else ALONE)
        yield Drawing(svg=trace_bytes(figure, ".svg").decode("utf-8"), says=says, wide=several)


def _parts(sheet: ProofSheet) -> Iterator[ProofSheet]:
    for place in range(0, len(sheet.panels), MOST_PANELS):
        yield replace(sheet, panels=sheet.panels[place : place + MOST_PANELS])
