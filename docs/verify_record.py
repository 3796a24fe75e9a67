"""Verify a file of records with Python and ``cryptography`` alone: ``python verify_record.py FILE``.

It shares no code with evenfire; record-format.md says what is checked and why. It knows nobody: compare the fingerprint
of each signer with the one that this person gave you. Ends with 0 when nothing was changed, with 5 when something was.
"""

import base64
import hashlib
import json
import sys
from datetime import datetime
from pathlib import Path

from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey

OF_FILE = ["attachments", "boiler", "format", "keys", "records", "surveys"]
OF_CONTENT = ["attachments", "body", "boiler", "engine", "format", "kind", "parents", "physics", "rule_book"]
OF_CONTENT += ["signed_at", "signer", "surveys"]


def canonical(value):
    """Encode as RFC 8785 does, numbers being whole: no spaces, keys in the order of their UTF-16 units."""

    def ordered(part):
        if isinstance(part, float) or (isinstance(part, int) and abs(part) >= 2**53):
            raise ValueError(f"the number {part}")
        if isinstance(part, dict):
            return {key: ordered(part[key]) for key in sorted(part, key=lambda key: key.encode("utf-16-be"))}
        return [ordered(item) for item in part] if isinstance(part, list) else part

    return json.dumps(ordered(value), ensure_ascii=False, separators=(",", ":")).encode()


def is_signed(content, signature):
    """Tell whether this key signed this content."""
    key, value = bytes.fromhex(content["signer"]["key"]), bytes.fromhex(signature["value"])
    try:
        message = b"evenfire.record/1 signature\n" + canonical(content)
        Ed25519PublicKey.from_public_bytes(key).verify(value, message)
    except InvalidSignature:
        return False
    return (hashlib.sha256(key).hexdigest(), value.hex()) == (signature["key"], signature["value"])


def ancestors(name, contents):
    """Walk from a record to everything that comes before it."""
    reached, waiting = set(), [name]
    while waiting:
        known = {parent for parent in contents[waiting.pop()]["parents"] if parent in contents}
        waiting += known - reached
        reached |= known
    return reached


def record_checks(record, contents, boiler):
    """Each thing that must hold of one record, by the words for its failing."""
    content, parents = record["content"], record["content"]["parents"]
    before, amends = ancestors(record["id"], contents), content["body"].get("amends")
    datetime.fromisoformat(content["signed_at"])
    yield "is of another format", sorted(content) == OF_CONTENT and content["format"] == "evenfire.record/1"
    yield "names its signer otherwise", sorted(content["signer"]) == ["key", "licence", "name", "role"]
    yield "was changed, or its id was", hashlib.sha256(canonical(content)).hexdigest() == record["id"]
    yield "does not fit its signature", is_signed(content, record["signature"])
    yield "is of another boiler", content["boiler"]["id"] == boiler
    yield "names its parents out of order", parents == sorted(set(parents))
    yield "is no visit and no amendment", content["kind"] == ("visit" if amends is None else "amendment")
    yield "amends what does not come before it", amends is None or amends in before
    for parent in parents:
        yield f"follows {parent}, which is gone", parent in contents
        yield f"is dated before {parent}", content["signed_at"] >= contents.get(parent, content)["signed_at"]
        others = [other for other in parents if other in contents]
        yield f"names {parent}, which is no head", not any(parent in ancestors(each, contents) for each in others)


def file_checks(data, whole):
    """Each thing that must hold of a file, by the words for its failing."""
    files = {name: base64.b64decode(text, validate=True) for name, text in whole["attachments"].items()}
    encoded = {name: base64.b64encode(file).decode() for name, file in files.items()}
    contents = {record["id"]: record["content"] for record in whole["records"]}
    yield "written in another way", canonical({**whole, "attachments": encoded}) == data
    yield "of another format", sorted(whole) == OF_FILE and whole["format"] == "evenfire.records/1"
    yield "records out of order", [each["id"] for each in whole["records"]] == sorted(contents) != []
    yield "keys of others", whole["keys"] == sorted({each["signer"]["key"] for each in contents.values()})
    surveys = {name: text.encode() for name, text in whole["surveys"].items()}
    for kind, held in (("attachments", files), ("surveys", surveys)):
        for name in sorted({name for each in contents.values() for name in each[kind]} | held.keys()):
            yield f"{kind}: {name} is named by nobody", any(name in each[kind] for each in contents.values())
            yield f"{kind}: {name} is gone or was changed", hashlib.sha256(held.get(name, b"")).hexdigest() == name
    for record in whole["records"]:
        parts = [*sorted(record), *sorted(record["signature"])]
        yield f"record {record['id']} has other parts", parts == ["content", "id", "signature", "key", "value"]
        for words, holds in record_checks(record, contents, whole["boiler"]):
            yield f"record {record['id']} {words}", holds


def main(path):
    """Print what is wrong and who signed."""
    told, data = [], Path(path).read_bytes()
    try:
        whole = json.loads(data.decode())
        told = [words for words, holds in file_checks(data, whole) if not holds]
        for content in [] if told else [record["content"] for record in whole["records"]]:
            fingerprint = hashlib.sha256(bytes.fromhex(content["signer"]["key"])).hexdigest()
            print(content["signed_at"], content["signer"]["name"], fingerprint)  # noqa: T201
    except (ValueError, TypeError, KeyError, AttributeError, RecursionError) as error:
        told = [f"not to be read as records: {error!r}"]
    print("\n".join(ascii(words) for words in told) or "Unchanged. Who signed is for you to compare.")  # noqa: T201
    return 5 if told else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1]))
