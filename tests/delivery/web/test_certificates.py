"""Certificates: read back by another program (openssl) where it matters."""

import os
import stat
import subprocess
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from evenfire.delivery.web.certificates import ASSUMED_LEFT, ASSUMED_VALID, Certificate, brought, self_signed
from evenfire.errors import BadRequest

NOW = datetime(2026, 3, 2, 9, 30, tzinfo=UTC)
NAMES = ("192.168.7.1", "boilers.example", "::1")


def openssl(*asked: str) -> str:
    return subprocess.run(["openssl", *asked], check=True, capture_output=True, text=True).stdout


@pytest.fixture
def made(tmp_path: Path) -> Certificate:
    return self_signed(tmp_path / "serve", NAMES)


def test_the_fingerprint_is_the_one_that_openssl_computes(made: Certificate) -> None:
    told = openssl("x509", "-in", str(made.certificate), "-noout", "-fingerprint", "-sha256")
    assert made.fingerprint is not None
    assert told.strip().rpartition("=")[2] == made.fingerprint


def test_it_is_for_these_names_for_servers_alone_and_vouches_for_nothing_else(made: Certificate) -> None:
    told = openssl("x509", "-in", str(made.certificate), "-noout", "-text")
    for name in ("IP Address:192.168.7.1", "DNS:boilers.example", "IP Address:0:0:0:0:0:0:0:1"):
        assert name in told
    assert "CA:FALSE" in told
    assert "TLS Web Server Authentication" in told
    assert "Certificate Sign" not in told


@pytest.mark.parametrize("name", ["192.168.7.1", "boilers.example"])
def test_openssl_takes_it_for_its_names_and_no_other(made: Certificate, name: str) -> None:
    kind = "-verify_ip" if name[0].isdigit() else "-verify_hostname"
    asked = ["verify", "-CAfile", str(made.certificate), "-partial_chain"]
    assert "OK" in openssl(*asked, kind, name, str(made.certificate))
    with pytest.raises(subprocess.CalledProcessError):
        openssl(*asked, "-verify_hostname", "evil.example", str(made.certificate))


def test_its_key_is_readable_by_its_owner_alone_whatever_the_umask(tmp_path: Path) -> None:
    before = os.umask(0)
    try:
        made = self_signed(tmp_path / "serve", NAMES)
    finally:
        os.umask(before)
    assert stat.S_IMODE(made.key.stat().st_mode) == 0o600
    assert stat.S_IMODE(made.key.parent.stat().st_mode) == 0o700


def test_it_is_used_again_so_that_its_fingerprint_is_compared_once(tmp_path: Path) -> None:
    first = self_signed(tmp_path, NAMES, NOW)
    key = first.key.read_bytes()
    assert self_signed(tmp_path, tuple(reversed(NAMES)), NOW + timedelta(days=300)) == first
    assert first.key.read_bytes() == key
    assert self_signed(tmp_path, ("192.168.7.2",), NOW).fingerprint != first.fingerprint
    assert self_signed(tmp_path, NAMES, NOW) == first


def test_one_that_ends_soon_or_is_not_yet_valid_is_made_anew(tmp_path: Path) -> None:
    first = self_signed(tmp_path, NAMES, NOW)
    late = self_signed(tmp_path, NAMES, NOW + ASSUMED_VALID - ASSUMED_LEFT)
    assert late.fingerprint != first.fingerprint
    assert self_signed(tmp_path, NAMES, NOW - timedelta(days=1)).fingerprint != late.fingerprint


@pytest.mark.parametrize("which", ["certificate", "key"])
@pytest.mark.parametrize("content", [b"", b"no pem"])
def test_one_that_is_spoiled_is_made_anew(tmp_path: Path, which: str, content: bytes) -> None:
    first = self_signed(tmp_path, NAMES)
    (first.certificate if which == "certificate" else first.key).write_bytes(content)
    again = self_signed(tmp_path, NAMES)
    assert again.fingerprint != first.fingerprint
    assert self_signed(tmp_path, NAMES) == again


def test_a_certificate_that_was_brought_is_taken_as_it_is(made: Certificate) -> None:
    assert brought(made.certificate, made.key).fingerprint is None


def test_what_is_no_certificate_with_its_key_is_refused(made: Certificate, tmp_path: Path) -> None:
    other = self_signed(tmp_path / "other", ("localhost",))
    sealed = tmp_path / "sealed.pem"
    openssl("pkcs8", "-topk8", "-in", str(made.key), "-out", str(sealed), "-passout", "pass:a kettle is no boiler")
    for certificate, key in (
        (made.certificate, other.key),
        (made.certificate, tmp_path / "nowhere.pem"),
        (made.key, made.certificate),
        (made.certificate, sealed),
        (tmp_path, made.key),
    ):
        with pytest.raises(BadRequest, match="no certificate with its key"):
            brought(certificate, key)
