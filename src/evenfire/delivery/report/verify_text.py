"""The answer of ``verify`` as text: two questions, two answers, one verdict."""

from collections import Counter
from collections.abc import Iterator
from typing import Final

from evenfire.delivery.answers import Verified
from evenfire.delivery.records.keys import grouped
from evenfire.delivery.records.verification import Flaw, Problem, SignedBy, Verification
from evenfire.delivery.report.page import Page, joined
from evenfire.delivery.units import UnitSystem
from evenfire.delivery.words import records as words

MOST_SHOWN: Final = 20
"""Flaws on a screen; the first ones name the place."""
SHORT: Final = 12
"""Digits of an id that are enough to find it again in one file."""
_DAY: Final = "%Y-%m-%d"


def verify_text(done: Verified, width: int) -> str:
    """Every file or boiler that was asked for."""
    # Nothing here has a unit; a page wants to know one all the same.
    page = Page(width, UnitSystem.SI)
    return joined(
        [
            *(_boiler(verification, page) for verification in done.verifications),
            "" if done.verifications else page.paragraph(words.NO_RECORDS_AT_ALL.format(store=done.store)),
            _given(done, page),
            page.paragraph(words.END_OF_FILE),
            page.paragraph(words.VERDICTS[done.judged.value]),
        ]
    )


def flaw_words(problem: Problem, verification: Verification) -> words.FlawWords:
    """What is told of one flaw, and what to do."""
    entry = words.FLAWS[problem.flaw.value]
    named = _named(problem.record, verification)
    what = entry.what.format(
        record=named or words.WHOLE_FILE,
        other=problem.other[:SHORT],
        place=problem.place,
        found=_found(problem),
    )
    if not named and problem.flaw in {Flaw.ATTACHMENT_CHANGED, Flaw.SURVEY_CHANGED}:
        what = what.replace(words.WHOLE_FILE, words.SOME_RECORD)
    return words.FlawWords(what=what[:1].upper() + what[1:], do=entry.do)


def standing_words(signed: SignedBy, count: int) -> words.StandingWords:
    """What is told of one signer, and what to do."""
    entry = words.STANDINGS[signed.standing.value]
    places = {
        "name": signed.name,
        "known_as": signed.known_as,
        "fingerprint": grouped(signed.fingerprint),
        "count": words.counted(count, "record", "records"),
    }
    return words.StandingWords(label=entry.label, what=entry.what.format(**places), do=entry.do.format(**places))


def _boiler(verification: Verification, page: Page) -> str:
    title = words.TITLE_UNKNOWN
    if verification.records:
        last = verification.records[-1]
        title = words.TITLE.format(site=last.site, boiler=last.boiler)
    heads = page.paragraph(words.HEADS) if len(verification.heads) > 1 and verification.is_unchanged else ""
    lacking = ""
    if verification.lacking:
        ids = ", ".join(name[:SHORT] for name in verification.lacking)
        count = words.counted(len(verification.lacking), "record", "records")
        lacking = page.paragraph(words.LACKING.format(count=count, ids=ids))
    return joined(
        [
            page.title(title),
            page.heading(words.QUESTION_UNCHANGED) + "\n" + "\n".join(_unchanged(verification, page)),
            page.heading(words.QUESTION_SIGNERS) + "\n" + "\n".join(_signers(verification, page)),
            heads,
            lacking,
        ]
    )


def _unchanged(verification: Verification, page: Page) -> Iterator[str]:
    if verification.is_unchanged:
        first, last = (f"{verification.records[place].signed_at:{_DAY}}" for place in (0, -1))
        count = words.counted(len(verification.records), "record", "records")
        said = words.UNCHANGED_DAY if len(verification.records) == 1 else words.UNCHANGED
        yield page.paragraph(said.format(count=count, first=first, last=last))
        return
    problems = verification.problems
    yield page.paragraph(words.CHANGED.format(count=words.counted(len(problems), "flaw", "flaws")))
    done: set[str] = set()
    for problem in problems[:MOST_SHOWN]:
        said_of = flaw_words(problem, verification)
        # The same advice once is enough.
        yield page.item(said_of.what if said_of.do in done else f"{said_of.what} {said_of.do}")
        done.add(said_of.do)
    if len(problems) > MOST_SHOWN:
        yield page.item(words.AND_MORE.format(count=len(problems) - MOST_SHOWN))


def _signers(verification: Verification, page: Page) -> Iterator[str]:
    if not verification.signers:
        yield page.paragraph(words.NO_SIGNER)
    groups = Counter((each.fingerprint, each.name, each.standing) for each in verification.signers)
    for signed in verification.signers:
        count = groups.pop((signed.fingerprint, signed.name, signed.standing), 0)
        if count:
            said = standing_words(signed, count)
            yield page.labelled(said.label, f"{said.what} {said.do}".strip())


def _given(done: Verified, page: Page) -> str:
    lines = [
        page.paragraph(words.KEY_GIVEN.format(file=key.file, fingerprint=grouped(key.fingerprint)))
        for key in done.given
    ]
    if done.store is not None:
        lines.append(page.paragraph(words.STORE_USED.format(store=done.store)))
    has_signers = any(verification.signers for verification in done.verifications)
    if not done.given and done.store is None and has_signers:
        lines.append(page.paragraph(words.NO_KEYS))
    return joined(lines)


def _named(record: str, verification: Verification) -> str:
    if not record:
        return ""
    for told in verification.records:
        if told.id == record:
            return words.NAMED_RECORD.format(
                kind=told.kind, short=record[:SHORT], date=f"{told.signed_at:{_DAY}}", name=told.signer
            )
    return words.UNNAMED_RECORD.format(short=record[:SHORT])


def _found(problem: Problem) -> str:
    if problem.flaw is Flaw.PARENT_MISSING:
        return words.HELD_HERE if problem.found else ""
    if problem.flaw in {Flaw.ATTACHMENT_CHANGED, Flaw.SURVEY_CHANGED}:
        return words.CONTENT_IS.format(found=problem.found[:SHORT]) if problem.found else words.NOTHING_MORE
    return problem.found
