"""The demo plants: all invented, written where the person asks."""

from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path

from evenfire.delivery.acts.files import write_new
from evenfire.errors import BadRequest

LAUNDRY = "laundry.toml"


def demo_plants() -> dict[str, str]:
    """The text of every demo plant, by file name."""
    texts = {each.name: each.read_text(encoding="utf-8") for each in _folder().iterdir() if each.name.endswith(".toml")}
    return dict(sorted(texts.items()))


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
