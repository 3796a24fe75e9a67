import pytest

from evenfire.delivery.intake.opening import LARGEST_FILE
from evenfire.delivery.records.survey_uploads import LONGEST_FILE_NAME, plain_name, require_harmless
from evenfire.errors import BadPlantFile
from tests.delivery.acts.typing_surveys import demo


@pytest.mark.parametrize("content", [demo("laundry.toml").encode(), b"mawp = 150", b"[[[[", b"a.b.c = 1\n" * 50])
def test_a_file_that_can_be_read_to_its_end_is_harmless_be_it_good_or_bad(content: bytes) -> None:
    require_harmless(content, "x.toml")


@pytest.mark.parametrize(
    ("content", "why"),
    [(b"#" * (LARGEST_FILE + 1), "MB"), (b"", "empty"), (b"\xff\xfea\x00", "UTF-16"), (b"\x00\x01\x02", "binary")],
)
def test_what_is_no_text_or_too_much_of_it_is_refused_before_anything_reads_it(content: bytes, why: str) -> None:
    with pytest.raises(BadPlantFile, match=why):
        require_harmless(content, "x.toml")


@pytest.mark.parametrize(
    ("sent", "kept"),
    [
        ("laundry.toml", "laundry.toml"),
        ("../../etc/passwd", "passwd"),
        ("C:\\plants\\mine.toml", "mine.toml"),
        ("a\r\nSet-Cookie: x", "a\ufffd\ufffdSet-Cookie: x"),
        ("folder/", "plant file"),
        ("   ", "plant file"),
        (None, "plant file"),
        ("x" * 500, "x" * LONGEST_FILE_NAME),
    ],
)
def test_the_name_of_a_file_is_kept_without_folders_and_on_one_line(sent: str | None, kept: str) -> None:
    assert plain_name(sent) == kept
