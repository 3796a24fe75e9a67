"""Wording of what verifying finds: each flaw of a file or a record, each standing of a signer, what to do about it.

The keys are the values of the flaws and standings themselves; a test holds that none is without words.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

_AGAIN: Final = "Use nothing of it; ask whoever sent it for the file as the program wrote it."
_ASK: Final = "Ask whoever sent it for all records of this boiler."


@dataclass(frozen=True, slots=True, kw_only=True)
class FlawWords:
    """One way in which records are not what was signed.

    Places: ``{record}`` (which record, with its date and name where it has them), ``{other}`` (what is gone or
    changed), ``{place}`` and ``{found}``.
    """

    what: str
    do: str


FLAWS: Final[Mapping[str, FlawWords]] = {
    "not the one encoding": FlawWords(
        what="The file is not written in the one accepted way, at {place}: {found}.", do=_AGAIN
    ),
    "beyond a limit": FlawWords(what="The file is beyond what is read, {place}: {found}.", do=_AGAIN),
    "not readable": FlawWords(what="The file cannot be read as records, at {place}: {found}.", do=_AGAIN),
    "no records": FlawWords(what="The file holds no record.", do=_ASK),
    "other keys than the signers'": FlawWords(
        what="The keys beside the records are not those of their signers, at {place}.", do=_AGAIN
    ),
    "malformed": FlawWords(what="{record} has not the shape of the format, at {place}: {found}.", do=_AGAIN),
    "changed": FlawWords(
        what="{record} was changed, or its id was: what it says now has the id {other}.",
        do="Do not rely on it. Ask the signer for the record as it was signed.",
    ),
    "signature": FlawWords(
        what="The signature does not fit {record}: what it says was changed after it was signed, or the signature was.",
        do="Do not rely on it. Ask the signer for the record as it was signed.",
    ),
    "other signer than its key": FlawWords(
        what="{record} names another key ({other}) than that of its signer.",
        do="Do not rely on it. Ask the signer for the record as it was signed.",
    ),
    "twice": FlawWords(what="{record} stands in the file twice.", do=_AGAIN),
    "other boiler": FlawWords(
        what="{record} is of another boiler ({found}) than these records.", do="Do not count it here. " + _AGAIN
    ),
    "parent missing": FlawWords(
        what="A visit is gone: {record} follows {other}, which is not in the file{found}.", do=_ASK
    ),
    "parent is no head": FlawWords(
        what="{record} says that it follows {other}, though another that it follows came after that.",
        do="It was not written by this program as it stands. " + _AGAIN,
    ),
    "cycle": FlawWords(what="{record} would come before itself.", do=_AGAIN),
    "dated before a parent": FlawWords(
        what="{record} is dated before {other}, which it follows: {found}.",
        do="A date or a clock is false. Ask the signer when it was.",
    ),
    "amended record missing": FlawWords(what="{record} amends {other}, which is not in the file.", do=_ASK),
    "amended record is no ancestor": FlawWords(
        what="{record} amends {other}, which does not come before it.",
        do="It was not written by this program as it stands. " + _AGAIN,
    ),
    "attachment changed": FlawWords(
        what="The attached file {other}, named by {record}, was changed or swapped: {found}.",
        do="Do not rely on this picture or log. Ask for it as it was attached.",
    ),
    "attachment missing": FlawWords(what="The attached file {other}, named by {record}, is gone.", do=_ASK),
    "attachment named by no record": FlawWords(
        what="The attached file {other} is named by no record: it was put in.", do="Do not rely on it. " + _AGAIN
    ),
    "survey changed": FlawWords(
        what="The survey {other}, named by {record}, was changed: {found}.",
        do="Do not rely on this survey. Ask for it as it was.",
    ),
    "survey missing": FlawWords(what="The survey {other}, named by {record}, is gone.", do=_ASK),
    "survey named by no record": FlawWords(
        what="The survey {other} is named by no record: it was put in.", do="Do not rely on it. " + _AGAIN
    ),
}

WHOLE_FILE: Final = "The file"
SOME_RECORD: Final = "some record"
NAMED_RECORD: Final = "{kind} {short} of {date} (signed as {name})"
UNNAMED_RECORD: Final = "record {short}"
HELD_HERE: Final = " (this store holds it)"
CONTENT_IS: Final = "its content is {found}"
NOTHING_MORE: Final = "its content is something else"
AND_MORE: Final = "And {count} more; --json tells all."


@dataclass(frozen=True, slots=True, kw_only=True)
class StandingWords:
    """Whether a key is known here. Places: ``{name}``, ``{known_as}``, ``{fingerprint}``, ``{count}``."""

    label: str
    """For the margin"""
    what: str
    do: str


STANDINGS: Final[Mapping[str, StandingWords]] = {
    "known": StandingWords(label="known", what="{name}, {count}.", do=""),
    "unknown": StandingWords(
        label="UNKNOWN",
        what="Somebody who signs as {name}, {count}. Nobody here knows the key {fingerprint}.",
        do="A name proves nothing: call, have the fingerprint read out and compare it; only then enter the key.",
    ),
    "known by another name": StandingWords(
        label="UNKNOWN",
        what="The key of {known_as}, {count}, signed as {name}. The key is {fingerprint}.",
        do="Ask {known_as} who used the key.",
    ),
    "withdrawn since": StandingWords(
        label="known",
        what="{name}, {count}. The key was withdrawn later; these records were held here before.",
        do="",
    ),
    "withdrawn, date unproven": StandingWords(
        label="UNKNOWN",
        what="{name}, {count}, by a key that is withdrawn ({fingerprint}). They bear earlier dates, but "
        "whoever has the key can write any date.",
        do="Ask {name}, or somebody who held these records before the key was withdrawn.",
    ),
    "withdrawn before": StandingWords(
        label="REFUSED",
        what="{name}, {count}, signed after the key was withdrawn ({fingerprint}).",
        do="Do not rely on them. Ask {name}.",
    ),
}

TITLE: Final = "Records of {site}, {boiler}"
TITLE_UNKNOWN: Final = "Records"
QUESTION_UNCHANGED: Final = "Is it what was signed?"
QUESTION_SIGNERS: Final = "Who signed, and is the key known here?"
UNCHANGED: Final = (
    "Yes. {count} from {first} to {last}: every signature fits, every attachment and survey is what was named, and "
    "nothing is gone from between a record and those before it."
)
UNCHANGED_DAY: Final = (
    "Yes. {count} of {first}: every signature fits, and every attachment and survey is what was named."
)
CHANGED: Final = "No. {count} found:"
NO_SIGNER: Final = "Nobody can be named: there is no record whose signature fits."
HEADS: Final = (
    "Two or more histories stand side by side, and no record joins them yet: the next visit to be signed will."
)
KEY_GIVEN: Final = (
    "The key in {file} counts as known because you named it. Its fingerprint is {fingerprint}: is that what the signer "
    "told you?"
)
NO_KEYS: Final = (
    "No key was given to compare with: name the signer's public key file with --key, or a store with --store."
)
STORE_USED: Final = "Known are the keys of the store {store}."
NO_RECORDS_AT_ALL: Final = "The store {store} holds no signed record."
LACKING: Final = "The store holds {count} of this boiler that this file does not: {ids}."
END_OF_FILE: Final = (
    "No file can show what was taken off its end. Whether the last visit in it is the latest, only who sent it can say."
)
VERDICTS: Final[Mapping[str, str]] = {
    "verified": "VERIFIED: unchanged, and every signer is known.",
    "unchanged, but a signer could not be judged": (
        "UNCHANGED, but a signer could not be judged: that it was signed is sure, by whom is not."
    ),
    "does not verify": "DOES NOT VERIFY: do not rely on what it says.",
}


def counted(count: int, one: str, many: str) -> str:
    """A number with its noun."""
    return f"{count} {one if count == 1 else many}"
