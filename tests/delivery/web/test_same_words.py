"""The command line and the web give the same numbers in the same words for the same plant.

What a command prints is read line by line, as wide as it comes, without its rules, bars, boxes and marks; every line
has to stand in the text of the page. What is left out is named below, with why.
"""

import html
import re
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Final

import pytest
from starlette.testclient import TestClient

from evenfire.delivery.acts.checking import check_of
from evenfire.delivery.acts.settling import settle_of
from evenfire.delivery.intake.plant_file import PlantFile, read_plant_text
from evenfire.delivery.papers.admission import QUESTIONS
from evenfire.delivery.records import registers, surveys
from evenfire.delivery.records.database import Store
from evenfire.delivery.records.registers import May
from evenfire.delivery.report.check_text import check_text
from evenfire.delivery.report.settle_text import settle_text
from evenfire.delivery.units import UnitSystem
from evenfire.delivery.web.wording import on_screen
from tests.delivery.web.conftest import Asking

EXAMPLES: Final = Path(__file__).parents[3] / "examples"
WIDE: Final = 100_000
PATIENCE: Final = 120.0
IN_CI: Final = ("laundry", "school-by-dial")
ODD: Final = "odd"
NAMES: Final = sorted(path.stem for path in EXAMPLES.glob("*.toml"))
NOT_ON_PAGES: Final = (
    # The command to type next: a page has a button there.
    re.compile(r"^In full, .*evenfire prove "),
    re.compile(r"Next: evenfire settle "),
    # On a page they are shown all, or behind a summary of its own.
    re.compile(r"rules are clear; --every shows them"),
)
BELOW_VALVE: Final = "high-limit-below-valve"
NUMBERS: Final = re.compile(r"\d+(?:\.\d+)?")
RULE: Final = re.compile(r"^[-=]{3,}$")
MARKS: Final = re.compile(r"^(- |\[ \] \d+ +|[#.]{10} +|NOT MET +)")
LABEL: Final = re.compile(r"^([A-Za-z-]+(?: [a-z]+)*)  +")
POINTS: Final = re.compile(r"^([a-z-]+(?: [a-z-]+)*): ((?:trips at|cut-out|full fire up to|releases at) .*)$")
TRADE: Final = re.compile(r"^(\S+ \S+) +([\d.]+\+?) +#* ?(?:<- )?(.*)$")
STACK: Final = "Pressure stack: "


def cases() -> Iterator[object]:
    for name in (*NAMES, ODD):
        marks = () if name in IN_CI else (pytest.mark.soak,)
        yield pytest.param(name, marks=marks)


def text_of(name: str) -> str:
    """A demo plant; or one with an odd name, a limit that comes back by itself, and something nobody knows."""
    if name != ODD:
        return (EXAMPLES / f"{name}.toml").read_text()
    text = (EXAMPLES / "laundry.toml").read_text().replace("Gull Quay Laundry", "Wash & <b>'Sons'</b>")
    assert 'reset = "manual"' in text
    return text.replace('reset = "manual"', 'reset = "automatic"', 1).replace("siphon = true\n", "", 1)


def plain(text: str) -> str:
    """One line of text, its spaces one each."""
    return " ".join(text.split())


def shown(page: str) -> str:
    """The text of a page."""
    content = re.sub(r"(?s)<(script|style|pre)\b.*?</\1>", " ", page)
    content = re.sub(r"</?(?:strong|b|em)\b[^>]*>", "", content)
    return plain(html.unescape(re.sub(r"<[^>]+>", " ", content)))


def stack_shown(page: str) -> str:
    """What a page shows as preformatted text."""
    return html.unescape("\n".join(re.findall(r"(?s)<pre[^>]*>(.*?)</pre>", page)))


def printed(text: str) -> Iterator[str]:
    """What a command says, without its layout; the drawn stack left out."""
    is_drawing = False
    for line in text.splitlines():
        if line.startswith(STACK):
            is_drawing = True
        elif is_drawing and RULE.match(line):
            is_drawing = False
        elif not is_drawing and line.strip() and not RULE.match(line):
            yield from pieces(line)


def pieces(line: str) -> Iterator[str]:
    """The parts of a printed line that stand in different places of a page."""
    traded = TRADE.match(line.strip())
    if traded and ("#" in line or "<-" in line):
        yield from (each for each in traded.groups() if each)
        return
    rest = MARKS.sub("", line.strip())
    points = POINTS.match(rest)
    if points:
        # A control with its points: name and pressure, side by side in a table.
        yield points.group(1)
        yield from points.group(2).split(", ")
        return
    label = LABEL.match(rest)
    if label:
        yield label.group(1)
        rest = rest[label.end() :]
    yield from re.split(r" {2,}", rest)


def missing(text: str, page: str) -> list[str]:
    """Lines of a command that a page does not show."""
    on_page = shown(page).casefold()
    lines = [plain(on_screen(each)) for each in printed(text)]
    return [
        line for line in lines if line.casefold() not in on_page and not any(each.search(line) for each in NOT_ON_PAGES)
    ]


def settled_page(client: TestClient, boiler: str) -> str:
    """The page of a settle, once it is done."""
    client.post(f"/boilers/{boiler}/settle", data={"target": ""})
    end = time.monotonic() + PATIENCE
    while True:
        page = client.get(f"/boilers/{boiler}/settle").text
        if 'id="answer"' in page:
            return page
        assert 'id="broke-off"' not in page
        assert time.monotonic() < end, "it was never settled"
        time.sleep(0.05)


def kept_plant(store: Store, name: str) -> tuple[str, PlantFile]:
    """A plant in the store: its only boiler, and the file as the store gives it out."""
    surveys.take(store, text_of(name).encode(), f"{name}.toml")
    boiler = registers.boilers_of(store)[0]
    return boiler.id, surveys.give(store, boiler.id).plant_file()


@pytest.mark.parametrize("name", list(cases()))
@pytest.mark.parametrize("system", list(UnitSystem))
def test_a_settle_says_the_same_on_the_web_as_on_the_command_line(
    name: str, system: UnitSystem, kept: Store, asking: Asking
) -> None:
    boiler, plant_file = kept_plant(kept, name)
    client = asking(May.WRITE)
    client.cookies.set("evenfire_units", system.value)
    page = settled_page(client, boiler)
    done = settle_of(plant_file, None, system)
    text = settle_text(done, system, WIDE)
    lines = [plain(each) for each in printed(text)]
    assert len(lines) > 20
    assert missing(text, page) == []


@pytest.mark.parametrize("name", list(cases()))
def test_the_drawn_stack_of_a_settle_is_the_one_of_the_command_line(name: str, kept: Store, asking: Asking) -> None:
    boiler, plant_file = kept_plant(kept, name)
    page = settled_page(asking(May.WRITE), boiler)
    text = settle_text(settle_of(plant_file, None, UnitSystem.US), UnitSystem.US, 72)
    drawn = text[text.index(STACK) :].split("\n\nWhere it would stand")[0].split("\n\nShown in motion")[0]
    assert len(drawn.splitlines()) > 10
    assert drawn.strip() in stack_shown(page)


@pytest.mark.parametrize("name", list(cases()))
@pytest.mark.parametrize("system", list(UnitSystem))
def test_a_check_says_the_same_on_the_web_as_on_the_command_line(
    name: str, system: UnitSystem, kept: Store, asking: Asking
) -> None:
    boiler, plant_file = kept_plant(kept, name)
    client = asking(May.WRITE)
    client.cookies.set("evenfire_units", system.value)
    page = client.get(f"/boilers/{boiler}/survey").text
    text = check_text(check_of(plant_file), system, WIDE)
    assert len(list(printed(text))) > 10
    assert missing(text, page) == []


@pytest.mark.parametrize("name", list(cases()))
def test_what_a_screen_says_in_other_words_changes_no_number_and_names_no_command(name: str) -> None:
    plant_file = read_plant_text(text_of(name), f"{name}.toml")
    lines = [plain(each) for each in printed(check_text(check_of(plant_file), UnitSystem.US, WIDE))]
    for line in lines:
        said = on_screen(line)
        # A rule is called by its question, between quotes.
        assert NUMBERS.findall(re.sub(r'"[^"]*\?"', "", said)) == NUMBERS.findall(line)
        assert not re.search(r"`|\(key |README", said)


@pytest.mark.parametrize(
    ("terminal", "screen"),
    [
        (
            "stop: high-limit-below-valve. Missing: set pressure of the safety valve (key safety_valve.set).",
            f'stop: "{QUESTIONS[BELOW_VALVE]}". Missing: set pressure of the safety valve.',
        ),
        ("It cannot be judged: whether it opened (trip.opened).", "It cannot be judged: whether it opened."),
        ("Not read as left: as_left.high_limit.", "Not read as left: high limit, as left."),
        ("boiler.level_band: 3 %. ASSUMED_LEVEL_BAND.", "Band of water level: 3 %."),
        (
            "boiler.controls.high_limit.reset_differential: 0.34 bar. ASSUMED_RESET_DIFFERENTIAL.",
            "Reset differential (High limit): 0.34 bar.",
        ),
        ("`evenfire settle` chooses all dials together.", "Settle chooses all dials together."),
        ("The gauge ends at 6 bar; it should read to 6.21 bar or more.",) * 2,
    ],
)
def test_a_screen_says_what_the_terminal_says_by_code_and_key_in_words(terminal: str, screen: str) -> None:
    assert on_screen(terminal) == screen


def test_a_changed_number_is_found(kept: Store, asking: Asking) -> None:
    boiler, plant_file = kept_plant(kept, "laundry")
    page = settled_page(asking(May.WRITE), boiler)
    text = settle_text(settle_of(plant_file, None, UnitSystem.US), UnitSystem.US, WIDE)
    assert missing(text, page.replace("142.4 psi", "142.5 psi")) != []
    assert missing(text, page.replace("<td>2.9</td>", "<td>2.8</td>")) != []
