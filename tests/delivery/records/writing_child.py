"""Run by the durability tests as a program of its own: enters one reading after the other, and says so of each."""

import sys
from itertools import count
from pathlib import Path

from evenfire.delivery.records.attachments import attach_file
from evenfire.delivery.records.database import Store
from evenfire.delivery.records.drafts import drafts_of
from evenfire.delivery.records.entries import record
from evenfire.delivery.records.registers import boilers_of, people_of
from evenfire.errors import BadStore
from tests.delivery.records.store_examples import AtWork, entry

FAILURES = 5
"""After so many refusals in a row nothing else is to be learnt."""


def main(place: str, folder: str, first: int, most: int, attaches: bool) -> None:
    """Enter ``most`` readings, or until somebody ends this process; each is based on the one before."""
    with Store.open(place, folder=Path(folder)) as store:
        at = AtWork(person=people_of(store)[0], boiler=boilers_of(store)[0], visit=drafts_of(store)[0])
        failed = 0
        last: tuple[str, ...] = ()
        say("open")
        for number in count(first):
            if number == first + most or failed == FAILURES:
                break
            typed = entry(at, number, *last)
            try:
                if attaches:
                    attach_file(store, f"log {number}".encode() * 500, f"{number}.csv", "text/csv")
                record(store, typed)
            except BadStore as error:
                failed += 1
                say(f"refused {number} {error}")
            else:
                failed, last = 0, (typed.id,)
                say(f"kept {number}")


def say(text: str) -> None:
    """One line, at once."""
    sys.stdout.write(text + "\n")
    sys.stdout.flush()


if __name__ == "__main__":
    main(sys.argv[1], sys.argv[2], int(sys.argv[3]), int(sys.argv[4]), sys.argv[5:] == ["attach"])
