"""Compiled code is loaded only from a folder that nobody else can write, and a machine without one still runs.

Code that is loaded from disk is code that runs: whoever can write there is the user. The rows are the usual ways in
which a cache goes wrong (common practice; CWE-379, CWE-732 by title, from memory).
"""

import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from evenfire.physics.compiled import plain, whole

ASK = "from evenfire.physics.compiled import cache_place; print(cache_place())"
NO_TEMPORARY_PLACE = "import tempfile; tempfile._candidate_tempdir_list = lambda: []; " + ASK
"""A machine whose every file system is read-only: the standard library finds no folder to offer."""


class Homes:
    """A stated cache, a home and a place for temporary files, all under one folder."""

    def __init__(self, folder: Path) -> None:
        self.stated, self.home, self.temporary = folder / "stated", folder / "home", folder / "temporary"
        for each in (self.stated, self.home, self.temporary):
            each.mkdir(mode=0o700)

    def place(self, program: str = ASK) -> Path | None:
        """Where a fresh process keeps its compiled code."""
        environment = {
            **os.environ,
            "XDG_CACHE_HOME": str(self.stated),
            "HOME": str(self.home),
            "TMPDIR": str(self.temporary),
        }
        done = subprocess.run(
            [sys.executable, "-c", program], env=environment, capture_output=True, text=True, check=True
        )
        answer = done.stdout.strip()
        return None if answer == "None" else Path(answer)


@pytest.fixture
def homes(tmp_path: Path) -> Homes:
    return Homes(tmp_path)


def lies_under(place: Path | None, folder: Path) -> bool:
    return place is not None and place.is_relative_to(folder)


def put_a_file_in_the_way(folder: Path) -> None:
    """Nobody can make a folder there, not even root, whom no mode stops."""
    folder.rmdir()
    folder.write_text("in the way", encoding="utf-8")


def test_the_stated_cache_comes_first_and_is_private(homes: Homes) -> None:
    place = homes.place()
    assert place is not None
    assert lies_under(place, homes.stated)
    assert place.stat().st_uid == os.getuid()
    assert place.stat().st_mode & 0o777 == 0o700
    assert not place.parent.stat().st_mode & 0o022


def test_the_same_source_keeps_its_place(homes: Homes) -> None:
    assert homes.place() == homes.place()


def test_an_unwritable_stated_cache_falls_back_to_the_home(homes: Homes) -> None:
    put_a_file_in_the_way(homes.stated)
    assert lies_under(homes.place(), homes.home / ".cache")


def test_a_relative_stated_cache_is_ignored(homes: Homes) -> None:
    """As the XDG base directory specification demands of relative paths (read)."""
    homes.stated = Path("relative")
    assert lies_under(homes.place(), homes.home / ".cache")


def test_an_unwritable_home_falls_back_to_the_temporary_folder_with_the_users_own_name(homes: Homes) -> None:
    put_a_file_in_the_way(homes.stated)
    put_a_file_in_the_way(homes.home)
    place = homes.place()
    assert lies_under(place, homes.temporary / f"evenfire-{os.getuid()}")


@pytest.mark.parametrize("program", [NO_TEMPORARY_PLACE, "import tempfile; tempfile.tempdir = '/dev/null'; " + ASK])
def test_without_any_writable_folder_nothing_is_kept(homes: Homes, program: str) -> None:
    put_a_file_in_the_way(homes.stated)
    put_a_file_in_the_way(homes.home)
    assert homes.place(program) is None


def open_to_the_world(place: Path) -> None:
    place.chmod(0o777)


def open_to_the_group(place: Path) -> None:
    place.chmod(0o770)


def parent_open_to_the_world(place: Path) -> None:
    place.parent.chmod(0o777)


def parent_open_with_a_sticky_bit(place: Path) -> None:
    place.parent.chmod(0o1777)


def a_link_to_elsewhere(place: Path) -> None:
    elsewhere = place.parent.parent / "elsewhere"
    place.rename(elsewhere)
    place.symlink_to(elsewhere)


def parent_a_link_to_elsewhere(place: Path) -> None:
    elsewhere = place.parent.parent / "elsewhere"
    place.parent.rename(elsewhere)
    place.parent.symlink_to(elsewhere)


def a_link_that_leads_nowhere(place: Path) -> None:
    place.rmdir()
    place.symlink_to(place.parent / "nowhere")


def a_file(place: Path) -> None:
    put_a_file_in_the_way(place)


PLANTED: list[Callable[[Path], None]] = [
    open_to_the_world,
    open_to_the_group,
    parent_open_to_the_world,
    parent_open_with_a_sticky_bit,
    a_link_to_elsewhere,
    parent_a_link_to_elsewhere,
    a_link_that_leads_nowhere,
    a_file,
]


@pytest.mark.parametrize("plant", PLANTED, ids=lambda plant: plant.__name__)
def test_a_folder_that_somebody_else_could_write_is_refused(homes: Homes, plant: Callable[[Path], None]) -> None:
    place = homes.place()
    assert place is not None
    assert lies_under(place, homes.stated)
    plant(place)
    assert lies_under(homes.place(), homes.home / ".cache")


@pytest.mark.parametrize("plant", [open_to_the_world, a_link_to_elsewhere], ids=lambda plant: plant.__name__)
def test_a_folder_planted_among_temporary_files_is_refused_too(homes: Homes, plant: Callable[[Path], None]) -> None:
    put_a_file_in_the_way(homes.stated)
    put_a_file_in_the_way(homes.home)
    place = homes.place()
    assert place is not None
    plant(place)
    assert homes.place() is None


@pytest.mark.parametrize("which", ["place", "parent"])
def test_a_folder_of_another_user_is_refused(homes: Homes, which: str) -> None:
    """Root gives the folder away; anybody else states a cache that belongs to root."""
    if os.getuid() == 0:
        place = homes.place()
        assert place is not None
        os.chown(place if which == "place" else place.parent, 65534, 65534)
    else:
        homes.stated = Path("/")
    assert lies_under(homes.place(), homes.home / ".cache")


def test_a_whole_constant_is_the_same_number() -> None:
    assert whole(7) == 7
    assert {whole(3): "three"}[3] == "three"


def test_a_function_that_is_not_compiled_is_its_own_plain_one() -> None:
    assert plain(lies_under) is lies_under
