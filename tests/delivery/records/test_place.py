import os
import sys
from pathlib import Path

import pytest

from evenfire.delivery.records import registers
from evenfire.delivery.records.database import Store
from evenfire.delivery.records.place import default_place, network_drive
from evenfire.errors import BadStore


# Where user data goes: XDG Base Directory Specification 0.8, which also says that a relative path is to be ignored.
@pytest.mark.skipif(sys.platform != "linux", reason="the folders of another system")
@pytest.mark.parametrize(
    ("told", "place"),
    [
        ({}, "/home/ada/.local/share/evenfire/store.sqlite"),
        ({"XDG_DATA_HOME": "/data"}, "/data/evenfire/store.sqlite"),
        ({"XDG_DATA_HOME": "data"}, "/home/ada/.local/share/evenfire/store.sqlite"),
        ({"EVENFIRE_STORE": "/srv/ours.sqlite", "XDG_DATA_HOME": "/data"}, "/srv/ours.sqlite"),
        ({"EVENFIRE_STORE": "postgresql://ada@office/boilers"}, "postgresql://ada@office/boilers"),
        ({"EVENFIRE_STORE": "  "}, "/home/ada/.local/share/evenfire/store.sqlite"),
    ],
)
def test_the_default_place_is_what_the_person_named_or_a_folder_of_his_own(
    monkeypatch: pytest.MonkeyPatch, told: dict[str, str], place: str
) -> None:
    for name in ("EVENFIRE_STORE", "XDG_DATA_HOME"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("HOME", "/home/ada")
    for name, value in told.items():
        monkeypatch.setenv(name, value)
    assert default_place() == place


def test_a_link_to_a_store_is_the_store(tmp_path: Path) -> None:
    real = tmp_path / "disk" / "store.sqlite"
    link = tmp_path / "link.sqlite"
    Store.open(real).close()
    link.symlink_to(real)
    with Store.open(link) as store:
        registers.add_site(store, "Kiln Lane")
        assert store.place == str(real)
    assert link.is_symlink()
    assert [path.name for path in tmp_path.iterdir() if path.is_file()] == ["link.sqlite"]
    with Store.open(real) as store:
        assert len(registers.sites_of(store)) == 1


@pytest.mark.skipif(sys.platform != "linux" or os.getuid() != 0, reason="only root may write where nobody does")
def test_a_folder_that_cannot_be_made_is_told_with_why(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    for path in (tmp_path / "file" / "store.sqlite", Path("/proc/evenfire/store.sqlite")):
        with pytest.raises(BadStore, match="it cannot be made: "):
            Store.open(path)


def test_a_drive_that_no_table_names_is_not_guessed_at() -> None:
    assert network_drive(Path("/home/ada/store.sqlite"), "") is None
    assert network_drive(Path("/home/ada/store.sqlite"), "nonsense\n\n a b") is None
    assert network_drive(Path("\\\\office\\share\\store.sqlite"), "") == "network share"
