"""The settings sheet: the numbers of settle, trip pressures first, and nothing left out."""

import re

import pytest

from evenfire.delivery.acts.papers import PaperAsked
from evenfire.delivery.papers.content import PaperSize
from evenfire.delivery.papers.printing import printed
from evenfire.delivery.units import UnitSystem
from evenfire.delivery.words.cautions import CAUTIONS
from evenfire.judgement.case import SettingsSet
from evenfire.judgement.rulebook import LEFT_TO_A_VISIT
from tests.delivery.papers.pages import outside, overlapping, text_of
from tests.delivery.papers.settled import SETTLING, proposal_in, settled, sheet, written_sheet
from tests.surveys import survey


def number(text: str) -> float:
    found = re.search(r"-?[\d.]+", text)
    assert found is not None
    return float(found[0])


@pytest.mark.parametrize("plant", SETTLING)
def test_every_dial_of_the_proposal_stands_on_the_sheet_as_the_file_has_it(plant: str) -> None:
    """The file is read by another reader of TOML; a dial is shown to a tenth of a psi, a quarter where it is one."""
    proposal = {key: text for key, text in proposal_in(plant).items() if isinstance(text, str) and text.endswith("psi")}
    shown = [number(line.proposed) for line in sheet(plant).dials if line.proposed]
    assert len(shown) == len(proposal) >= 3
    for text in proposal.values():
        assert any(abs(number(text) - each) <= 0.051 for each in shown), text


def test_a_control_that_is_to_be_proved_leads_with_its_pressure_and_its_dial_is_only_a_start() -> None:
    """DESIGN of the job: the high limit of the laundry is proved against a gauge, to within half a psi."""
    content = sheet("laundry")
    proved = proposal_in("laundry")["proved"]
    assert isinstance(proved, list)
    leading = [line for line in content.acting if line.leads]
    assert len(leading) == len(proved) == 2
    assert content.acting[: len(leading)] == tuple(leading)
    assert content.acting[0].control == "High limit"
    for line in leading:
        assert "only a start" in line.how
        assert line.tolerance == "within 0.5 psi, proved"
    for line in content.acting[len(leading) :]:
        assert "by its scale" in line.how


def test_the_text_of_the_pdf_holds_every_pressure_and_every_part() -> None:
    content = sheet("laundry")
    text = text_of(printed(content, PaperSize.LETTER))
    for line in content.acting:
        assert line.acts in text
    for part in (
        "Where each control is to act",
        "What the dials show",
        "Moves",
        "Pressure stack",
        "Shown in motion",
        "Not judged",
        "Assumed, because the survey does not say",
        "Sources of the rules",
        "Signature",
    ):
        assert part in text
    for told in (*CAUTIONS, *(each.what for each in LEFT_TO_A_VISIT)):
        assert told in text


def test_every_scenario_that_was_run_has_its_traces() -> None:
    proofs = sheet("laundry").proofs
    assert len(proofs) >= 10
    assert all(proof.drawings for proof in proofs)
    assert {"High limit alone", "Safety valves alone", "Steady loads"} <= {proof.title for proof in proofs}


def test_moves_are_given_for_a_proposal_and_for_nothing_else() -> None:
    moves = sheet("laundry").moves
    assert moves is not None
    assert [step.number for step in (*moves.steps, *moves.closing)] == [str(n) for n in range(1, 9)]
    assert written_sheet(settled("laundry"), PaperAsked(settings=SettingsSet.AS_FOUND)).moves is None


@pytest.mark.parametrize(
    ("plant", "system", "size"),
    [
        ("laundry", UnitSystem.US, PaperSize.LETTER),
        ("board-mill", UnitSystem.SI, PaperSize.A4),
        ("school", UnitSystem.US, PaperSize.A4),
    ],
)
def test_no_text_of_a_sheet_leaves_its_page_or_covers_another(plant: str, system: UnitSystem, size: PaperSize) -> None:
    content = printed(sheet(plant, system), size)
    assert not outside(content)
    assert not overlapping(content)


def test_no_text_of_a_record_as_found_leaves_its_page_or_covers_another() -> None:
    """The school by dial fails most proofs, so that the words above its traces are long."""
    content = printed(written_sheet(survey(plant="school-by-dial"), PaperAsked()), PaperSize.LETTER)
    assert not outside(content)
    assert not overlapping(content)


def test_the_longest_names_leave_the_sheet_in_order() -> None:
    plant_file = settled("laundry", ('"Gull Quay Laundry"', f'"{"W" * 100}"'), ('"No. 1"', f'"{"Wm " * 33}W"'))
    content = printed(written_sheet(plant_file, PaperAsked()), PaperSize.LETTER)
    assert not outside(content)
    assert not overlapping(content)


def test_the_sheet_of_the_si_reader_says_bar_and_not_psi() -> None:
    content = sheet("laundry", UnitSystem.SI)
    assert all("bar" in line.acts and "psi" not in line.acts for line in content.acting)
    # 139.8 psi is 9.64 bar: 0.0689476 bar to the psi (P: the exact pound and inch).
    assert number(content.acting[0].acts.removeprefix("trips at ")) == pytest.approx(139.8 * 0.0689476, abs=0.006)
