"""Two stores and whatever people do to them in any order: nothing acknowledged is lost, nothing signed is changed.

Surveys, visits on two devices, conflicts and their settling, signatures, amendments, records handed both ways, drafts
carried over, and a crash at any moment at which the store looks at its clock, which it does in every transaction.
"""

import atexit
import shutil
import tempfile
import uuid
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from functools import cache
from pathlib import Path
from typing import Final

from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, precondition, rule

from evenfire.delivery.acts import visiting
from evenfire.delivery.acts.handing_on import export, take_in
from evenfire.delivery.acts.judging_visit import judged
from evenfire.delivery.acts.signing import amend, sign_visit
from evenfire.delivery.records import drafts, entries, registers, surveys
from evenfire.delivery.records.database import Store
from evenfire.delivery.records.drafts import DraftKind
from evenfire.delivery.records.held import container_of, known_of
from evenfire.delivery.records.key_files import sealed_key
from evenfire.delivery.records.key_register import keep_entered_key, keep_own_key
from evenfire.delivery.records.keys import KnownKey, new_key
from evenfire.delivery.records.record import facts_of
from evenfire.delivery.records.registers import May, Person
from evenfire.delivery.records.signed import heads_of, records_of
from evenfire.delivery.records.verification import Judged
from evenfire.delivery.records.verifying import verify
from evenfire.delivery.units import UnitSystem
from evenfire.delivery.visits.entry import Entry
from evenfire.delivery.visits.fields import typed
from evenfire.delivery.visits.folding import Draft, folded
from evenfire.errors import BadRequest
from tests.conftest import SOAK
from tests.delivery.records.store_examples import FIRST, LAUNDRY, named_id

SECRET: Final = "four walls and a fire"
STORES: Final = ("here", "there")
NAMES: Final = ("Ada Quill", "Ben Marsh")
PATHS: Final = ("note.1.text", "as_found.high_limit", "as_left.high_limit", "call.reason")
TEXTS: Final = ("140 psi", "141.5 psi", "9.7 bar", "140", "", "it blew")
OUT_OF_SERVICE: Final = {
    "as_left.service": "out of service",
    "as_left.locked_out_by": "who was there",
    "as_left.jumpers": "none",
}
"""What bars nothing, whatever else was read."""


class Crash(BaseException):
    """The end of a process, as far as a store can see it."""


class Clock:
    """Goes on by a second each time, and ends the process when its time has come."""

    def __init__(self) -> None:
        self.now = FIRST + timedelta(days=1)
        self.left: int | None = None

    def __call__(self) -> datetime:
        self.now += timedelta(seconds=1)
        if self.left is not None:
            self.left -= 1
            if self.left < 0:
                raise Crash
        return self.now


@dataclass
class Side:
    """One store, and what it has acknowledged."""

    place: Path
    store: Store
    person: Person
    typed: dict[str, dict[str, Entry]] = field(default_factory=dict)
    """By visit and id"""
    signed: dict[str, tuple[bytes, str]] = field(default_factory=dict)
    """Content and signature by id"""
    seen: dict[tuple[str, str], Draft] = field(default_factory=dict)
    """What each device saw last of each visit"""


@cache
def made_before() -> Path:
    """Two stores that know each other's people and have surveyed the same plant, each by itself."""
    folder = Path(tempfile.mkdtemp(prefix="evenfire-machine-"))
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    keys = [new_key() for _ in STORES]
    for place, name in enumerate(STORES):
        with Store.open(folder / name / "store.sqlite", clock=Clock()) as store:
            people = [
                registers.add_person(store, each, licence="B-1", may=May.SIGN, person=named_id(each)) for each in NAMES
            ]
            pem = sealed_key(keys[place], SECRET)
            keep_own_key(store, person=people[place].id, key=keys[place].public, private_pem=pem)
            other = 1 - place
            known = KnownKey(key=keys[other].public, name=NAMES[other], entered=FIRST)
            keep_entered_key(store, known, person=people[other].id)
            surveys.take(store, LAUNDRY, "laundry.toml", by=people[place].id)
    return folder


WHICH = st.sampled_from((0, 1))
CRASHES = st.none() | st.integers(0, 7)
DEVICES = st.sampled_from(("phone", "laptop"))


class Visits(RuleBasedStateMachine):
    """What people do."""

    def __init__(self) -> None:
        super().__init__()
        self.folder = Path(tempfile.mkdtemp(prefix="evenfire-visits-"))
        self.clock = Clock()
        self.sides: list[Side] = []
        self.number = 0

    @initialize()
    def begin(self) -> None:
        for place, name in enumerate(STORES):
            shutil.copytree(made_before() / name, self.folder / name)
            path = self.folder / name / "store.sqlite"
            store = Store.open(path, clock=self.clock)
            self.sides.append(Side(path, store, registers.find_person(store, NAMES[place])))

    def teardown(self) -> None:
        for side in self.sides:
            side.store.close()
        shutil.rmtree(self.folder)

    def ends(self, side: Side, crash: int | None, does: Callable[[], object]) -> bool:
        """Whether it was acknowledged; after a crash the store is opened again."""
        self.clock.left = crash
        try:
            does()
        except Crash:
            return False
        finally:
            was_to_crash, self.clock.left = self.clock.left is not None and self.clock.left < 0, None
            if was_to_crash:
                side.store.close()
                side.store = Store.open(side.place, clock=self.clock)
        return True

    def open_visits(self, side: Side) -> list[str]:
        return [each.id for each in drafts.drafts_of(side.store, kind=DraftKind.VISIT) if each.is_open]

    def boiler(self, side: Side) -> str:
        (boiler,) = registers.boilers_of(side.store)
        return boiler.id

    def one_of(self, data: st.DataObject, side: Side) -> str:
        """An open visit; one is opened where there is none."""
        if not self.open_visits(side):
            self.open_one(side, None)
        return data.draw(st.sampled_from(sorted(self.open_visits(side))))

    def entry(self, side: Side, visit: str, path: str, text: str, device: str, based_on: tuple[str, ...]) -> Entry:
        self.number += 1
        means = typed(path, text)
        return Entry(
            id=named_id(f"{side.place} {self.number}"),
            draft=visit,
            path=path,
            text=text,
            unit=means.unit,
            si=means.si,
            why_not=means.why_not,
            author=side.person.id,
            device=device,
            at=self.clock.now,
            based_on=based_on,
        )

    def type_in(self, side: Side, crash: int | None, made: list[Entry]) -> None:
        """All or none, and acknowledged or not: what a crash left is one of the two."""
        visit = made[0].draft
        acknowledged = self.ends(side, crash, lambda: entries.record_all(side.store, made))
        there = {each.id for each in entries.entries_of(side.store, visit)}
        kept = [each for each in made if each.id in there]
        assert len(kept) in {0, len(made)}, "half of what was sent together is there"
        assert kept or not acknowledged
        if kept:
            side.typed.setdefault(visit, {}).update({each.id: each for each in made})

    @rule(which=WHICH, turndown=st.integers(3, 6), crash=CRASHES)
    def survey(self, which: int, turndown: int, crash: int | None) -> None:
        side = self.sides[which]
        plant = LAUNDRY.replace(b"turndown = 4", f"turndown = {turndown}".encode())
        before = surveys.surveys_of(side.store, self.boiler(side))
        done = self.ends(side, crash, lambda: surveys.take(side.store, plant, "laundry.toml", by=side.person.id))
        after = surveys.surveys_of(side.store, self.boiler(side))
        assert after[: len(before)] == before
        assert not done or after[-1].plant_file().plant.boilers[0].burners[0].turndown == turndown

    @rule(which=WHICH, crash=CRASHES)
    def open(self, which: int, crash: int | None) -> None:
        self.open_one(self.sides[which], crash)

    def open_one(self, side: Side, crash: int | None) -> None:
        made = str(uuid.UUID(int=self.number))
        self.number += 1
        boiler = self.boiler(side)

        def opens() -> None:
            drafts.open_visit(side.store, boiler=boiler, by=side.person.id, draft=made)

        acknowledged = self.ends(side, crash, opens)
        is_there = made in self.open_visits(side)
        assert is_there or not acknowledged
        if is_there:
            side.typed.setdefault(made, {})

    @rule(which=WHICH, device=DEVICES, data=st.data())
    def look(self, which: int, device: str, data: st.DataObject) -> None:
        """A device learns what stands; until it looks again it types on that."""
        side = self.sides[which]
        visit = self.one_of(data, side)
        side.seen[visit, device] = folded(entries.entries_of(side.store, visit))

    @rule(
        which=WHICH,
        device=DEVICES,
        fields=st.dictionaries(st.sampled_from(PATHS), st.sampled_from(TEXTS), min_size=1),
        crash=CRASHES,
        data=st.data(),
    )
    def enter(self, which: int, device: str, fields: dict[str, str], crash: int | None, data: st.DataObject) -> None:
        side = self.sides[which]
        visit = self.one_of(data, side)
        saw = side.seen.get((visit, device), folded(()))
        made = [self.entry(side, visit, path, text, device, saw.based_on(path)) for path, text in fields.items()]
        self.type_in(side, crash, made)

    @rule(which=WHICH, data=st.data())
    def send_again(self, which: int, data: st.DataObject) -> None:
        """A device that got no answer sends once more, be the visit signed by now or not."""
        side = self.sides[which]
        sent = [each for typed_in in side.typed.values() for each in typed_in.values()]
        if not sent:
            return
        again = data.draw(st.sampled_from(sorted(sent, key=lambda each: each.id)))
        assert entries.record(side.store, again).is_new is False

    @rule(which=WHICH, crash=CRASHES, data=st.data())
    def settle_conflict(self, which: int, crash: int | None, data: st.DataObject) -> None:
        side = self.sides[which]
        visit = self.one_of(data, side)
        conflicts = folded(entries.entries_of(side.store, visit)).conflicts
        if not conflicts:
            return
        made = [self.entry(side, visit, each.path, each.heads[0].text, "laptop", each.head_ids) for each in conflicts]
        self.type_in(side, crash, made)
        now = folded(entries.entries_of(side.store, visit))
        assert not now.conflicts or made[0].id not in side.typed[visit]

    @rule(which=WHICH, crash=CRASHES, data=st.data())
    def sign(self, which: int, crash: int | None, data: st.DataObject) -> None:
        side = self.sides[which]
        visit = self.one_of(data, side)
        fold = folded(entries.entries_of(side.store, visit))
        lacking = {path: text for path, text in OUT_OF_SERVICE.items() if fold.text(path) != text}
        if lacking:
            made = [
                self.entry(side, visit, path, text, "laptop", fold.based_on(path)) for path, text in lacking.items()
            ]
            self.type_in(side, None, made)
        fold = folded(entries.entries_of(side.store, visit))
        stands = judged(side.store, visiting.at_visit(side.store, visit))

        def signs() -> None:
            sign_visit(side.store, stands, side.person, SECRET, UnitSystem.US)

        if fold.conflicts or fold.unreadable:
            try:
                signs()
            except BadRequest:
                return
            raise AssertionError("two values or none were signed")
        acknowledged = self.ends(side, crash, signs)
        record = drafts.draft_of(side.store, visit).record
        assert record is not None or not acknowledged
        self.absorb(side, 0 if record is None else 1)

    @rule(which=WHICH, crash=CRASHES, data=st.data())
    def amends(self, which: int, crash: int | None, data: st.DataObject) -> None:
        side = self.sides[which]
        if not side.signed:
            return
        record = data.draw(st.sampled_from(sorted(side.signed)))
        before = len(side.signed)
        done = self.ends(side, crash, lambda: amend(side.store, record, "looked at again", side.person, SECRET))
        self.absorb(side, 1 if done else None)
        assert len(side.signed) - before in {0, 1}

    @precondition(lambda self: any(side.signed for side in self.sides))
    @rule(giver=WHICH, crash=CRASHES)
    def hand_over(self, giver: int, crash: int | None) -> None:
        gives, takes = self.sides[giver], self.sides[1 - giver]
        if not gives.signed:
            return
        self.number += 1
        file = self.folder / f"records-{self.number}"
        export(gives.store, self.boiler(gives), file)
        new = set(gives.signed) - set(takes.signed)
        done = self.ends(takes, crash, lambda: take_in(takes.store, file))
        self.absorb(takes, len(new) if done else None)
        came = new & set(takes.signed)
        assert came in ({*()}, new), "half of what a file holds was taken in"

    @precondition(lambda self: any(side.signed for side in self.sides))
    @rule()
    def hand_both_ways(self) -> None:
        for giver in (0, 1):
            if self.sides[giver].signed:
                self.hand_over_whole(giver)
        first, second = self.sides
        boiler = self.boiler(first)
        assert boiler == self.boiler(second)
        assert first.signed == second.signed
        assert heads_of(first.store, boiler) == heads_of(second.store, boiler)

    def hand_over_whole(self, giver: int) -> None:
        gives, takes = self.sides[giver], self.sides[1 - giver]
        self.number += 1
        file = self.folder / f"records-{self.number}"
        export(gives.store, self.boiler(gives), file)
        assert take_in(takes.store, file).is_taken
        self.absorb(takes, len(set(gives.signed) - set(takes.signed)))

    @rule(giver=WHICH, data=st.data())
    def carry_over(self, giver: int, data: st.DataObject) -> None:
        """A draft goes on in the other store: the same entries, in any order in which bases come first."""
        gives, takes = self.sides[giver], self.sides[1 - giver]
        visit = self.one_of(data, gives)
        known = {each.id: each for each in drafts.drafts_of(takes.store)}
        if visit in known and not known[visit].is_open:
            return
        opened_by = drafts.draft_of(gives.store, visit).opened_by
        drafts.open_visit(takes.store, boiler=self.boiler(takes), by=opened_by, draft=visit)
        waiting = data.draw(st.permutations(entries.entries_of(gives.store, visit)))
        there = {each.id for each in entries.entries_of(takes.store, visit)}
        while waiting:
            ready = [each for each in waiting if set(each.based_on) <= there]
            entries.record_all(takes.store, ready)
            there |= {each.id for each in ready}
            waiting = [each for each in waiting if each.id not in there]
        took = takes.typed.setdefault(visit, {})
        only_there = set(took) - set(gives.typed[visit])
        took.update(gives.typed[visit])
        if not only_there:
            ours, theirs = (folded(entries.entries_of(side.store, visit)) for side in (gives, takes))
            assert ours == theirs

    @rule(which=WHICH)
    def open_again(self, which: int) -> None:
        side = self.sides[which]
        side.store.close()
        side.store = Store.open(side.place, clock=self.clock)

    def absorb(self, side: Side, new: int | None) -> None:
        """What came into a store, of which nothing that was there before may be gone."""
        kept = {each.record.id: each.record for each in records_of(side.store, self.boiler(side))}
        assert set(side.signed) <= set(kept)
        came = set(kept) - set(side.signed)
        assert new is None or len(came) == new
        side.signed.update({name: (kept[name].content, kept[name].signature) for name in came})

    @invariant()
    def nothing_acknowledged_is_lost_and_nothing_else_is_there(self) -> None:
        for side in self.sides:
            for visit, typed_in in side.typed.items():
                assert {each.id: each for each in entries.entries_of(side.store, visit)} == typed_in

    @invariant()
    def nothing_signed_is_changed_and_all_of_it_verifies(self) -> None:
        for side in self.sides:
            boiler = self.boiler(side)
            kept = records_of(side.store, boiler)
            assert {each.record.id: (each.record.content, each.record.signature) for each in kept} == side.signed
            if kept:
                assert verify(container_of(side.store, boiler), known_of(side.store)).judged is Judged.VERIFIED

    @invariant()
    def what_was_signed_here_is_what_stands_in_the_visit(self) -> None:
        for side in self.sides:
            for kept in records_of(side.store, self.boiler(side)):
                if kept.visit is not None:
                    rows = facts_of(kept.record.content).body["entries"]
                    assert isinstance(rows, list)
                    signed = {str(row["id"]) for row in rows if isinstance(row, dict)}
                    assert signed == set(side.typed[kept.visit])
                    assert not drafts.draft_of(side.store, kept.visit).is_open


Visits.TestCase.settings = settings(
    max_examples=200 if SOAK else 10, stateful_step_count=60 if SOAK else 20, deadline=None
)
TestVisits = Visits.TestCase
