"""What is no readable plant file is refused before anything looks into it."""

import os
from pathlib import Path

import pytest

from evenfire.delivery.intake.opening import LARGEST_FILE
from evenfire.delivery.intake.plant_file import read_plant_file, read_plant_text
from evenfire.errors import BadPlantFile
from tests.delivery.intake.samples import EXAMPLES, LAUNDRY, changed, line_with, unprivileged_folder


def refused(path: Path) -> BadPlantFile:
    with pytest.raises(BadPlantFile) as caught:
        read_plant_file(path)
    assert caught.value.file == str(path)
    assert str(caught.value).isprintable()
    return caught.value


def file_with(folder: Path, content: bytes) -> Path:
    path = folder / "plant.toml"
    path.write_bytes(content)
    return path


def test_a_missing_file_is_named_and_a_new_one_offered(tmp_path: Path) -> None:
    error = refused(tmp_path / "none.toml")
    assert "no such file" in error.found
    assert "evenfire new" in error.do


def test_a_directory_is_no_plant_file(tmp_path: Path) -> None:
    assert "directory" in refused(tmp_path).found


def test_a_part_of_the_path_that_is_a_file_is_refused(tmp_path: Path) -> None:
    assert "not a directory" in refused(file_with(tmp_path, b"") / "plant.toml").found


def test_a_pipe_is_refused_without_waiting_for_it(tmp_path: Path) -> None:
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    assert "no plain file" in refused(pipe).found


def test_a_name_that_no_file_can_have_is_refused() -> None:
    with pytest.raises(BadPlantFile, match="character that no file name can"):
        read_plant_file(Path("a\0b"))


def test_an_empty_file_is_called_empty(tmp_path: Path) -> None:
    for content in (b"", b"\n \r\n", b"\xef\xbb\xbf"):
        error = refused(file_with(tmp_path, content))
        assert "empty" in error.found
        assert "evenfire new" in error.do


def test_ten_megabytes_are_refused_with_their_size(tmp_path: Path) -> None:
    error = refused(file_with(tmp_path, b"#" * 10_000_000))
    assert "10.0 MB" in error.found
    assert "1 MB" in error.found


def test_the_largest_file_that_is_allowed_is_read(tmp_path: Path) -> None:
    padded = LAUNDRY.encode() + b"#" * (LARGEST_FILE - len(LAUNDRY.encode()))
    assert read_plant_file(file_with(tmp_path, padded)).plant.boilers[0].name == "No. 1"
    assert "MB" in refused(file_with(tmp_path, padded + b"#")).found


def test_a_text_given_over_a_wire_has_the_same_limit() -> None:
    with pytest.raises(BadPlantFile, match="MB"):
        read_plant_text("#" * (LARGEST_FILE + 1), "upload")


def test_a_binary_file_is_called_binary(tmp_path: Path) -> None:
    error = refused(file_with(tmp_path, b"format = 1\n\x89PNG\r\n\x1a\n\x00\x00"))
    assert "binary" in error.found


@pytest.mark.parametrize("encoding", ["utf-16", "utf-16-le", "utf-16-be", "utf-32"])
def test_wide_text_is_named_and_utf_8_asked_for(tmp_path: Path, encoding: str) -> None:
    error = refused(file_with(tmp_path, LAUNDRY.encode(encoding)))
    assert "UTF-16" in error.found or "UTF-32" in error.found
    assert "UTF-8" in error.do


def test_a_degree_sign_of_an_old_encoding_is_refused_on_its_line(tmp_path: Path) -> None:
    text = changed('"200 F"', '"200 \u00b0F"')
    error = refused(file_with(tmp_path, text.encode("latin-1")))
    assert error.line == line_with("feedwater_temperature", LAUNDRY)
    assert "0xB0" in error.found
    assert "UTF-8" in error.do
    assert read_plant_file(file_with(tmp_path, text.encode())).plant.boilers[0].feedwater_temperature is not None


def test_a_byte_order_mark_and_the_line_ends_of_another_system_are_read(tmp_path: Path) -> None:
    plain = read_plant_text(LAUNDRY, "laundry.toml")
    other = read_plant_file(file_with(tmp_path, b"\xef\xbb\xbf" + LAUNDRY.replace("\n", "\r\n").encode()))
    assert other.plant == plain.plant
    assert other.revision == plain.revision
    assert other.digest != plain.digest


def test_the_line_of_a_problem_is_right_with_the_line_ends_of_another_system() -> None:
    text = changed("turndown = 4", "turndown = -4").replace("\n", "\r\n")
    with pytest.raises(BadPlantFile) as caught:
        read_plant_text(text, "laundry.toml")
    assert caught.value.line == line_with("turndown", LAUNDRY)


def test_a_file_that_may_not_be_read_is_refused() -> None:
    with unprivileged_folder() as folder:
        path = file_with(folder, b"format = 1")
        path.chmod(0)
        error = refused(path)
    assert "permission denied" in error.found
    assert "who may read" in error.do


def test_the_examples_are_readable_as_files() -> None:
    for name in ("laundry", "school", "school-by-dial"):
        assert read_plant_file(EXAMPLES / f"{name}.toml").path == EXAMPLES / f"{name}.toml"
