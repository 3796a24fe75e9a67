"""Settle every boiler of a plant file, each on its own, and write a proposal into it when asked."""

import re
from pathlib import Path
from typing import TYPE_CHECKING

from evenfire import __version__
from evenfire.delivery.acts.checking import check_of
from evenfire.delivery.answers import BoilerCheck, BoilerSettle, Settle
from evenfire.delivery.intake.plant_file import PlantFile, read_plant_file
from evenfire.delivery.units import UnitSystem, read, show
from evenfire.errors import BadRequest, BelowNeed
from evenfire.judgement.moves.planning import moves_between
from evenfire.judgement.settle.result import CannotSettle, Fits, NothingFits, Settlement
from evenfire.judgement.settle.retarget import one_division, retargeted
from evenfire.judgement.settle.settling import settle as settle_boiler
from evenfire.plant.boiler import Boiler
from evenfire.plant.plant import Plant
from evenfire.plant.settings import Proposed, Settings
from evenfire.si import AbsPa, Dimension, GaugePa

if TYPE_CHECKING:
    # The closed forms alone load no compiler, and a proof is only named here.
    from collections.abc import Callable

    from evenfire.judgement.proofs.learning import Learned, Progress

DIVISIONS = re.compile(r"([+-]\d+) divisions?")


def settle(
    path: Path,
    target: str | None = None,
    system: UnitSystem = UnitSystem.US,
    *,
    in_motion: bool = True,
    watch: "Callable[[Progress], None] | None" = None,
) -> Settle:
    """Choose settings for every boiler of a plant file, for the need it states or for a higher target.

    ``target`` is a pressure (``115 psi``), a step from the need (``+5 psi``) or divisions of the operating limit's
    scale (``+1 division``). What is chosen is simulated, and chosen again where the closed forms fell short, unless
    ``in_motion`` is off; ``watch`` is told how far that has come.

    Raises
    ------
    BadInput
        The file cannot be read, the target cannot be read, or the plant needs more than the target.
    """
    return settle_of(read_plant_file(path), target, system, in_motion=in_motion, watch=watch)


def settle_of(
    plant_file: PlantFile,
    target: str | None = None,
    system: UnitSystem = UnitSystem.US,
    *,
    in_motion: bool = True,
    watch: "Callable[[Progress], None] | None" = None,
    only: str | None = None,
) -> Settle:
    """Choose settings for every boiler of a plant file that has been read, or for the ``only`` one of that name."""
    if plant_file.unfilled:
        lines = ", ".join(str(line) for line in plant_file.unfilled)
        raise BadRequest(
            f"{plant_file.name} still says FILL IN on lines {lines}: what stands there is an example, and nothing is "
            "proposed for an example. Replace each with what you read, and take its mark away."
        )
    checked = check_of(plant_file)
    boilers = []
    for now in checked.boilers:
        boiler = now.case.boiler
        if only is not None and boiler.name != only:
            continue
        plant = plant_file.plant if target is None else at_target(plant_file, boiler, target, system)
        learned = _in_motion(plant, boiler, watch) if in_motion else None
        boilers.append(_answered(now, plant, settle_boiler(plant, boiler) if learned is None else learned))
    return Settle(plant_file=plant_file, boilers=tuple(boilers), identity=checked.identity)


def with_proposals(text: str, done: Settle, system: UnitSystem) -> str | None:
    """The text of the plant file that was settled, with every proposal that fits written into ``proposed``.

    ``None`` where there is none. What :func:`write_proposals` does to a file, for a file that lies in a store.

    Raises
    ------
    BadRequest
        A proposal cannot be written into this text.
    """
    from evenfire.delivery.intake.writing import text_with_proposed  # brings tree-sitter in

    is_written = False
    for boiler in done.boilers:
        proposed = _to_write(done, boiler)
        if proposed is not None:
            text = text_with_proposed(text, done.plant_file, boiler.answer.boiler, proposed, system=system)
            is_written = True
    return text if is_written else None


def write_proposals(done: Settle, system: UnitSystem) -> tuple[str, ...]:
    """Write every proposal that fits into the plant file, into ``proposed`` only; the boilers that were written.

    What motion does not bear out is not written; settled without motion it is, on closed forms alone.

    Raises
    ------
    BadInput
        The file has changed since it was read or cannot be written; then it is left as it was.
    """
    from evenfire.delivery.intake.writing import write_proposed  # brings tree-sitter in, which a settle can do without

    plant_file, written = done.plant_file, []
    for boiler in done.boilers:
        proposed = _to_write(done, boiler)
        if proposed is not None:
            plant_file = write_proposed(plant_file, boiler.answer.boiler, proposed, system=system)
            written.append(boiler.answer.boiler)
    return tuple(written)


def _to_write(done: Settle, boiler: BoilerSettle) -> Proposed | None:
    """What may be written of one boiler: settings that fit, and that motion, where it was asked, bears out."""
    if not isinstance(boiler.answer, Fits) or boiler.is_unsafe or boiler.falls_short:
        return None
    return Proposed(
        settings=boiler.answer.chosen.settings,
        plant_revision=done.plant_file.revision,
        engine_version=__version__,
    )


def _in_motion(plant: Plant, boiler: Boiler, watch: "Callable[[Progress], None] | None") -> "Learned":
    from evenfire.judgement.proofs.learning import Learned, settle_in_motion

    for item in settle_in_motion(plant, boiler):
        if isinstance(item, Learned):
            return item
        if watch is not None:
            watch(item)
    raise AssertionError("the last item is the answer")


def _answered(now: BoilerCheck, plant: Plant, answer: "Settlement | Learned") -> BoilerSettle:
    """The answer with its moves, reckoned with what motion taught."""
    if isinstance(answer, Fits | NothingFits | CannotSettle):
        motion, settlement, boiler = None, answer, now.case.boiler
    else:
        motion, settlement, boiler = answer, answer.settlement, answer.boiler
    if not isinstance(settlement, Fits) or now.case.settings == Settings():
        return BoilerSettle(now=now, answer=settlement, moves=None, motion=motion)
    moves = moves_between(plant, boiler, now.case.settings, settlement.chosen.settings)
    return BoilerSettle(now=now, answer=settlement, moves=moves, motion=motion)


def at_target(plant_file: PlantFile, boiler: Boiler, text: str, system: UnitSystem) -> Plant:
    """The plant that is to hold a target, as :func:`settle` reads it.

    Raises
    ------
    BadInput
        The target cannot be read, or the plant needs more.
    """
    plant = plant_file.plant
    try:
        return retargeted(plant, _target(plant, boiler, text))
    except BelowNeed as low:
        raise BadRequest(
            f"The target {show(low.target, system)} is stopped by the need: {plant_file.name} says that the plant "
            f"needs {show(low.need, system)}. Ask whoever answers for the users; then lower load.need."
        ) from low


def _target(plant: Plant, boiler: Boiler, text: str) -> GaugePa:
    """The pressure that a target text asks for [Pa gauge]."""
    plain = text.strip()
    if not plain.startswith(("+", "-")):
        ambient = AbsPa(plant.site.ambient.value)
        return GaugePa(read(plain, Dimension.GAUGE_PRESSURE, ambient=ambient).value)
    if plant.load.need is None:
        raise BadRequest(
            f"The target {text!r} counts from the need, and the plant file states none: fill in load.need."
        )
    divisions = DIVISIONS.fullmatch(plain)
    if divisions is None:
        return GaugePa(plant.load.need + read(plain, Dimension.PRESSURE_DIFFERENCE).value)
    division = one_division(boiler)
    if division is None:
        raise BadRequest(
            f"The target {text!r} counts divisions of the operating limit, and its scale is not surveyed: fill in "
            f"controls.operating_limit.scale of boiler {boiler.name!r}, or give a pressure."
        )
    return GaugePa(plant.load.need + int(divisions.group(1)) * division)
