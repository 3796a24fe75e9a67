"""Keys in files: the private one encrypted by a passphrase (PKCS #8), the public one to hand on."""

import base64
import os
import unicodedata
from typing import Final

from cryptography.exceptions import UnsupportedAlgorithm
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey, Ed25519PublicKey
from cryptography.hazmat.primitives.ciphers import Cipher
from cryptography.hazmat.primitives.ciphers.algorithms import AES256
from cryptography.hazmat.primitives.ciphers.modes import CBC
from cryptography.hazmat.primitives.kdf.pbkdf2 import PBKDF2HMAC
from cryptography.hazmat.primitives.padding import PKCS7
from cryptography.hazmat.primitives.serialization import (
    Encoding,
    NoEncryption,
    PrivateFormat,
    PublicFormat,
    load_pem_private_key,
    load_pem_public_key,
)

from evenfire.delivery.records.keys import PrivateKey, PublicKey
from evenfire.errors import BadKey

SHORTEST_PASSPHRASE: Final = 12
"""[characters]"""
ASSUMED_ROUNDS: Final = 600_000
"""Of PBKDF2 with HMAC-SHA-256, the number that practice asks for. The library's own writer takes 2,048, which makes a
guess at a passphrase three hundred times cheaper; so the file is put together here."""
_ENCRYPTED: Final = "ENCRYPTED PRIVATE KEY"

_SEQUENCE: Final = 0x30
_OCTETS: Final = 0x04
_INTEGER: Final = 0x02
_PBES2: Final = bytes.fromhex("06092a864886f70d01050d")
_PBKDF2: Final = bytes.fromhex("06092a864886f70d01050c")
_HMAC_SHA256: Final = bytes.fromhex("06082a864886f70d0209")
_AES256_CBC: Final = bytes.fromhex("060960864801650304012a")
_NULL: Final = bytes.fromhex("0500")
"""Object identifiers of RFC 8018, in DER."""


def sealed_key(key: PrivateKey, passphrase: str) -> bytes:
    """The private key as an encrypted PKCS #8 file (PEM; RFC 5958, RFC 8018), new salt every time.

    Raises
    ------
    BadKey
        The passphrase is too short.
    """
    if len(passphrase) < SHORTEST_PASSPHRASE:
        raise BadKey(
            f"The passphrase has {len(passphrase)} characters; it needs at least {SHORTEST_PASSPHRASE}. "
            "Four words that belong to nobody's sentence are easy to keep."
        )
    plain = key.secret.private_bytes(Encoding.DER, PrivateFormat.PKCS8, NoEncryption())
    salt, start = os.urandom(16), os.urandom(16)
    stretch = PBKDF2HMAC(algorithm=hashes.SHA256(), length=32, salt=salt, iterations=ASSUMED_ROUNDS)
    encryptor = Cipher(AES256(stretch.derive(_as_bytes(passphrase))), CBC(start)).encryptor()
    padder = PKCS7(128).padder()
    hidden = encryptor.update(padder.update(plain) + padder.finalize()) + encryptor.finalize()
    rounds = _der(_INTEGER, ASSUMED_ROUNDS.to_bytes(3, "big"))
    derived = _der(
        _SEQUENCE, _PBKDF2, _der(_SEQUENCE, _der(_OCTETS, salt), rounds, _der(_SEQUENCE, _HMAC_SHA256, _NULL))
    )
    cipher = _der(_SEQUENCE, _AES256_CBC, _der(_OCTETS, start))
    method = _der(_SEQUENCE, _PBES2, _der(_SEQUENCE, derived, cipher))
    return _pem(_ENCRYPTED, _der(_SEQUENCE, method, _der(_OCTETS, hidden)))


def opened_key(pem: bytes, passphrase: str) -> PrivateKey:
    """The private key of a file.

    Raises
    ------
    BadKey
        The passphrase does not open it, it is not encrypted, or it holds no Ed25519 key.
    """
    if _ENCRYPTED.encode() not in pem:
        raise BadKey("This file holds no private key encrypted by a passphrase. Choose the key file of the signer.")
    try:
        secret = load_pem_private_key(pem, _as_bytes(passphrase))
    except (ValueError, TypeError, UnsupportedAlgorithm):
        raise BadKey("The passphrase does not open this key, or the key file is damaged. Nothing was signed.") from None
    if not isinstance(secret, Ed25519PrivateKey):
        raise BadKey("This file holds a private key of another kind; records are signed with Ed25519.")
    return PrivateKey(secret)


def public_file(key: PublicKey) -> bytes:
    """The public key as a file (PEM) to hand to others."""
    return Ed25519PublicKey.from_public_bytes(key.raw).public_bytes(Encoding.PEM, PublicFormat.SubjectPublicKeyInfo)


def read_public(pem: bytes) -> PublicKey:
    """The public key of a file.

    Raises
    ------
    BadKey
        It holds none, or one of another kind; a private key is refused without being looked at.
    """
    if b"PRIVATE KEY" in pem:
        raise BadKey("This is a private key: keep it to yourself. Give the public key of the signer.")
    try:
        key = load_pem_public_key(pem)
    except (ValueError, UnsupportedAlgorithm):
        raise BadKey("This file holds no public key. Give the file that the signer handed out.") from None
    if not isinstance(key, Ed25519PublicKey):
        raise BadKey("This file holds a public key of another kind; records are signed with Ed25519.")
    return PublicKey(key.public_bytes_raw())


def _as_bytes(passphrase: str) -> bytes:
    """The same bytes for the same letters, whichever way a keyboard composes them."""
    return unicodedata.normalize("NFC", passphrase).encode("utf-8")


def _der(tag: int, *parts: bytes) -> bytes:
    """One element of DER; contents of up to 127 bytes have a length of one byte, up to 255 of two."""
    content = b"".join(parts)
    length = bytes([len(content)]) if len(content) < 0x80 else bytes([0x81, len(content)])
    return bytes([tag]) + length + content


def _pem(name: str, content: bytes) -> bytes:
    text = base64.b64encode(content).decode()
    lines = [text[place : place + 64] for place in range(0, len(text), 64)]
    return "\n".join([f"-----BEGIN {name}-----", *lines, f"-----END {name}-----", ""]).encode()
