"""Whatever byte of a signed file is changed, it is caught, and what was changed is named. Places by a fixed seed."""

import random

import pytest

from evenfire.delivery.records.container import container_bytes
from evenfire.delivery.records.verification import Judged, Known, Problem
from evenfire.delivery.records.verifying import take_file
from tests.delivery.records.signed_examples import container, history, known

FILE = container_bytes(container(history()))
IDS = {record.id for record in history()}
SEED = 20261125


def changed(places: random.Random) -> tuple[int, bytes]:
    """A place, and the file with another byte there."""
    place = places.randrange(len(FILE))
    other = places.choice([value for value in range(256) if value != FILE[place]])
    return place, FILE[:place] + bytes([other]) + FILE[place + 1 :]


def is_named(problem: Problem) -> bool:
    """Whether somebody who reads it knows where to look: a record, a file, or a place."""
    return bool(problem.record or problem.other or problem.place)


def see_caught(data: bytes, place: int, of: Known) -> None:
    taken = take_file(data, of)
    assert taken.container is None, f"byte {place} changed and nobody noticed"
    assert taken.verification.judged is Judged.DOES_NOT_VERIFY
    assert not taken.verification.is_unchanged
    assert any(is_named(problem) for problem in taken.verification.problems), f"byte {place}: nothing is named"


def test_one_changed_byte_in_sixty_places_is_caught_and_named() -> None:
    places = random.Random(SEED)
    for _ in range(60):
        place, data = changed(places)
        see_caught(data, place, known())


@pytest.mark.soak
def test_one_changed_byte_in_two_thousand_places_is_caught_and_named() -> None:
    places = random.Random(SEED + 1)
    for _ in range(2000):
        place, data = changed(places)
        see_caught(data, place, Known())


def test_a_byte_that_leaves_the_file_readable_names_the_record_in_which_it_stands() -> None:
    places = random.Random(SEED)
    tried = 0
    for record in history():
        content = record.content
        for _ in range(6):
            # Digits stay digits and letters stay letters, so that the file is still one encoding of something.
            place = places.choice([at for at in range(len(content)) if content[at : at + 1].isdigit()])
            other = places.choice([digit for digit in b"0123456789" if digit != content[place]])
            bent = content[:place] + bytes([other]) + content[place + 1 :]
            found = take_file(FILE.replace(content, bent), known()).verification
            assert record.id in {problem.record for problem in found.problems}
            tried += 1
    assert tried == 6 * len(IDS)


@pytest.mark.parametrize("part", [b'"attachments"', b'"boiler"', b'"keys"', b'"surveys"'])
def test_one_changed_byte_in_what_stands_beside_the_records_is_caught(part: bytes) -> None:
    start = FILE.index(part)
    for place in range(start, start + 90):
        see_caught(FILE[:place] + bytes([FILE[place] ^ 1]) + FILE[place + 1 :], place, known())


def test_a_byte_left_out_or_put_in_is_caught() -> None:
    places = random.Random(SEED)
    for _ in range(30):
        place = places.randrange(len(FILE))
        see_caught(FILE[:place] + FILE[place + 1 :], place, known())
        see_caught(FILE[:place] + bytes([places.randrange(256)]) + FILE[place:], place, known())
