"""Writing a proposal into a plant file: one table changes, the rest stays as it was typed, and no half file is left.

The table is changed in the bytes of the file and not by writing the document out anew, so that every other byte stays:
a comment in front of the next boiler stays in front of it, and line ends stay what they are.
"""

import contextlib
import hashlib
import os
import stat
import tempfile
from dataclasses import replace
from pathlib import Path
from typing import Final

from evenfire.delivery.intake.opening import decoded, file_bytes
from evenfire.delivery.intake.plant_file import PlantFile, read_plant_bytes
from evenfire.delivery.intake.proposed_text import Entries, entries_of, with_proposed
from evenfire.delivery.intake.toml_text import parsed
from evenfire.delivery.units import UnitSystem
from evenfire.errors import BadPlantFile, BadRequest
from evenfire.plant.settings import Proposed

_LEFT_ALONE: Final = "The file was left as it was."


def write_proposed(
    plant_file: PlantFile, boiler: str, proposed: Proposed, *, system: UnitSystem = UnitSystem.US
) -> PlantFile:
    """Write the proposed settings of one boiler into its file, and give back the file as it now is.

    Comments and all other keys stay. Each pressure is written in the unit of its control's own scale; a control
    without a scale gets the unit of ``system``.

    Raises
    ------
    BadPlantFile
        The file has changed since it was read, or cannot be written; it is then left as it was.
    BadRequest
        There is no such file or boiler, or the proposal does not fit the dials.
    """
    if plant_file.path is None:
        raise BadRequest(f"{plant_file.name} is no file on disk, so nothing can be written into it.")
    path = Path(os.path.realpath(plant_file.path))
    content = _unchanged(path, plant_file)
    place = _place_of(plant_file, boiler)
    text = decoded(content, plant_file.name)
    entries = entries_of(proposed, parsed(text, plant_file.name), place, system)
    mark = content[: len(content) - len(text.encode())]
    new = mark + with_proposed(text, place, entries).encode()
    after = _checked(new, text, plant_file, place, entries)
    _replace(path, new, plant_file)
    return after


def text_with_proposed(
    text: str, plant_file: PlantFile, boiler: str, proposed: Proposed, *, system: UnitSystem = UnitSystem.US
) -> str:
    """The text of a plant file with the proposed settings of one boiler, as :func:`write_proposed` writes them.

    Raises
    ------
    BadRequest
        There is no such boiler, or the proposal does not fit the dials.
    """
    place = _place_of(plant_file, boiler)
    entries = entries_of(proposed, parsed(text, plant_file.name), place, system)
    new = with_proposed(text, place, entries)
    _checked(new.encode(), text, plant_file, place, entries)
    return new


def _place_of(plant_file: PlantFile, boiler: str) -> int:
    names = [each.name for each in plant_file.plant.boilers]
    if boiler not in names:
        raise BadRequest(f"{plant_file.name} has no boiler {boiler!r}; it has {', '.join(names)}.")
    return names.index(boiler)


def _unchanged(path: Path, plant_file: PlantFile) -> bytes:
    content = file_bytes(path)
    if hashlib.sha256(content).hexdigest() != plant_file.digest:
        raise _not_written(plant_file, "it has changed since it was read", "Run the command again.")
    return content


def _checked(new: bytes, old: str, plant_file: PlantFile, place: int, entries: Entries) -> PlantFile:
    """The new content read back: it must be a good plant file that differs in this one table and nowhere else."""
    try:
        after = read_plant_bytes(new, plant_file.name)
    except BadPlantFile as error:
        raise BadRequest(f"The proposal cannot be written into {plant_file.name}: {error}") from error
    before, now = parsed(old, plant_file.name), parsed(decoded(new, plant_file.name), plant_file.name)
    written = now["boiler"][place].pop("proposed", None)
    before["boiler"][place].pop("proposed", None)
    if before != now or written != entries:
        raise BadRequest(f"The proposal cannot be written into {plant_file.name} without touching other keys.")
    return replace(after, path=plant_file.path)


def _replace(path: Path, content: bytes, plant_file: PlantFile) -> None:
    """Write beside, force to disk, and put in its place in one step."""
    if not os.access(path, os.W_OK, effective_ids=os.access in os.supports_effective_ids):
        raise _not_written(plant_file, "it is write-protected", "Allow writing, and run the command again.")
    temporary: Path | None = None
    try:
        mode = stat.S_IMODE(path.stat().st_mode)
        descriptor, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.", suffix=".new")
        temporary = Path(name)
        with os.fdopen(descriptor, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        temporary.chmod(mode)
        _unchanged(path, plant_file)
        temporary.replace(path)
        temporary = None
    except OSError as error:
        why = f"it cannot be written: {(error.strerror or 'unknown reason').lower()}"
        raise _not_written(plant_file, why, "Check the disk, and who may write into its directory.") from error
    finally:
        if temporary is not None:
            temporary.unlink(missing_ok=True)
    _sync_directory(path.parent)


def _sync_directory(directory: Path) -> None:
    """So that the new name also outlives a power cut; where a system cannot do it, the file itself is safe."""
    with contextlib.suppress(OSError):
        descriptor = os.open(directory, os.O_RDONLY)
        try:
            os.fsync(descriptor)
        finally:
            os.close(descriptor)


def _not_written(plant_file: PlantFile, found: str, do: str) -> BadPlantFile:
    return BadPlantFile(file=plant_file.name, line=None, key=None, found=found, do=f"{do} {_LEFT_ALONE}")
