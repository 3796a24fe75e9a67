"""A proposal is written into its one table; every other byte of the file stays, and no half file is ever left."""

import os
import stat
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from evenfire.delivery.intake.plant_file import PlantFile, read_plant_file, read_plant_text
from evenfire.delivery.intake.proposed_text import entries_of, with_proposed
from evenfire.delivery.intake.writing import write_proposed
from evenfire.delivery.units import UnitSystem
from evenfire.errors import BadPlantFile, BadRequest
from evenfire.plant.controls import Role
from evenfire.plant.settings import DialReading, Proposed, Settings
from evenfire.si import PA_PER_BAR, PA_PER_PSI, DiffPa, GaugePa
from tests.delivery.intake.samples import LAUNDRY, SCHOOL, SMALLEST, changed, unprivileged_folder

HEADER = "[boiler.proposed]"
REVISION = "ab" * 32


def psi(pressure: float) -> GaugePa:
    return GaugePa(pressure * PA_PER_PSI)


def reading(main: float, differential: float | None = None) -> DialReading:
    """A dial in psi."""
    return DialReading(main=psi(main), differential=None if differential is None else DiffPa(differential * PA_PER_PSI))


PROPOSED = Proposed(
    settings=Settings(
        operating_limit=reading(128, 8),
        high_limit=reading(138),
        firing_rate=reading(110, 10),
        low_fire_hold=reading(60),
        proved=frozenset({Role.HIGH_LIMIT}),
    ),
    plant_revision=REVISION,
    engine_version="0.1.0",
)
TABLE = f"""\

[boiler.proposed]
operating_limit = "128 psi"
operating_limit_differential = "8 psi"
high_limit = "138 psi"
firing_rate = "110 psi"
firing_rate_differential = "10 psi"
low_fire_hold = "60 psi"
proved = ["high_limit"]
plant_revision = "{REVISION}"
engine_version = "0.1.0"
"""


def file_with(folder: Path, text: str) -> PlantFile:
    path = folder / "plant.toml"
    path.write_bytes(text.encode())
    return read_plant_file(path)


def content(plant_file: PlantFile) -> str:
    assert plant_file.path is not None
    return plant_file.path.read_bytes().decode()


def two_boilers() -> str:
    second = LAUNDRY[LAUNDRY.index("[[boiler]]") :].replace('"No. 1"', '"No. 2"')
    return f"{LAUNDRY}\n# The second boiler stands behind the first.\n{second}"


def test_the_table_is_added_behind_the_boiler_and_nothing_else_changes(tmp_path: Path) -> None:
    plant_file = file_with(tmp_path, LAUNDRY)
    write_proposed(plant_file, "No. 1", PROPOSED)
    assert content(plant_file) == LAUNDRY + TABLE


def test_what_was_written_is_read_back_as_the_same_proposal(tmp_path: Path) -> None:
    after = write_proposed(file_with(tmp_path, LAUNDRY), "No. 1", PROPOSED)
    assert after.plant.boilers[0].proposed == PROPOSED
    assert after.path is not None
    assert read_plant_file(after.path) == after


def test_a_second_proposal_takes_the_place_of_the_first_and_leaves_its_comments(tmp_path: Path) -> None:
    first = changed('high_limit = "138 psi"\n', 'high_limit = "138 psi"   # ask the insurer\n# and the owner\n', TABLE)
    plant_file = file_with(tmp_path, f"{LAUNDRY}{first}\n# end of the file\n")
    settings = replace(PROPOSED.settings, high_limit=reading(136), low_fire_hold=None, proved=frozenset())
    write_proposed(plant_file, "No. 1", replace(PROPOSED, settings=settings))
    expected = changed('"138 psi"', '"136 psi"', first)
    expected = changed('low_fire_hold = "60 psi"\n', "", changed('["high_limit"]', "[]", expected))
    assert content(plant_file) == f"{LAUNDRY}{expected}\n# end of the file\n"


def test_a_key_that_is_new_in_the_table_stands_before_the_comments_that_follow_it(tmp_path: Path) -> None:
    first = changed('low_fire_hold = "60 psi"\n', "", TABLE)
    plant_file = file_with(tmp_path, f"{LAUNDRY}{first}\n# end of the file\n")
    write_proposed(plant_file, "No. 1", PROPOSED)
    assert content(plant_file) == f'{LAUNDRY}{first}low_fire_hold = "60 psi"\n\n# end of the file\n'


def test_the_first_of_two_boilers_is_written_before_the_comment_that_leads_to_the_second(tmp_path: Path) -> None:
    plant_file = file_with(tmp_path, two_boilers())
    write_proposed(plant_file, "No. 1", PROPOSED)
    lead = "\n# The second boiler stands behind the first.\n"
    assert content(plant_file) == two_boilers().replace(lead, f"{TABLE}{lead}")


def test_a_comment_that_follows_closely_is_kept_apart_from_the_new_table() -> None:
    text = '[[boiler]]\nname = "a"  # one\n# two\n[[boiler]]\nname = "b"\n'
    after = with_proposed(text, 0, {"plant_revision": "r"})
    assert after == changed("# two", '\n[boiler.proposed]\nplant_revision = "r"\n\n# two', text)


def test_the_second_of_two_boilers_is_written_at_the_end(tmp_path: Path) -> None:
    plant_file = file_with(tmp_path, two_boilers())
    after = write_proposed(plant_file, "No. 2", PROPOSED)
    assert content(plant_file) == two_boilers() + TABLE
    assert [boiler.proposed is not None for boiler in after.plant.boilers] == [False, True]


def test_both_boilers_can_be_written_one_after_the_other(tmp_path: Path) -> None:
    once = write_proposed(file_with(tmp_path, two_boilers()), "No. 1", PROPOSED)
    twice = write_proposed(once, "No. 2", PROPOSED)
    assert content(twice).count(HEADER) == 2
    assert twice.revision == once.revision


@pytest.mark.parametrize("mark", [b"", b"\xef\xbb\xbf"])
def test_the_line_ends_and_the_mark_of_another_system_are_kept(tmp_path: Path, mark: bytes) -> None:
    path = tmp_path / "plant.toml"
    path.write_bytes(mark + LAUNDRY.replace("\n", "\r\n").encode())
    write_proposed(read_plant_file(path), "No. 1", PROPOSED)
    assert path.read_bytes() == mark + (LAUNDRY + TABLE).replace("\n", "\r\n").encode()


def test_a_file_without_a_line_end_at_its_end_gets_one(tmp_path: Path) -> None:
    plant_file = file_with(tmp_path, LAUNDRY.rstrip("\n"))
    write_proposed(plant_file, "No. 1", PROPOSED)
    assert content(plant_file) == LAUNDRY + TABLE


def test_a_control_is_written_in_the_unit_of_its_own_scale(tmp_path: Path) -> None:
    scale = 'scale = { from = "10 psi", to = "200 psi", division = "2 psi" }'
    text = changed(scale, 'scale = { from = "0.5 bar", to = "16 bar", division = "0.1 bar" }')
    plant_file = file_with(tmp_path, text)
    settings = replace(PROPOSED.settings, high_limit=DialReading(main=GaugePa(9.4 * PA_PER_BAR)))
    write_proposed(plant_file, "No. 1", replace(PROPOSED, settings=settings))
    assert 'high_limit = "9.4 bar"\n' in content(plant_file)
    assert 'operating_limit = "128 psi"\n' in content(plant_file)


@pytest.mark.parametrize(("system", "written"), [(UnitSystem.US, '"116.0302 psi"'), (UnitSystem.SI, '"8.0 bar"')])
def test_a_control_without_a_scale_is_written_in_the_readers_units(system: UnitSystem, written: str) -> None:
    """8 bar are 116.0302 psi (NIST SP 811: 1 bar = 14.50377 psi); only so many digits as are needed to say it."""
    settings = Settings(high_limit=DialReading(main=GaugePa(8 * PA_PER_BAR)))
    proposed = replace(PROPOSED, settings=settings)
    shown = entries_of(proposed, {"boiler": [{}]}, 0, system)["high_limit"]
    assert isinstance(shown, str)
    number, unit = shown.split()
    wanted, wanted_unit = written.strip('"').split()
    assert unit == wanted_unit
    assert float(number) == pytest.approx(float(wanted), abs=5e-5)


@given(halves=st.integers(min_value=2, max_value=600), unit=st.sampled_from([PA_PER_PSI, PA_PER_BAR / 10]))
def test_every_graduation_of_a_dial_comes_back_from_its_text(halves: int, unit: float) -> None:
    settings = Settings(high_limit=DialReading(main=GaugePa(halves / 2 * unit)))
    scale = {"from": "0 psi" if unit == PA_PER_PSI else "0 bar"}
    raw = {"boiler": [{"controls": {"high_limit": {"scale": scale}}}]}
    entries = entries_of(replace(PROPOSED, settings=settings), raw, 0, UnitSystem.US)
    after = read_plant_text(with_proposed(SMALLEST, 0, entries), "a").plant.boilers[0].proposed
    assert after is not None
    assert after.settings.high_limit is not None
    assert after.settings.high_limit.main == pytest.approx(halves / 2 * unit, abs=0.01)


def test_a_boiler_that_the_file_does_not_have_is_refused_with_the_names_it_has(tmp_path: Path) -> None:
    plant_file = file_with(tmp_path, LAUNDRY)
    with pytest.raises(BadRequest, match=r"no boiler 'No\. 7'.*No\. 1"):
        write_proposed(plant_file, "No. 7", PROPOSED)
    assert content(plant_file) == LAUNDRY


def test_a_plant_that_came_from_a_text_has_no_file_to_write() -> None:
    with pytest.raises(BadRequest, match="no file on disk"):
        write_proposed(read_plant_text(LAUNDRY, "text"), "No. 1", PROPOSED)


def test_a_proposal_that_is_off_its_dial_is_refused(tmp_path: Path) -> None:
    plant_file = file_with(tmp_path, LAUNDRY)
    settings = replace(PROPOSED.settings, operating_limit=reading(170, 8))
    with pytest.raises(BadRequest, match="off its own dial, which ends at 150 psi"):
        write_proposed(plant_file, "No. 1", replace(PROPOSED, settings=settings))
    assert content(plant_file) == LAUNDRY


def test_a_boiler_written_in_braces_is_refused_because_it_has_no_place_for_a_table(tmp_path: Path) -> None:
    text = 'format = 1\nsite = { name = "x" }\nboiler = [{ name = "a", kind = "coil", mawp = "150 psi" }]\n'
    plant_file = file_with(tmp_path, text)
    with pytest.raises(BadRequest, match="header of its own"):
        write_proposed(plant_file, "a", replace(PROPOSED, settings=Settings()))
    assert content(plant_file) == text


def test_a_proposal_written_in_braces_by_hand_is_not_overwritten_by_guess(tmp_path: Path) -> None:
    text = changed('feed = "on-off"', 'proposed = { plant_revision = "x", engine_version = "y" }')
    plant_file = file_with(tmp_path, text)
    with pytest.raises(BadRequest):
        write_proposed(plant_file, "No. 1", PROPOSED)
    assert content(plant_file) == text


def test_a_file_that_changed_since_it_was_read_is_left_alone(tmp_path: Path) -> None:
    plant_file = file_with(tmp_path, LAUNDRY)
    assert plant_file.path is not None
    newer = LAUNDRY + "# somebody was here\n"
    plant_file.path.write_text(newer, encoding="utf-8")
    with pytest.raises(BadPlantFile, match="has changed since it was read"):
        write_proposed(plant_file, "No. 1", PROPOSED)
    assert content(plant_file) == newer


def test_a_file_that_is_gone_is_refused(tmp_path: Path) -> None:
    plant_file = file_with(tmp_path, LAUNDRY)
    assert plant_file.path is not None
    plant_file.path.unlink()
    with pytest.raises(BadPlantFile, match="no such file"):
        write_proposed(plant_file, "No. 1", PROPOSED)


def test_the_mode_of_the_file_is_kept_and_nothing_is_left_beside_it(tmp_path: Path) -> None:
    plant_file = file_with(tmp_path, LAUNDRY)
    assert plant_file.path is not None
    plant_file.path.chmod(0o640)
    write_proposed(plant_file, "No. 1", PROPOSED)
    assert stat.S_IMODE(plant_file.path.stat().st_mode) == 0o640
    assert [each.name for each in tmp_path.iterdir()] == ["plant.toml"]


def test_a_link_stays_a_link_and_its_file_is_written(tmp_path: Path) -> None:
    plant_file = file_with(tmp_path, LAUNDRY)
    link = tmp_path / "link.toml"
    link.symlink_to("plant.toml")
    write_proposed(read_plant_file(link), "No. 1", PROPOSED)
    assert link.is_symlink()
    assert content(plant_file) == LAUNDRY + TABLE


def test_a_folder_that_may_not_be_written_leaves_the_file_as_it_was() -> None:
    with unprivileged_folder() as folder:
        plant_file = file_with(folder, LAUNDRY)
        folder.chmod(0o555)
        with pytest.raises(BadPlantFile, match="cannot be written: permission denied"):
            write_proposed(plant_file, "No. 1", PROPOSED)
        assert content(plant_file) == LAUNDRY
        folder.chmod(0o755)
        assert [each.name for each in folder.iterdir()] == ["plant.toml"]


def test_a_write_protected_file_is_left_as_it_was() -> None:
    with unprivileged_folder() as folder:
        plant_file = file_with(folder, LAUNDRY)
        assert plant_file.path is not None
        plant_file.path.chmod(0o444)
        with pytest.raises(BadPlantFile, match="write-protected"):
            write_proposed(plant_file, "No. 1", PROPOSED)
        assert content(plant_file) == LAUNDRY


def test_a_disk_that_is_full_leaves_the_file_as_it_was_and_nothing_beside_it(tmp_path: Path) -> None:
    """A limit on the size of files stands for the full disk: the write fails in the middle."""
    plant_file = file_with(tmp_path, LAUNDRY)
    code = (
        "import resource, signal, sys; from pathlib import Path\n"
        "from tests.delivery.intake.test_writing import PROPOSED, read_plant_file, write_proposed, BadPlantFile\n"
        "signal.signal(signal.SIGXFSZ, signal.SIG_IGN)\n"
        "plant_file = read_plant_file(Path(sys.argv[1]))\n"
        "resource.setrlimit(resource.RLIMIT_FSIZE, (1000, 1000))\n"
        "try: write_proposed(plant_file, 'No. 1', PROPOSED)\n"
        "except BadPlantFile as error: sys.exit(0 if 'cannot be written: file too large' in error.found else 3)\n"
        "sys.exit(4)\n"
    )
    root = Path(__file__).parents[3]
    environment = {**os.environ, "PYTHONPATH": str(root), "PYTHONDONTWRITEBYTECODE": "1"}
    done = subprocess.run(
        [sys.executable, "-c", code, str(plant_file.path)],
        cwd=root,
        env=environment,
        capture_output=True,
        text=True,
        timeout=120,
    )
    assert done.returncode == 0, done.stderr
    assert content(plant_file) == LAUNDRY
    assert [each.name for each in tmp_path.iterdir()] == ["plant.toml"]


def test_a_process_that_is_killed_at_any_moment_leaves_the_old_file_or_the_new_one(tmp_path: Path) -> None:
    plant_file = file_with(tmp_path, LAUNDRY)
    code = (
        "import sys; from pathlib import Path\n"
        "from tests.delivery.intake.test_writing import PROPOSED, read_plant_file, write_proposed\n"
        "path, text = Path(sys.argv[1]), Path(sys.argv[1]).read_bytes()\n"
        "plant_file = read_plant_file(path)\n"
        "print('ready', flush=True)\n"
        "while True: plant_file = write_proposed(plant_file, 'No. 1', PROPOSED)\n"
    )
    root = Path(__file__).parents[3]
    environment = {**os.environ, "PYTHONPATH": str(root), "PYTHONDONTWRITEBYTECODE": "1"}
    command = [sys.executable, "-c", code, str(plant_file.path)]
    with subprocess.Popen(command, cwd=root, env=environment, stdout=subprocess.PIPE, text=True) as writer:
        assert writer.stdout is not None
        assert writer.stdout.readline() == "ready\n"
        for _ in range(200):
            assert content(plant_file) in {LAUNDRY, LAUNDRY + TABLE}
        writer.kill()
    assert content(plant_file) in {LAUNDRY, LAUNDRY + TABLE}


def test_the_school_takes_a_proposal_in_its_half_pounds(tmp_path: Path) -> None:
    settings = Settings(
        operating_limit=reading(8.5, 1.5),
        high_limit=reading(11),
        proved=frozenset({Role.OPERATING_LIMIT, Role.HIGH_LIMIT}),
    )
    plant_file = file_with(tmp_path, SCHOOL)
    write_proposed(plant_file, "Heating boiler", replace(PROPOSED, settings=settings))
    assert content(plant_file).startswith(SCHOOL)
    assert 'operating_limit = "8.5 psi"\noperating_limit_differential = "1.5 psi"\n' in content(plant_file)
    assert 'proved = ["operating_limit", "high_limit"]\n' in content(plant_file)
