"""Every flaw and every standing has words, and the words have only the places that are filled."""

from string import Formatter

from evenfire.delivery.records.verification import Flaw, Judged, Standing
from evenfire.delivery.words import records as words


def places(text: str) -> set[str]:
    return {name for _, name, _, _ in Formatter().parse(text) if name}


def test_every_flaw_says_what_and_what_to_do() -> None:
    assert set(words.FLAWS) == {flaw.value for flaw in Flaw}
    for said in words.FLAWS.values():
        assert said.do.endswith(".")
        assert places(said.do) == set()
        assert places(said.what) <= {"record", "other", "place", "found"}


def test_every_standing_has_a_word_in_the_margin_and_says_what_to_do_where_nobody_is_known() -> None:
    assert set(words.STANDINGS) == {standing.value for standing in Standing}
    for standing, said in words.STANDINGS.items():
        assert places(said.what) | places(said.do) <= {"name", "known_as", "fingerprint", "count"}
        assert (said.label == "known") == (said.do == ""), standing
        assert (said.label == "known") == ("{fingerprint}" not in said.what), standing


def test_every_ending_has_its_verdict() -> None:
    assert set(words.VERDICTS) == {judged.value for judged in Judged}


def test_a_noun_follows_its_number() -> None:
    assert words.counted(1, "record", "records") == "1 record"
    assert words.counted(0, "record", "records") == "0 records"
