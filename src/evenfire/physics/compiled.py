"""The compiler of the simulation, and where it keeps what it compiled: the one place of the core that knows of files.

Compiled code is kept between runs in a folder that only its owner can write, named for the source it was made from:
the compiler itself looks at one file at a time and would go on using a loop whose parts have changed. Where no such
folder can be had, nothing is kept and every run compiles again.
"""

import hashlib
import os
import stat
import sys
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar, cast

import numba
import numpy as np

Function = TypeVar("Function", bound=Callable[..., object])

if TYPE_CHECKING:

    def compiled(function: Function) -> Function:
        """The same function as machine code that Python calls: kept between runs, and free of the interpreter lock."""
        return function

    def part(function: Function) -> Function:
        """The same function as machine code that only compiled code calls: it compiles in half the time."""
        return function

else:

    def compiled(function: Function) -> Function:
        """The same function as machine code that Python calls: kept between runs, and free of the interpreter lock."""
        place = cache_place()
        before = numba.config.CACHE_DIR
        numba.config.CACHE_DIR = "" if place is None else str(place)
        try:
            # No fast mathematics are asked for: plain Python must come to the same states.
            return numba.njit(function, cache=place is not None, nogil=True, error_model="numpy", no_cfunc_wrapper=True)
        finally:
            numba.config.CACHE_DIR = before

    def part(function: Function) -> Function:
        """The same function as machine code that only compiled code calls: it compiles in half the time."""
        return numba.njit(function, error_model="numpy", no_cfunc_wrapper=True, no_cpython_wrapper=True)


def whole(number: int) -> int:
    """A whole constant that compiled code takes for any whole number: of a plain one it makes a version per value."""
    return cast("int", np.int64(number))


def plain(function: Function) -> Function:
    """The Python function behind a compiled one; a function that is not compiled is its own."""
    return cast("Function", getattr(function, "py_func", function))


def cache_place() -> Path | None:
    """Folder for compiled code, or nothing when no place is both writable and safe."""
    if not _PLACE:
        _PLACE.append(next((place for place in _candidates() if _is_ours_alone(place)), None))
    return _PLACE[0]


_PLACE: list[Path | None] = []


def _candidates() -> Iterator[Path]:
    name = f"{_fingerprint()}-{sys.implementation.cache_tag}"
    stated = os.environ.get("XDG_CACHE_HOME", "")
    if os.path.isabs(stated):
        yield Path(stated) / "evenfire" / name
    home = os.path.expanduser("~")
    if os.path.isabs(home):
        yield Path(home) / ".cache" / "evenfire" / name
    try:
        shared = tempfile.gettempdir()
    except OSError:  # there is no place at all that can be written
        return
    yield Path(shared) / f"evenfire-{os.getuid() if hasattr(os, 'getuid') else 'user'}" / name


def _is_ours_alone(place: Path) -> bool:
    """Make the folder if need be; code is loaded from it, so nobody else may own it or write there."""
    try:
        place.mkdir(mode=0o700, parents=True, exist_ok=True)
        with tempfile.TemporaryFile(dir=place):
            pass
        if not hasattr(os, "getuid"):
            return True
        return all(_is_private(each) for each in (place, place.parent))
    except OSError:
        return False


def _is_private(folder: Path) -> bool:
    state = folder.lstat()
    return (
        stat.S_ISDIR(state.st_mode)
        and state.st_uid == os.getuid()
        and not state.st_mode & (stat.S_IWGRP | stat.S_IWOTH)
    )


def _fingerprint() -> str:
    """Of everything that compiled code is made from."""
    digest = hashlib.sha256(f"{numba.__version__} {np.__version__} {sys.version}".encode())
    for source in sorted(Path(__file__).parent.rglob("*.py")):
        digest.update(source.read_bytes())
    return digest.hexdigest()[:16]
