"""A proof laid out for its sheet: one panel for each run, all on the same axes. Nothing is drawn here."""

from dataclasses import dataclass

import numpy as np

from evenfire.delivery.figures.trace_layout import TraceLayout, Window, lay_out_trace
from evenfire.delivery.units import UnitSystem
from evenfire.judgement.case import Case
from evenfire.judgement.proofs.result import Proof, Scenario, Shown
from evenfire.physics.motion.happenings import Happening
from evenfire.plant.known import Missing

LEAST_SHOWN = 600.0
"""[s]"""
_WARMING = frozenset({Scenario.COLD_START, Scenario.HOLD_ABSENT})


@dataclass(frozen=True, slots=True, kw_only=True)
class Panel:
    """One run of a proof."""

    label: str
    """Empty where there is one run only"""
    trace: TraceLayout


@dataclass(frozen=True, slots=True, kw_only=True)
class ProofSheet:
    """Every run of a proof on the same axes."""

    title: str
    lead: tuple[str, ...]
    """Verdict and what came of it, above the panels"""
    caption: tuple[str, ...]
    """Below them"""
    panels: tuple[Panel, ...]
    lowest: float
    """Foot of every scale [Pa gauge]"""
    highest: float
    """Head of every scale [Pa gauge]"""
    window: Window
    """The part of each run that is shown"""
    is_small_multiples: bool
    system: UnitSystem


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetWords:
    """What stands on a sheet."""

    title: str
    lead: tuple[str, ...]
    caption: tuple[str, ...]


def lay_out_proof(
    case: Case, proof: Proof, said: SheetWords, labels: tuple[str, ...], system: UnitSystem
) -> ProofSheet:
    """Lay out the runs of a proof, each with its label."""
    traces = [lay_out_trace(case, shown.run, "", (), system) for shown in proof.runs]
    return ProofSheet(
        title=said.title,
        lead=said.lead,
        caption=said.caption,
        panels=tuple(Panel(label=label, trace=trace) for label, trace in zip(labels, traces, strict=True)),
        lowest=min(trace.lowest for trace in traces),
        highest=max(trace.highest for trace in traces),
        window=Window(begin=0.0, end=max(_end(case, proof.scenario, shown) for shown in proof.runs)),
        is_small_multiples=proof.scenario is Scenario.STEADY_LOADS,
        system=system,
    )


def _end(case: Case, scenario: Scenario, shown: Shown) -> float:
    """How much of a run is worth seeing: what a limit or a valve does is over in minutes, a warm-up at cut-in [s]."""
    run = shown.run
    if scenario is Scenario.HIGH_LIMIT_ALONE:
        return min(run.duration, max(LEAST_SHOWN, 3.0 * run.highest.time))
    if scenario is Scenario.VALVES_ALONE:
        lifted = next((event.time for event in run.events if event.kind is Happening.VALVE_LIFTED), run.duration / 3.0)
        return min(run.duration, max(LEAST_SHOWN, 3.0 * lifted))
    if scenario in _WARMING and not isinstance(case.stack.cut_in, Missing):
        there = np.flatnonzero(run.series.pressure >= case.stack.cut_in)
        return min(run.duration, 1.25 * float(run.series.time[there[0]])) if len(there) else run.duration
    if scenario is Scenario.SHUTDOWN:
        let_in = next((event.time for event in run.events if event.kind is Happening.AIR_LET_IN), run.duration)
        return min(run.duration, 1.25 * let_in)
    return run.duration
