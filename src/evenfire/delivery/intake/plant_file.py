"""Reading a plant file: one call, and either a plant or one message about what is wrong with the file."""

import hashlib
from dataclasses import dataclass, replace
from pathlib import Path

from pydantic import ValidationError

from evenfire.delivery.intake.assumptions import Assumption
from evenfire.delivery.intake.cross_checks import contradictions
from evenfire.delivery.intake.document import FORMAT, Document
from evenfire.delivery.intake.filling import Filled, filled, what_was_filled
from evenfire.delivery.intake.logs.wishes import LogWishes
from evenfire.delivery.intake.opening import decoded, file_bytes, shown_path
from evenfire.delivery.intake.problem import Problem, bad_plant_file
from evenfire.delivery.intake.tables.quantities import AMBIENT, described
from evenfire.delivery.intake.tables.site import SiteTable
from evenfire.delivery.intake.toml_text import Raw, parsed
from evenfire.plant.identity import identity
from evenfire.plant.plant import Plant
from evenfire.si import AbsPa

FILL_IN = "# FILL IN"
"""The mark of a template's example that a survey has to replace."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PlantFile:
    """A plant as surveyed, with what had to be assumed and which survey it is."""

    plant: Plant
    name: str
    """How messages name the file"""
    path: Path | None
    """Nothing when the plant came from a text"""
    revision: str
    """Identity of the survey without its proposed settings and those left, as 64 hexadecimal digits"""
    digest: str
    """SHA-256 of the bytes that were read"""
    unfilled: tuple[int, ...]
    """Lines that still carry the mark of the template: what stands there is an example and no reading"""
    log: LogWishes
    """What the file says of a log of its boiler"""
    filled: tuple[Filled, ...]
    """Every assumed value that a judgement of settings can use, in the order of the file"""

    @property
    def assumptions(self) -> tuple[Assumption, ...]:
        """The assumptions used, in the order of the file, each once."""
        return tuple(dict.fromkeys(each.assumption for each in self.filled))

    @property
    def filled_for_motion(self) -> tuple[Filled, ...]:
        """Every assumed value that a run through time can use, in the order of the file."""
        return what_was_filled(self.plant, motion=True)


def read_plant_file(path: Path) -> PlantFile:
    """The plant in a file.

    Raises
    ------
    BadPlantFile
        The file cannot be read or says something impossible: one error about the first place, with what to do.
    """
    content = file_bytes(path)
    return replace(read_plant_bytes(content, shown_path(path)), path=path)


def read_plant_text(text: str, name: str) -> PlantFile:
    """The plant in a text; ``name`` stands for the file in messages.

    Raises
    ------
    BadPlantFile
        As :func:`read_plant_file`.
    """
    return read_plant_bytes(text.encode(errors="surrogatepass"), name)


def read_plant_bytes(content: bytes, name: str) -> PlantFile:
    """The plant in the content of a file; ``name`` stands for the file in messages.

    Raises
    ------
    BadPlantFile
        As :func:`read_plant_file`.
    """
    text = decoded(content, name)
    document = _document(text, name)
    surveyed = document.plant()
    plant = filled(surveyed)
    return PlantFile(
        plant=plant,
        name=name,
        path=None,
        revision=revision_of(surveyed),
        digest=hashlib.sha256(content).hexdigest(),
        unfilled=_unfilled(text),
        log=document.log.wishes(),
        filled=what_was_filled(plant),
    )


def _unfilled(text: str) -> tuple[int, ...]:
    lines = enumerate(text.splitlines(), 1)
    return tuple(number for number, line in lines if FILL_IN in line and not line.lstrip().startswith("#"))


def _document(text: str, name: str) -> Document:
    raw = parsed(text, name)
    _require_known_format(raw, text, name)
    document, problems = document_in(raw)
    if document is None or problems:
        raise bad_plant_file(name, text, problems)
    return document


def document_in(raw: Raw) -> tuple[Document | None, list[Problem]]:
    """The document of what a plant file says, and everything that is wrong with it."""
    try:
        document = Document.model_validate(raw, context={AMBIENT: stated_ambient(raw)})
    except ValidationError as error:
        from evenfire.delivery.intake.explaining import problems_of

        return None, problems_of(error, raw)
    return document, contradictions(document, raw)


def _require_known_format(raw: Raw, text: str, name: str) -> None:
    """A newer format is refused before its new keys are called unknown."""
    found = raw.get("format")
    if isinstance(found, int) and not isinstance(found, bool) and found > FORMAT:
        problem = Problem(
            path=("format",),
            found=f"{described(found)} is a newer format than this program reads, which is {FORMAT}",
            do="Use a newer version of evenfire.",
        )
        raise bad_plant_file(name, text, [problem])


def stated_ambient(raw: Raw) -> AbsPa | None:
    """Pressure of the air as far as the site states it; an absolute pressure is refused where nobody did [Pa abs]."""
    try:
        ambient = SiteTable.model_validate(raw.get("site")).ambient()
    except ValidationError:
        return None
    return AbsPa(ambient.value) if ambient is not None else None


def revision_of(plant: Plant) -> str:
    """Identity of a survey without its proposed settings and those left, as 64 hexadecimal digits."""
    boilers = tuple(replace(boiler, proposed=None, as_left=None) for boiler in plant.boilers)
    return identity(replace(plant, boilers=boilers))
