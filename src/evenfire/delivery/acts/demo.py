"""The demo plants: all invented, written where the person asks."""

from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from importlib.resources.abc import Traversable
from itertools import takewhile
from pathlib import Path

from evenfire.delivery.acts.files import write_new
from evenfire.delivery.intake.plant_file import read_plant_text
from evenfire.errors import BadRequest

LAUNDRY = "laundry.toml"
SAME_BOILER = "There are two surveys of this boiler: the one that is taken last is its newest."


@dataclass(frozen=True, slots=True, kw_only=True)
class DemoPlant:
    """A demo plant with what it is."""

    name: str
    """Of its file"""
    title: str
    """Site and boilers"""
    told: str


def demo_plants() -> dict[str, str]:
    """The text of every demo plant, by file name."""
    texts = {each.name: each.read_text(encoding="utf-8") for each in _folder().iterdir() if each.name.endswith(".toml")}
    return dict(sorted(texts.items()))


@cache
def demo_told() -> tuple[DemoPlant, ...]:
    """Every demo plant with what it is, from its own first lines; what is wrong there is for the reader to find."""
    plants = {name: read_plant_text(text, name).plant for name, text in demo_plants().items()}
    titles = {
        name: f"{each.site.name}, {', '.join(boiler.name for boiler in each.boilers)}" for name, each in plants.items()
    }
    found = []
    for name, text in demo_plants().items():
        head = [
            line.removeprefix("#").strip() for line in takewhile(lambda each: each.startswith("#"), text.splitlines())
        ]
        told = " ".join(head).removeprefix("Invented plant:").partition("Planted fault:")[0].strip()
        for other, title in titles.items():
            # Whoever reads this on a screen has no files beside it.
            told = told.replace(other, title)
        if list(titles.values()).count(titles[name]) > 1:
            told = f"{told} {SAME_BOILER}"
        found.append(DemoPlant(name=name, title=titles[name], told=f"{told[:1].upper()}{told[1:]}"))
    return tuple(found)


def write_demo_plants(folder: Path) -> tuple[Path, ...]:
    """Write the demo plants into a folder; a file that is there with the same text is left, another is never touched.

    Raises
    ------
    BadRequest
        The folder cannot be made, or holds a file of that name with other content.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise BadRequest(f"{folder} cannot be made: {error.strerror}.") from error
    written = []
    for name, text in demo_plants().items():
        path = folder / name
        if not (path.is_file() and path.read_text(encoding="utf-8", errors="replace") == text):
            write_new(path, text)
        written.append(path)
    return tuple(written)


def _folder() -> Traversable:
    """Inside the installed package; in a checkout, where nothing is copied, the one copy in ``examples``."""
    installed = files("evenfire.delivery").joinpath("demo_plants")
    return installed if installed.is_dir() else Path(__file__).parents[4] / "examples"
