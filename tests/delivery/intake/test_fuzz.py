"""Whatever stands in a file, either a plant comes out of it or one plain refusal: nothing else, and in a short time."""

from hypothesis import example, given
from hypothesis import strategies as st

from evenfire.delivery.intake.plant_file import read_plant_bytes
from evenfire.delivery.intake.template import new_plant_file
from evenfire.errors import BadPlantFile
from tests.delivery.intake.samples import LAUNDRY, SCHOOL

FILES = (LAUNDRY, SCHOOL, new_plant_file())
SIGNS = ["[", "]", "{", "}", "=", ".", ",", '"', "'", "#", "\n", "\r", "\t", "\0", "[[", "]]", '"""', "\ufeff", "\\"]
TABLES = ["[[boiler]]\n", "\n[boiler]\n", "\n[site]\n", "[[boiler.controls]]\n", "[]", "{}"]
ODD_VALUES = ["nan", "inf", "-1", "1e999", "0x1", "true", "2026-11-03", "T10:00:00", '"-1 psi"', '"1e300 psi"', '"0 %"']
PIECES = sorted({*(word for text in FILES for word in text.split()), *SIGNS, *TABLES, *ODD_VALUES})


def read_or_refuse(content: bytes) -> BadPlantFile | None:
    try:
        read_plant_bytes(content, "fuzzed.toml")
    except BadPlantFile as error:
        refusal = error
    else:
        return None
    message = str(refusal)
    assert message.isprintable()
    assert message.startswith("fuzzed.toml")
    assert refusal.found
    assert refusal.do
    assert len(message) < 2000
    return refusal


@st.composite
def mutated(draw: st.DrawFn) -> bytes:
    """A good file with some pieces cut out, put in, or put in the place of others."""
    text = draw(st.sampled_from(FILES))
    for _ in range(draw(st.integers(min_value=1, max_value=4))):
        start = draw(st.integers(min_value=0, max_value=len(text)))
        length = draw(st.integers(min_value=0, max_value=20))
        text = text[:start] + draw(st.sampled_from(PIECES) | st.text(max_size=5)) + text[start + length :]
    return text.encode(errors="surrogatepass")


@st.composite
def with_other_values(draw: st.DrawFn) -> bytes:
    """A good file in which some values are others: the syntax stays good, so that the tables have to judge."""
    lines = draw(st.sampled_from(FILES)).split("\n")
    places = [place for place, line in enumerate(lines) if " = " in line and not line.startswith("#")]
    for _ in range(draw(st.integers(min_value=1, max_value=4))):
        place = draw(st.sampled_from(places))
        key = lines[place].split(" = ")[0]
        lines[place] = f"{key} = {draw(VALUES)}"
    return "\n".join(lines).encode()


NUMBER = st.floats(allow_nan=False) | st.integers() | st.sampled_from(["1e400", "-0.0", "1_000", "0x1F"])
UNIT = st.sampled_from(["psi", "bar", "psia", "%", "s", "gal", "lb/h", "F", "MBtu/h", "", "ft", "psi psi"])
QUANTITY = st.builds(lambda number, unit: f'"{number} {unit}"', NUMBER, UNIT)
SIMPLE = QUANTITY | st.sampled_from(["true", "nan", "-inf", "1", "-1", "0.5", "2026-11-03", "10:00:00", '""', '"none"'])
VALUES = SIMPLE | st.lists(SIMPLE, max_size=3).map(lambda each: f"[{', '.join(each)}]") | st.dictionaries(
    st.sampled_from(["from", "to", "division", "fixed", "dial", "height", "shape", "size", "a"]), SIMPLE, max_size=4
).map(lambda table: "{ " + ", ".join(f"{key} = {value}" for key, value in table.items()) + " }")  # fmt: skip


@given(mutated())
@example(b'format = 1\n[site]\nname = "a"\n[[boiler]]\nname = "b"\nkind = "coil"\nmawp = "1 psi"\n')
@example(b"[[boiler]]\n[boiler.controls]\n[[boiler.controls.high_limit]]\n")
@example(b"boiler = 1\n[site]\n")
@example(b"site = []\nload = 1\nformat = []\nboiler = [1, {}]\n")
def test_a_mutated_file_is_read_or_refused(content: bytes) -> None:
    error = read_or_refuse(content)
    assert error is None or str(error)


@given(with_other_values())
def test_a_file_with_other_values_is_read_or_refused_on_a_line_that_it_has(content: bytes) -> None:
    error = read_or_refuse(content)
    if error is not None and error.line is not None:
        assert 1 <= error.line <= content.count(b"\n") + 1


@given(st.binary(max_size=400))
@example(b"\xff\xfe")
@example(b"\x00")
@example(b"\xef\xbb\xbf\xef\xbb\xbf")
def test_random_bytes_are_refused(content: bytes) -> None:
    assert read_or_refuse(content) is not None


@given(st.text(max_size=200))
def test_random_text_is_refused(text: str) -> None:
    assert read_or_refuse(text.encode(errors="surrogatepass")) is not None


@given(st.text(alphabet="[]{}\"'#.=,\n\\a1 ", max_size=300))
def test_random_punctuation_is_refused(text: str) -> None:
    assert read_or_refuse(text.encode()) is not None
