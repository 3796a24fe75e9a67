"""Pictures of what was settled: the stack as found beside proposed, and the runs that each proof rests on."""

from threading import Lock
from typing import Final

from evenfire.delivery.acts.remembering import Remembered
from evenfire.delivery.answers import BoilerSettle
from evenfire.delivery.figures.stack_layout import lay_out
from evenfire.delivery.figures.stack_svg import stack_svg
from evenfire.delivery.report.settle_page import chosen_of
from evenfire.delivery.units import UnitSystem
from evenfire.judgement.proofs.result import Proof, Scenario
from evenfire.plant.settings import Settings

_SHEETS: Final[Remembered[bytes]] = Remembered(24)
_ONE_AT_A_TIME: Final = Lock()
"""The drawing of traces keeps its looks in one place for the whole program."""


def settled_stack(boiler: BoilerSettle, system: UnitSystem, width: float) -> str | None:
    """The pressure stack of what was read last beside what was settled; nothing where there are no settings."""
    chosen = chosen_of(boiler.answer)
    if chosen is None:
        return None
    now = boiler.now.case
    return stack_svg(lay_out(None if now.settings == Settings() else now, chosen.case), system, width)


def proof_sheet(boiler: BoilerSettle, scenario: Scenario, system: UnitSystem, width: int) -> bytes | None:
    """The sheet of one proof as SVG; nothing where there is no run to draw. Drawn once, then remembered."""
    chosen, motion = chosen_of(boiler.answer), boiler.motion
    proofs = () if motion is None else motion.proofs
    proof = next((each for each in proofs if each.scenario is scenario), None)
    if chosen is None or not isinstance(proof, Proof) or not proof.runs:
        return None
    from evenfire.delivery.figures.proof_drawing import draw_sheet  # brings the drawing of traces in
    from evenfire.delivery.figures.trace_file import trace_bytes
    from evenfire.delivery.report.proof_sheet import lay_out_sheet
    from evenfire.physics.motion.run import PHYSICS_VERSION

    sheet = lay_out_sheet(chosen.case, proof, PHYSICS_VERSION, system)
    key = (scenario, system, width, sheet.title, sheet.lead, sheet.caption, *(each.run.identity for each in proof.runs))

    def drawn() -> bytes:
        with _ONE_AT_A_TIME:
            return trace_bytes(draw_sheet(sheet, width), ".svg")

    return _SHEETS.of(key, drawn)
