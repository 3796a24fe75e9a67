from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from evenfire.delivery.acts import surveying
from evenfire.delivery.acts.checking import check_of
from evenfire.delivery.acts.entering import Sent, enter, standing_fields
from evenfire.delivery.answers import Ending
from evenfire.delivery.intake.plant_file import read_plant_text
from evenfire.delivery.intake.survey_fields import fields
from evenfire.delivery.records import drafts, entries, registers, surveys
from evenfire.delivery.records.database import Store
from evenfire.delivery.records.drafts import KeptDraft
from evenfire.delivery.records.registers import May, Person
from evenfire.delivery.records.survey_standing import StandingField
from evenfire.delivery.report.check_text import check_text
from evenfire.delivery.survey_answers import AtSurvey, against, name_of, why_not
from evenfire.delivery.units import UnitSystem
from evenfire.delivery.visits.entry import LONGEST_TEXT
from evenfire.errors import BadEntry, BadPlantFile, BadRequest
from evenfire.judgement.outcome import NotJudged
from tests.delivery.acts.typing_surveys import DEMOS, MOMENT, demo, entry, type_in, typed_from

LAUNDRY = demo("laundry.toml")
PSI = 6894.757
"""NIST SP 811, appendix B.8 [Pa]."""


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with Store.open(tmp_path / "kept" / "store.sqlite") as opened:
        yield opened


@pytest.fixture
def ada(store: Store) -> Person:
    return registers.add_person(store, "Ada Quill", licence="L 1", may=May.SIGN)


@pytest.fixture
def laundry(store: Store, ada: Person) -> KeptDraft:
    """A survey draft of the laundry, which the store holds as it is in its file."""
    surveys.take(store, LAUNDRY.encode(), "laundry.toml", by=ada.id)
    (boiler,) = registers.boilers_of(store)
    return surveying.open_survey(store, boiler, ada)


def at(store: Store, draft: KeptDraft) -> AtSurvey:
    return surveying.at_survey(store, drafts.draft_of(store, draft.id))


def field(now: AtSurvey, path: str) -> StandingField:
    return next(each for each in now.standing.fields if each.field.path == path)


@pytest.mark.parametrize("name", DEMOS)
def test_a_demo_plant_typed_field_by_field_is_the_same_plant_and_is_judged_the_same(
    name: str, store: Store, ada: Person
) -> None:
    file = read_plant_text(demo(name), name)
    (boiler,) = file.plant.boilers
    draft = surveying.open_new(store, file.plant.site.name, boiler.name, ada)
    type_in(store, draft, ada, typed_from(demo(name)))
    now = at(store, draft)
    assert against(now) == ()
    assert now.standing.is_complete
    assert now.ending is check_of(file).ending
    taken = surveying.finish_survey(store, draft, ada, seen=now.newest_entry)
    given_out = read_plant_text(surveys.give(store, draft.boiler).toml(), name)
    assert taken.is_new
    assert given_out.revision == file.revision
    ours, theirs = (check_text(check_of(each), UnitSystem.US, 80) for each in (given_out, file))
    assert ours == theirs
    assert drafts.draft_of(store, draft.id).became == taken.revision.number


def test_a_draft_of_a_boiler_that_was_surveyed_says_what_the_survey_says(store: Store, laundry: KeptDraft) -> None:
    now = at(store, laundry)
    assert now.standing.changed == ()
    assert now.newest is not None
    stands = {each.field.path: each.text for each in now.standing.fields if each.text}
    assert stands == typed_from(LAUNDRY)


def test_taking_a_draft_that_changes_nothing_adds_no_survey(store: Store, laundry: KeptDraft, ada: Person) -> None:
    taken = surveying.finish_survey(store, laundry, ada)
    assert not taken.is_new
    assert not drafts.draft_of(store, laundry.id).is_open


def test_one_field_is_answered_in_the_readers_units(store: Store, laundry: KeptDraft, ada: Person) -> None:
    id_ = "5d9fa3f0-0f64-4a9a-9a3f-6a6a54a30b01"
    sent = Sent(id=id_, draft=laundry.id, path="load.wish", text="8.6 bar", device="phone", at=MOMENT, based_on=())
    answered = enter(store, sent, ada, UnitSystem.US)
    # 8.6 bar is 124.7 psi (NIST SP 811).
    assert (answered.reading, answered.why_not) == ("124.7 psi", "")
    assert entries.entries_of(store, laundry.id)[-1].si == "860000.0"


def test_an_absolute_pressure_is_turned_into_gauge_where_the_altitude_was_typed(store: Store, ada: Person) -> None:
    draft = surveying.open_new(store, "Kiln Lane", "No. 1", ada)
    ids = (f"5d9fa3f0-0f64-4a9a-9a3f-6a6a54a30b0{digit}" for digit in "123")

    def said(path: str, text: str, *based_on: str) -> str:
        id_ = next(ids)
        sent = Sent(id=id_, draft=draft.id, path=path, text=text, device="phone", at=MOMENT, based_on=based_on)
        enter(store, sent, ada, UnitSystem.US)
        return id_

    before = said("boiler.mawp", "164.696 psia")
    assert "give the altitude or the barometer" in str(field(at(store, draft), "boiler.mawp").reading.why_not)
    said("site.altitude", "0 ft")
    # At sea level the standard atmosphere is 14.696 psi (ISO 2533).
    reading = field(at(store, draft), "boiler.mawp").reading
    assert reading.quantity is not None
    assert reading.quantity.value == pytest.approx(150 * PSI, rel=1e-5)
    said("boiler.mawp", "164.696 psia ", before)
    (told,) = [each for each in standing_fields(store, draft.id, UnitSystem.US).fields if each.path == "boiler.mawp"]
    assert told.reading == "150 psi"


def test_a_field_that_cannot_be_read_is_told_and_does_not_stop_the_rest(
    store: Store, laundry: KeptDraft, ada: Person
) -> None:
    type_in(store, laundry, ada, {"load.wish": "hundred", "load.need": "104 psi"})
    now = at(store, laundry)
    assert now.standing.plant_file is not None
    assert now.standing.plant_file.plant.load.wish is None
    assert now.standing.plant_file.plant.load.need == pytest.approx(104 * PSI)
    assert [each.field.path for each in now.standing.against] == ["load.wish"]
    assert "does not begin with a number" in why_not(field(now, "load.wish"))
    assert not now.standing.is_complete
    with pytest.raises(BadRequest, match=r"What the plant wants: Highest pressure wanted\. Not understood"):
        surveying.finish_survey(store, laundry, ada)
    assert drafts.draft_of(store, laundry.id).is_open


def test_what_is_left_out_is_never_clear(store: Store, ada: Person) -> None:
    """Common practice, no source: an all-clear over half a survey is no all-clear."""
    plant = demo("rental-trailer-depot.toml")
    file = read_plant_text(plant, "depot")
    draft = surveying.open_new(store, file.plant.site.name, file.plant.boilers[0].name, ada)
    said = typed_from(plant)
    type_in(store, draft, ada, said)
    whole = at(store, draft)
    type_in(store, draft, ada, {"load.wish": "?"})
    assert at(store, draft).ending is not Ending.CLEAR
    type_in(store, draft, ada, {"boiler.controls.high_limit.tolerance.dial": "?"})
    now = at(store, draft)
    assert now.check is not None
    assert whole.check is not None
    lacking = {each.code for each in now.check.outcomes if isinstance(each, NotJudged)}
    assert lacking - {each.code for each in whole.check.outcomes if isinstance(each, NotJudged)}
    assert now.ending is not Ending.CLEAR


def test_a_scale_that_is_not_whole_yet_is_left_out_until_it_is(store: Store, laundry: KeptDraft, ada: Person) -> None:
    start = "boiler.controls.high_limit.scale"
    type_in(store, laundry, ada, {f"{start}.division": ""})
    now = at(store, laundry)
    assert now.surveyed is not None
    assert now.surveyed.controls.high_limit is not None
    assert now.surveyed.controls.high_limit.scale is None
    assert [each.field.path for each in now.needed] == [f"{start}.division"]
    assert field(now, f"{start}.from").is_left_out
    assert name_of(now.needed[0]) == "High limit: Scale division"
    with pytest.raises(BadRequest, match="High limit: Scale division"):
        surveying.finish_survey(store, laundry, ada)


def test_contradictions_between_fields_are_told_at_the_field(store: Store, laundry: KeptDraft, ada: Person) -> None:
    type_in(store, laundry, ada, {"boiler.as_found.high_limit": "230 psi", "boiler.safety_valve.2.name": " FRONT"})
    now = at(store, laundry)
    assert "off its own dial, which ends at 200 psi" in why_not(field(now, "boiler.as_found.high_limit"))
    assert "also named" in why_not(field(now, "boiler.safety_valve.2.name"))
    assert now.surveyed is not None
    assert now.surveyed.as_found is not None
    assert now.surveyed.as_found.settings.high_limit is None


@pytest.mark.parametrize(
    ("path", "text"),
    [
        ("boiler.safety_valve.2.set", "oops"),
        ("boiler.safety_valve.2.set", ""),
        ("boiler.mawp", "150"),
        ("boiler.kind", ""),
    ],
)
def test_nothing_is_judged_without_a_set_pressure_or_the_nameplate(
    path: str, text: str, store: Store, laundry: KeptDraft, ada: Person
) -> None:
    """A valve left out would let the others look as if they were all."""
    type_in(store, laundry, ada, {path: text})
    now = at(store, laundry)
    assert now.check is None
    assert now.ending is Ending.STOP_NOT_JUDGED
    assert not field(now, path).is_good


def test_two_values_are_both_kept_and_judged_with_neither(store: Store, laundry: KeptDraft, ada: Person) -> None:
    entries.record_all(store, [entry(laundry, ada, "load.wish", f"{value} psi") for value in (125, 128)])
    now = at(store, laundry)
    (two,) = now.standing.conflicts
    assert sorted(each.text for each in two.heads) == ["125 psi", "128 psi"]
    assert now.standing.plant_file is not None
    assert now.standing.plant_file.plant.load.wish is None
    with pytest.raises(BadRequest, match="Two values stand here"):
        surveying.finish_survey(store, laundry, ada)
    heads = [each.id for each in two.heads]
    entries.record(store, entry(laundry, ada, "load.wish", "128 psi", *heads))
    assert at(store, laundry).standing.is_complete


def test_a_row_that_is_emptied_is_gone_and_the_others_keep_their_numbers(
    store: Store, laundry: KeptDraft, ada: Person
) -> None:
    gone = {path: "" for path in typed_from(LAUNDRY) if path.startswith("boiler.safety_valve.1.")}
    type_in(store, laundry, ada, {**gone, "boiler.safety_valve.3.set": "148 psi"})
    now = at(store, laundry)
    assert now.surveyed is not None
    assert [valve.set_pressure for valve in now.surveyed.safety_valves] == [
        pytest.approx(150 * PSI),
        pytest.approx(148 * PSI),
    ]
    type_in(store, laundry, ada, {"boiler.safety_valve.3.blowdown": "-2 psi"})
    assert '"-2 psi" cannot be' in why_not(field(at(store, laundry), "boiler.safety_valve.3.blowdown"))


def test_one_more_row_is_drawn_where_it_is_asked_for(store: Store, laundry: KeptDraft) -> None:
    draft = drafts.draft_of(store, laundry.id)
    more = surveying.at_survey(store, draft, more=frozenset({"boiler.safety_valve"}))
    paths = {each.field.path for each in more.standing.fields}
    assert "boiler.safety_valve.3.set" in paths
    assert "boiler.safety_valve.4.set" not in paths
    assert more.standing.is_complete


def test_a_load_of_another_shape_takes_nothing_of_the_old_one(store: Store, ada: Person) -> None:
    plant = demo("vertical.toml")
    file = read_plant_text(plant, "vertical")
    surveys.take(store, plant.encode(), "vertical.toml")
    draft = surveying.open_survey(store, registers.boilers_of(store)[0], ada)
    old = {path for path in typed_from(plant) if path.startswith("load.demand.")} - {"load.demand.shape"}
    assert old
    type_in(store, draft, ada, {"load.demand.shape": "constant", "load.demand.steam": "300 lb/h"})
    now = at(store, draft)
    assert now.standing.is_complete
    assert {each.field.path for each in now.standing.fields if each.is_idle} == old - {"load.demand.steam"}
    assert file.plant.load.demand is not None


def test_a_new_boiler_at_a_known_site_joins_the_survey_of_the_site(
    store: Store, laundry: KeptDraft, ada: Person
) -> None:
    draft = surveying.open_new(store, " gull quay  LAUNDRY", "No. 2", ada)
    said = {path: text for path, text in typed_from(LAUNDRY).items() if path.startswith("boiler.")}
    type_in(store, draft, ada, said)
    surveying.finish_survey(store, draft, ada)
    plant = surveys.give(store, laundry.boiler).plant_file().plant
    assert [boiler.name for boiler in plant.boilers] == ["No. 1", "No. 2"]
    with pytest.raises(BadRequest, match=r"No\. 2 is in this store already"):
        surveying.open_new(store, "Gull Quay Laundry", "no. 2", ada)


def test_a_survey_taken_meanwhile_is_told_and_not_undone(store: Store, laundry: KeptDraft, ada: Person) -> None:
    type_in(store, laundry, ada, {"load.wish": "128 psi"})
    other = LAUNDRY.replace('need = "105 psi" ', 'need = "103 psi" ')
    surveys.take(store, other.encode(), "laundry.toml")
    now = at(store, laundry)
    assert [each.number for each in now.unaware_of] == [now.newest.number if now.newest else None]
    assert [each.field.path for each in now.standing.changed] == ["load.wish"]
    taken = surveying.finish_survey(store, laundry, ada)
    assert taken.unaware_of == now.unaware_of
    load = taken.revision.plant_file().plant.load
    assert load.wish == pytest.approx(128 * PSI)
    assert load.need == pytest.approx(103 * PSI)


def test_rows_stay_those_that_were_seen_where_the_list_changed_meanwhile(
    store: Store, laundry: KeptDraft, ada: Person
) -> None:
    type_in(store, laundry, ada, {"boiler.safety_valve.2.set": "149 psi"})
    valve = '[[boiler.safety_valve]]\nname = "third"\nset = "140 psi"\n\n[[boiler.safety_valve]]\nname = "front"'
    other = LAUNDRY.replace('[[boiler.safety_valve]]\nname = "front"', valve)
    surveys.take(store, other.encode(), "laundry.toml")
    now = at(store, laundry)
    assert now.unaware_of
    assert now.surveyed is not None
    seen = {each.name: each.set_pressure for each in now.surveyed.safety_valves}
    assert seen == {"front": pytest.approx(150 * PSI), "rear": pytest.approx(149 * PSI)}


def test_a_proposal_and_settings_left_stay_in_the_plant(store: Store, ada: Person) -> None:
    left = '\n[boiler.as_left]\nread_on = 2026-11-04\nhigh_limit = "138 psi"\n'
    surveys.take(store, f"{LAUNDRY}{left}".encode(), "laundry.toml")
    draft = surveying.open_survey(store, registers.boilers_of(store)[0], ada)
    assert field(at(store, draft), "boiler.as_left.high_limit").text == "138 psi"
    type_in(store, draft, ada, {"load.wish": "128 psi"})
    taken = surveying.finish_survey(store, draft, ada)
    (boiler,) = taken.revision.plant_file().plant.boilers
    assert boiler.as_left is not None


def test_what_was_typed_after_a_person_looked_is_looked_at_first(store: Store, laundry: KeptDraft, ada: Person) -> None:
    type_in(store, laundry, ada, {"load.wish": "128 psi"})
    seen = at(store, laundry).newest_entry
    type_in(store, laundry, ada, {"load.need": "104 psi"})
    with pytest.raises(BadRequest, match="typed since you looked: Lowest pressure needed"):
        surveying.finish_survey(store, laundry, ada, seen=seen)


def test_a_finished_survey_takes_nothing_more(store: Store, laundry: KeptDraft, ada: Person) -> None:
    surveying.finish_survey(store, laundry, ada)
    with pytest.raises(BadRequest, match="finished already"):
        surveying.finish_survey(store, laundry, ada)
    with pytest.raises(BadRequest, match="takes no more entries"):
        type_in(store, laundry, ada, {"load.wish": "128 psi"})


def test_the_open_draft_is_gone_on_with_instead_of_a_second(store: Store, laundry: KeptDraft, ada: Person) -> None:
    (boiler,) = registers.boilers_of(store)
    assert surveying.open_survey(store, boiler, ada).id == laundry.id
    surveying.finish_survey(store, laundry, ada)
    assert surveying.open_draft(store, boiler.id) is None
    assert surveying.open_survey(store, boiler, ada).id != laundry.id


def test_who_may_only_read_opens_types_and_takes_nothing(store: Store, laundry: KeptDraft) -> None:
    reader = registers.add_person(store, "Roy Ember", licence="", may=May.READ)
    (boiler,) = registers.boilers_of(store)
    for act in (
        lambda: surveying.open_survey(store, boiler, reader),
        lambda: surveying.open_new(store, "Kiln Lane", "No. 1", reader),
        lambda: surveying.finish_survey(store, laundry, reader),
        lambda: surveying.take_plant_file(store, LAUNDRY.encode(), "laundry.toml", reader),
    ):
        with pytest.raises(BadRequest, match="may read this store and nothing else"):
            act()


@pytest.mark.parametrize("name", ["", "   ", "x" * 101, "a\x07b"])
def test_names_that_no_sheet_can_print_are_refused(name: str, store: Store, ada: Person) -> None:
    with pytest.raises(BadRequest, match="characters that can be printed"):
        surveying.open_new(store, "Kiln Lane", name, ada)
    assert registers.sites_of(store) == ()


def test_an_empty_survey_says_what_has_to_be_known_first(store: Store, ada: Person) -> None:
    draft = surveying.open_new(store, "Kiln Lane", "No. 1", ada)
    now = at(store, draft)
    assert [each.field.path for each in now.needed] == ["boiler.kind", "boiler.mawp"]
    assert now.check is None
    with pytest.raises(BadRequest, match=r"The boiler: Kind of boiler\. Nothing can be judged without it"):
        surveying.finish_survey(store, draft, ada)
    type_in(store, draft, ada, {"boiler.kind": "firetube", "boiler.mawp": "150 psi"})
    # The least that is a plant: everything else is unknown, and no valve and no limit is a stop.
    assert at(store, draft).ending is Ending.STOP_FINDING


def test_a_boiler_that_the_newest_survey_leaves_out_is_known_from_the_one_before(
    store: Store, laundry: KeptDraft, ada: Person
) -> None:
    surveys.take(store, LAUNDRY.replace('name = "No. 1"', 'name = "No. 7"').encode(), "laundry.toml")
    boiler = next(each for each in registers.boilers_of(store) if each.name == "No. 1")
    assert field(surveying.last_surveyed(store, boiler), "boiler.mawp").text == "150 psi"
    now = at(store, laundry)
    assert field(now, "boiler.mawp").text == "150 psi"
    taken = surveying.finish_survey(store, laundry, ada)
    assert [each.name for each in taken.revision.plant_file().plant.boilers] == ["No. 7", "No. 1"]


def test_a_visit_is_no_survey(store: Store, laundry: KeptDraft, ada: Person) -> None:
    visit = drafts.open_visit(store, boiler=laundry.boiler, by=ada.id)
    with pytest.raises(BadRequest, match="is a visit and no survey"):
        surveying.at_survey(store, visit)


def test_a_bad_plant_file_is_refused_with_its_line(store: Store, ada: Person) -> None:
    with pytest.raises(BadPlantFile, match="line"):
        surveying.take_plant_file(store, LAUNDRY.replace('mawp = "150 psi"', "mawp = 150").encode(), "mine.toml", ada)
    assert surveying.take_plant_file(store, LAUNDRY.encode(), "mine.toml", ada).is_new


@pytest.fixture(scope="module")
def scribbled(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Store, KeptDraft, Person]]:
    with Store.open(tmp_path_factory.mktemp("scribbled") / "store.sqlite") as opened:
        person = registers.add_person(opened, "Ada Quill", licence="", may=May.WRITE)
        surveys.take(opened, LAUNDRY.encode(), "laundry.toml")
        yield opened, surveying.open_survey(opened, registers.boilers_of(opened)[0], person), person


ANY_TEXT = st.text(max_size=200) | st.sampled_from(
    [
        "none",
        "yes",
        "0 psi",
        "-5 psi",
        "1e400 psi",
        "99999999999 bar",
        "2026-02-30",
        "low",
        "9" * 200,
        "\\",
        '"',
        "#",
        "\n",
        "$day",
    ]
)


@settings(max_examples=120, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(path=st.sampled_from(sorted(fields())), text=ANY_TEXT)
def test_any_text_in_any_field_is_kept_or_refused_and_never_stops_the_page(
    path: str, text: str, scribbled: tuple[Store, KeptDraft, Person]
) -> None:
    store, draft, person = scribbled
    here = path.replace("#", "1")
    heads = [each.id for each in entries.entries_at(store, draft.id, here)][-1:]
    try:
        made = entry(draft, person, here, text, *heads, turn=str(len(entries.entries_of(store, draft.id))))
    except BadEntry:
        return  # no text at all: a sign that no record can hold
    assert len(made.text) <= LONGEST_TEXT
    entries.record(store, made)
    now = surveying.at_survey(store, draft)
    drawn = {each.field.path: each.text for each in now.standing.fields}
    assert drawn.get(here, "") == text or (here not in drawn and not text.strip())
    assert isinstance(against(now), tuple)
    # Put back, so that each text is met by a plant that is otherwise right.
    before = next((each.before for each in now.standing.fields if each.field.path == here), "")
    entries.record(store, entry(draft, person, here, before, made.id, turn="back"))
    assert surveying.at_survey(store, draft).standing.is_complete
