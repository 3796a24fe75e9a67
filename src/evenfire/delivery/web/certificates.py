"""The certificate of a server: one that somebody brought, or one that it signs itself and tells the fingerprint of."""

import hashlib
import ssl
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Final

from cryptography import x509
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.serialization import Encoding, NoEncryption, PrivateFormat
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from evenfire.delivery.records.whole_files import write_whole
from evenfire.delivery.web.door.arrival import address_of
from evenfire.delivery.words.serving import bad_certificate
from evenfire.errors import BadRequest

ASSUMED_VALID: Final = timedelta(days=397)
"""The longest that browsers take of anybody; whoever compared the fingerprint compares it again a year on."""
ASSUMED_LEFT: Final = timedelta(days=30)
"""One that ends sooner is made anew, so that it does not end in the middle of a visit."""
BYTE: Final = 2
"""[digits]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Certificate:
    """What a server shows of itself, and the key that proves it."""

    certificate: Path
    key: Path
    fingerprint: str | None
    """SHA-256 as browsers show it, for one that it signed itself"""


def brought(certificate: Path, key: Path) -> Certificate:
    """A certificate and its key from files.

    Raises
    ------
    BadRequest
        They cannot be read, do not belong together, or the key is encrypted.
    """
    _require_usable(certificate, key)
    return Certificate(certificate=certificate, key=key, fingerprint=None)


def self_signed(folder: Path, names: Sequence[str], now: datetime | None = None) -> Certificate:
    """The certificate for these names or addresses, which nobody vouches for; the one made before, as long as it holds.

    The key is readable by its owner alone.
    """
    at = now or datetime.now(UTC)
    mark = hashlib.sha256("\n".join(sorted(names)).encode()).hexdigest()[:8]
    certificate, key = folder / f"certificate-{mark}.pem", folder / f"key-{mark}.pem"
    if not _still_holds(certificate, key, at):
        private = ec.generate_private_key(ec.SECP256R1())
        # The key first: a certificate without its key is made anew, a key without its certificate too.
        write_whole(key, private.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption()))
        write_whole(certificate, _signed(private, names, at).public_bytes(Encoding.PEM))
    found = x509.load_pem_x509_certificate(certificate.read_bytes())
    return Certificate(certificate=certificate, key=key, fingerprint=shown(found.fingerprint(hashes.SHA256())))


def shown(fingerprint: bytes) -> str:
    """A fingerprint as browsers show it: bytes in capitals."""
    digits = fingerprint.hex().upper()
    return ":".join(digits[place : place + BYTE] for place in range(0, len(digits), BYTE))


def _still_holds(certificate: Path, key: Path, at: datetime) -> bool:
    try:
        _require_usable(certificate, key)
        found = x509.load_pem_x509_certificate(certificate.read_bytes())
    except (BadRequest, OSError, ValueError):
        return False
    return found.not_valid_before_utc <= at and at + ASSUMED_LEFT < found.not_valid_after_utc


def _require_usable(certificate: Path, key: Path) -> None:
    try:
        # With an empty passphrase an encrypted key is an error, and no question on the terminal.
        ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER).load_cert_chain(certificate, key, password=lambda: "")
    except (OSError, ValueError) as error:
        raise BadRequest(bad_certificate(str(certificate), str(key))) from error


def _signed(private: ec.EllipticCurvePrivateKey, names: Sequence[str], at: datetime) -> x509.Certificate:
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "evenfire")])
    usage = x509.KeyUsage(
        digital_signature=True,
        content_commitment=False,
        key_encipherment=False,
        data_encipherment=False,
        key_agreement=False,
        key_cert_sign=False,
        crl_sign=False,
        encipher_only=False,
        decipher_only=False,
    )
    return (
        x509.CertificateBuilder()
        .subject_name(name)
        .issuer_name(name)
        .public_key(private.public_key())
        .serial_number(x509.random_serial_number())
        # A telephone's clock may be some minutes behind.
        .not_valid_before(at - timedelta(hours=1))
        .not_valid_after(at + ASSUMED_VALID - timedelta(hours=1))
        .add_extension(x509.SubjectAlternativeName([_general(each) for each in names]), critical=False)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(usage, critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .sign(private, hashes.SHA256())
    )


def _general(name: str) -> x509.GeneralName:
    address = address_of(name)
    return x509.DNSName(name) if address is None else x509.IPAddress(address)
