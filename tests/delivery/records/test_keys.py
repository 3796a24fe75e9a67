"""Keys of people: RFC 8032's own vectors (from memory), and the act by which a key becomes known."""

import hashlib
from datetime import UTC, datetime

import pytest
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

from evenfire.delivery.records.keys import (
    KnownKey,
    PrivateKey,
    PublicKey,
    Withdrawal,
    entered,
    grouped,
    new_key,
    public_key,
    withdrawn,
)
from evenfire.errors import BadKey
from tests.delivery.records.signed_examples import ADA, BEN

NOW = datetime(2026, 5, 4, 10, tzinfo=UTC)
KNOWN = KnownKey(key=ADA.public, name="Ada Field", entered=NOW)


@pytest.mark.parametrize(
    ("secret", "public", "message", "signature"),
    [
        # RFC 8032, section 7.1, TEST 1 and TEST 2, from memory.
        (
            "9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60",
            "d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a",
            "",
            (
                "e5564300c360ac729086e2cc806e828a84877f1eb8e5d974d873e065224901555fb8821590a33bacc61e39701cf9b46bd25bf5f0595bbe24655141438e7a100b"
            ),
        ),
        (
            "4ccd089b28ff96da9db6c346ec114e0f5b8a319f35aba624da8cf6ed4fb8a6fb",
            "3d4017c3e843895a92b70aa74d1b7ebc9c982ccf2ec4968cc0cd55f12af4660c",
            "72",
            (
                "92a009a9f0d4cab8720e820b5f642540a2b27b5416503f8fb3762223ebdb69da085ac1e43e15996e458f3613d0f11d8c387b2eaeb4302aeeb00d291612bb0c00"
            ),
        ),
    ],
)
def test_the_vectors_of_the_standard_are_met(secret: str, public: str, message: str, signature: str) -> None:
    key = PrivateKey(Ed25519PrivateKey.from_private_bytes(bytes.fromhex(secret)))
    assert key.public == public_key(public)
    assert key.sign(bytes.fromhex(message)).hex() == signature
    assert key.public.verifies(bytes.fromhex(signature), bytes.fromhex(message))
    assert not key.public.verifies(bytes.fromhex(signature), bytes.fromhex(message) + b"x")


def test_two_new_keys_differ() -> None:
    assert new_key().public != new_key().public


def test_a_private_key_does_not_show_itself() -> None:
    assert ADA.secret.private_bytes_raw().hex() not in repr(ADA)
    assert "secret" not in repr(ADA)


def test_a_fingerprint_is_the_sha_256_of_the_raw_key_in_groups_of_four() -> None:
    raw = ADA.public.raw
    assert ADA.public.fingerprint == hashlib.sha256(raw).hexdigest()
    assert grouped(ADA.public.fingerprint).split(" ")[0] == hashlib.sha256(raw).hexdigest()[:4]
    assert len(grouped(ADA.public.fingerprint).split(" ")) == 16


@pytest.mark.parametrize("bad", ["", "ab", "G" * 64, "AB" * 32, "ab" * 33, "\u0661" * 64])
def test_what_is_no_public_key_is_refused(bad: str) -> None:
    with pytest.raises(BadKey):
        public_key(bad)


def test_a_key_of_another_length_cannot_be_made() -> None:
    with pytest.raises(BadKey, match="31"):
        PublicKey(bytes(31))


@pytest.mark.parametrize(
    "typed",
    [
        ADA.public.fingerprint,
        grouped(ADA.public.fingerprint).upper(),
        grouped(ADA.public.fingerprint)[:39].replace(" ", "-"),
        f"  {ADA.public.fingerprint[:32]}\n",
    ],
)
def test_a_key_is_known_once_its_fingerprint_was_typed(typed: str) -> None:
    assert entered(ADA.public, typed, " Ada Field ", NOW) == KNOWN


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        ("", "at least the first 8 groups"),
        (ADA.public.fingerprint[:31], "at least the first 8 groups"),
        (ADA.public.fingerprint + "0", "at least the first 8 groups"),
        (BEN.public.fingerprint, "not that of this key"),
        (ADA.public.fingerprint[:31] + ("1" if ADA.public.fingerprint[31] == "0" else "0"), "not that of this key"),
        (ADA.public.fingerprint[1:], "not that of this key"),
        ("yes, it is the same one, I have looked at it", "no fingerprint"),
    ],
)
def test_a_key_whose_fingerprint_was_not_typed_stays_unknown(typed: str, told: str) -> None:
    with pytest.raises(BadKey, match=told):
        entered(ADA.public, typed, "Ada Field", NOW)


def test_a_key_belongs_to_a_person() -> None:
    with pytest.raises(BadKey, match="person"):
        entered(ADA.public, ADA.public.fingerprint, "  ", NOW)


@pytest.mark.parametrize(
    "raw",
    [
        # The neutral point and a point of order 4, by their coordinates; one of order 8, from memory.
        "0100000000000000000000000000000000000000000000000000000000000000",
        "0000000000000000000000000000000000000000000000000000000000000000",
        "c7176a703d4dd84fba3c0b760d10670f2a2053fa2c39ccc64ec7fd7792ac037a",
    ],
)
def test_a_key_under_which_everything_verifies_is_refused(raw: str) -> None:
    key = public_key(raw)
    with pytest.raises(BadKey, match="nobody made"):
        entered(key, key.fingerprint, "Ada Field", NOW)


def test_a_key_is_withdrawn_once_with_a_date_and_a_reason() -> None:
    gone = withdrawn(KNOWN, NOW, " left the company ")
    assert gone.withdrawn == Withdrawal(at=NOW, reason="left the company")
    with pytest.raises(BadKey, match="2026-05-04 already: left the company"):
        withdrawn(gone, NOW, "again")
    with pytest.raises(BadKey, match="reason"):
        withdrawn(KNOWN, NOW, " ")
