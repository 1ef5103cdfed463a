"""Https of one's own, judged by Python's ssl (OpenSSL), not by our own reading of certificates."""

from __future__ import annotations

import socket
import ssl
import stat
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from cryptography import x509

from shaftside import tls, trust

NAMES = ("localhost", "127.0.0.1", "::1", "drying-plant.local")


@contextmanager
def server(certificate: Path, key: Path) -> Iterator[int]:
    """A TLS server on loopback that shakes hands with whoever comes."""
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    context.load_cert_chain(certificate, key)
    listening = socket.create_server(("127.0.0.1", 0))

    def run() -> None:
        while True:
            try:
                plain, _ = listening.accept()
            except OSError:
                return
            try:
                with context.wrap_socket(plain, server_side=True) as talking:
                    talking.sendall(b"hello")
            except OSError:
                plain.close()

    threading.Thread(target=run, daemon=True).start()
    try:
        yield int(listening.getsockname()[1])
    finally:
        listening.shutdown(socket.SHUT_RDWR)
        listening.close()


def hello(port: int, authority: Path, name: str) -> bytes:
    """What a client that trusts only `authority` gets from the server, asking for `name`."""
    context = ssl.create_default_context(cafile=str(authority))
    if hasattr(ssl, "VERIFY_X509_STRICT"):
        context.verify_flags |= ssl.VERIFY_X509_STRICT
    with (
        socket.create_connection(("127.0.0.1", port), 5) as plain,
        context.wrap_socket(plain, server_hostname=name) as talking,
    ):
        return talking.recv(5)


@pytest.mark.parametrize("name", ["localhost", "127.0.0.1", "drying-plant.local"])
def test_a_client_that_trusts_the_authority_reaches_every_own_name(tmp_path: Path, name: str) -> None:
    files = tls.prepare(tmp_path / "tls", NAMES)
    assert files.authority is not None
    with server(files.certificate, files.key) as port:
        assert hello(port, files.authority, name) == b"hello"


def test_a_client_that_does_not_trust_it_refuses(tmp_path: Path) -> None:
    files = tls.prepare(tmp_path / "tls", NAMES)
    other = tls.prepare(tmp_path / "other", NAMES)
    assert other.authority is not None
    with server(files.certificate, files.key) as port, pytest.raises(ssl.SSLCertVerificationError):
        hello(port, other.authority, "localhost")


@pytest.mark.parametrize("name", ["bank.example", "sub.localhost.example", "192.0.2.7"])
def test_the_authority_cannot_vouch_for_other_names(tmp_path: Path, name: str) -> None:
    """RFC 5280 4.2.1.10: even somebody who steals the authority's key gains nothing elsewhere."""
    files = tls.prepare(tmp_path / "tls", NAMES)
    assert files.authority is not None
    folder = tmp_path / "tls"
    paths = {one: folder / one for one in ("authority.key", "server.pem", "server.key")}
    authority = x509.load_pem_x509_certificate(files.authority.read_bytes())
    tls._make_server(paths, authority, (name,), datetime.now(UTC))
    with (
        server(files.certificate, files.key) as port,
        pytest.raises(ssl.SSLCertVerificationError, match="permitted subtree violation"),
    ):
        hello(port, files.authority, name)


def test_keys_are_for_the_owner_only_and_the_certificate_is_short(tmp_path: Path) -> None:
    files = tls.prepare(tmp_path / "tls", NAMES)
    for key in ("server.key", "authority.key"):
        assert stat.S_IMODE((tmp_path / "tls" / key).stat().st_mode) == 0o600
    made = x509.load_pem_x509_certificate(files.certificate.read_bytes())
    assert made.not_valid_after_utc - made.not_valid_before_utc <= timedelta(days=397)
    assert files.made_authority


def test_it_is_kept_then_renewed_near_its_end_and_the_authority_stays(tmp_path: Path) -> None:
    first = tls.prepare(tmp_path / "tls", NAMES)
    before = first.certificate.read_bytes()
    again = tls.prepare(tmp_path / "tls", NAMES)
    assert again.certificate.read_bytes() == before
    assert not again.made_authority
    late = tls.prepare(tmp_path / "tls", NAMES, now=datetime.now(UTC) + timedelta(days=350))
    assert late.certificate.read_bytes() != before
    assert late.fingerprint == first.fingerprint


def test_a_new_name_is_left_out_until_a_new_authority_is_asked_for(tmp_path: Path) -> None:
    tls.prepare(tmp_path / "tls", NAMES)
    more = (*NAMES, "192.0.2.9")
    kept = tls.prepare(tmp_path / "tls", more)
    assert kept.left_out == ("192.0.2.9",)
    anew = tls.prepare(tmp_path / "tls", more, new_authority=True)
    assert anew.left_out == ()
    assert "192.0.2.9" in anew.names
    assert anew.made_authority


def test_the_plants_own_certificate_is_taken_and_a_wrong_pair_refused(tmp_path: Path) -> None:
    one = tls.prepare(tmp_path / "one", NAMES)
    two = tls.prepare(tmp_path / "two", NAMES)
    assert set(tls.own(one.certificate, one.key).names) == set(NAMES)
    with pytest.raises(tls.TlsProblem, match="cannot be used together"):
        tls.own(one.certificate, two.key)
    with pytest.raises(tls.TlsProblem, match="in force"):
        tls.own(one.certificate, one.key, now=datetime.now(UTC) + timedelta(days=400))
    with pytest.raises(tls.TlsProblem):
        tls.own(tmp_path / "missing.pem", one.key)


def test_a_damaged_authority_says_so(tmp_path: Path) -> None:
    tls.prepare(tmp_path / "tls", NAMES)
    (tmp_path / "tls" / "authority.pem").write_text("not a certificate")
    with pytest.raises(tls.TlsProblem, match="https cannot be set up"):
        tls.prepare(tmp_path / "tls", NAMES)


def test_own_names_hold_loopback_and_refuse_what_is_no_name() -> None:
    names = tls.own_names(("plant.example",))
    assert {"localhost", "127.0.0.1", "plant.example"} <= set(names)
    with pytest.raises(tls.TlsProblem):
        tls.own_names(("not a name!",))


def test_the_trust_page_shows_the_fingerprint_a_phone_would_show(tmp_path: Path) -> None:
    """The fingerprint is SHA-256 of the DER bytes that the page offers for download."""
    import hashlib

    files = tls.prepare(tmp_path / "tls", NAMES)
    assert files.authority is not None
    assert files.fingerprint is not None
    told = trust.Trust.read(
        files.authority.read_bytes(), files.fingerprint, "https://drying-plant.local:8420/phone/"
    )
    digest = hashlib.sha256(told.certificate).hexdigest().upper()
    assert files.fingerprint.replace(":", "") == digest
    assert files.fingerprint in trust.page(told)
    assert "https://drying-plant.local:8420/phone/" in trust.page(told)
    assert "does not use a certificate authority of its own" in trust.page(None)
