"""Https for a plant network that has no certificate of its own.

A local certificate authority is made once, and may only ever vouch for this machine's own names and
addresses (name constraints, RFC 5280 section 4.2.1.10): a phone that trusts it trusts nothing else by it.
The server's certificate lives at most 397 days and is renewed at a start when it nears its end.
"""

from __future__ import annotations

import ipaddress
import os
import re
import socket
import ssl
import struct
import sys
from contextlib import suppress
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

from cryptography import x509
from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

AUTHORITY_DAYS = 3650
SERVER_DAYS = 397  # phones refuse longer ones
RENEW_DAYS = 60
LOOPBACK = ("localhost", "127.0.0.1", "::1")
_HOST = re.compile(r"(?!-)[a-z0-9-]{1,63}(?<!-)(\.(?!-)[a-z0-9-]{1,63}(?<!-))*")
_SIOCGIFADDR = 0x8915


class TlsProblem(Exception):
    """Https cannot be set up; the message says why and what to do."""


@dataclass(frozen=True)
class Files:
    """What the server runs with. authority and fingerprint are None with the plant's own certificate.

    names: what the certificate covers. left_out: names of this machine that the trusted authority may not vouch for.
    made_authority: phones have to be told to trust it (again).
    """

    certificate: Path
    key: Path
    authority: Path | None
    fingerprint: str | None
    names: tuple[str, ...]
    left_out: tuple[str, ...] = ()
    made_authority: bool = False


def own_names(extra: tuple[str, ...] = ()) -> tuple[str, ...]:
    """This machine's own names and addresses, loopback first; asks no network. extra: names the plant gave it.

    Raises TlsProblem for an extra that is neither a host name nor an address.
    """
    found = list(LOOPBACK)
    host = socket.gethostname().lower().rstrip(".")
    if _HOST.fullmatch(host):
        found.append(host)
        if "." not in host:
            found.append(f"{host}.local")
    found += _addresses()
    for name in extra:
        if _address(name) is None and not _HOST.fullmatch(name.lower()):
            raise TlsProblem(f"{name!r} is neither a host name nor an address")
        found.append(name.lower())
    return tuple(dict.fromkeys(found))


def _addresses() -> list[str]:
    """IPv4 addresses of this machine's interfaces, but loopback, read from the kernel."""
    if not sys.platform.startswith("linux"):
        return _address_outward()
    import fcntl

    out = []
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        for _, name in socket.if_nameindex():
            with suppress(OSError):  # an interface without an IPv4 address
                told = fcntl.ioctl(probe.fileno(), _SIOCGIFADDR, struct.pack("256s", name.encode()[:15]))
                out.append(socket.inet_ntoa(told[20:24]))
    return [one for one in out if not ipaddress.ip_address(one).is_loopback]


def _address_outward() -> list[str]:
    """The address the machine would send from; connecting a datagram socket sends nothing."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("192.0.2.1", 9))
            return [str(probe.getsockname()[0])]
        except OSError:
            return []


def prepare(
    folder: Path,
    names: tuple[str, ...] | None = None,
    *,
    new_authority: bool = False,
    now: datetime | None = None,
) -> Files:
    """The authority and the server's certificate in `folder`, made or renewed where needed.

    An authority that phones already trust is kept as long as it lives: a name it may not vouch for is left out
    and told of. new_authority: make another one, for all the names of now; every phone must trust it anew.
    Raises TlsProblem when the folder cannot be written or holds what cannot be read.
    """
    names = own_names() if names is None else names
    now = now or datetime.now(UTC)
    paths = {one: folder / one for one in ("authority.pem", "authority.key", "server.pem", "server.key")}
    try:
        folder.mkdir(parents=True, exist_ok=True, mode=0o700)
        made = new_authority or not (paths["authority.pem"].exists() and paths["authority.key"].exists())
        if not made:
            made = _read_certificate(paths["authority.pem"]).not_valid_after_utc < now + timedelta(
                days=SERVER_DAYS
            )
        if made:
            _make_authority(paths["authority.pem"], paths["authority.key"], names, now)
        authority = _read_certificate(paths["authority.pem"])
        covered = tuple(one for one in names if _permits(authority, one))
        if made or _stale(paths["server.pem"], paths["server.key"], authority, covered, now):
            _make_server(paths, authority, covered, now)
    except (OSError, ValueError, TypeError) as problem:
        raise TlsProblem(f"https cannot be set up in {folder}: {problem}") from problem
    return Files(
        paths["server.pem"],
        paths["server.key"],
        paths["authority.pem"],
        fingerprint(authority),
        covered,
        tuple(one for one in names if one not in covered),
        made,
    )


def own(certificate: Path, key: Path, now: datetime | None = None) -> Files:
    """The plant's own certificate and key, checked: readable, belonging together, in force.

    Raises TlsProblem with what is wrong.
    """
    now = now or datetime.now(UTC)
    try:
        ssl.create_default_context(ssl.Purpose.CLIENT_AUTH).load_cert_chain(certificate, key)
        read = _read_certificate(certificate)
    except (OSError, ValueError) as problem:
        raise TlsProblem(f"{certificate} and {key} cannot be used together: {problem}") from problem
    if not read.not_valid_before_utc <= now <= read.not_valid_after_utc:
        raise TlsProblem(
            f"{certificate} is in force from {read.not_valid_before_utc:%Y-%m-%d} to "
            f"{read.not_valid_after_utc:%Y-%m-%d}, not today: ask whoever issued it for a new one"
        )
    return Files(certificate, key, None, None, _names_of(read))


def fingerprint(certificate: x509.Certificate) -> str:
    """SHA-256 of the certificate, as phones show it: pairs of hex digits with colons."""
    return certificate.fingerprint(hashes.SHA256()).hex(":").upper()


def _address(name: str) -> ipaddress.IPv4Address | ipaddress.IPv6Address | None:
    try:
        return ipaddress.ip_address(name)
    except ValueError:
        return None


def _make_authority(certificate: Path, key_path: Path, names: tuple[str, ...], now: datetime) -> None:
    key = ec.generate_private_key(ec.SECP256R1())
    permitted: list[x509.GeneralName] = []
    for one in names:
        address = _address(one)
        permitted.append(
            x509.DNSName(one) if address is None else x509.IPAddress(ipaddress.ip_network(address))
        )
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, f"Shaftside on {socket.gethostname()[:40]}")])
    made = (
        x509.CertificateBuilder()
        .subject_name(name)
        .issuer_name(name)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - timedelta(hours=1))  # a phone's clock may be a little behind
        .not_valid_after(now + timedelta(days=AUTHORITY_DAYS))
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(_usage(signs_certificates=True), critical=True)
        .add_extension(x509.NameConstraints(permitted, None), critical=True)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
        .sign(key, hashes.SHA256())
    )
    _write_key(key_path, key)
    _write(certificate, made.public_bytes(serialization.Encoding.PEM), 0o644)


def _make_server(
    paths: dict[str, Path], authority: x509.Certificate, names: tuple[str, ...], now: datetime
) -> None:
    signing = serialization.load_pem_private_key(paths["authority.key"].read_bytes(), None)
    if not isinstance(signing, ec.EllipticCurvePrivateKey):
        raise ValueError("authority.key is not a key of ours")
    key = ec.generate_private_key(ec.SECP256R1())
    also: list[x509.GeneralName] = []
    for one in names:
        address = _address(one)
        also.append(x509.DNSName(one) if address is None else x509.IPAddress(address))
    named = next((one for one in names if one not in LOOPBACK and _address(one) is None), "localhost")
    start = now - timedelta(hours=1)
    made = (
        x509.CertificateBuilder()
        .subject_name(x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, named[:64])]))
        .issuer_name(authority.subject)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(start)
        .not_valid_after(start + timedelta(days=SERVER_DAYS))
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(_usage(signs_certificates=False), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(x509.SubjectAlternativeName(also), critical=False)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
        .add_extension(
            x509.AuthorityKeyIdentifier.from_issuer_public_key(signing.public_key()), critical=False
        )
        .sign(signing, hashes.SHA256())
    )
    _write_key(paths["server.key"], key)
    _write(paths["server.pem"], made.public_bytes(serialization.Encoding.PEM), 0o644)


def _usage(*, signs_certificates: bool) -> x509.KeyUsage:
    return x509.KeyUsage(
        digital_signature=not signs_certificates,
        content_commitment=False,
        key_encipherment=False,
        data_encipherment=False,
        key_agreement=False,
        key_cert_sign=signs_certificates,
        crl_sign=signs_certificates,
        encipher_only=False,
        decipher_only=False,
    )


def _permits(authority: x509.Certificate, name: str) -> bool:
    """Whether the authority's name constraints hold this very name or address."""
    allowed = (
        authority.extensions.get_extension_for_class(x509.NameConstraints).value.permitted_subtrees or []
    )
    address = _address(name)
    for one in allowed:
        if address is None and isinstance(one, x509.DNSName) and one.value == name:
            return True
        if (
            address is not None
            and isinstance(one, x509.IPAddress)
            and one.value == ipaddress.ip_network(address)
        ):
            return True
    return False


def _stale(
    certificate: Path, key: Path, authority: x509.Certificate, names: tuple[str, ...], now: datetime
) -> bool:
    """Whether the server's certificate is missing, near its end, for other names or of another authority."""
    if not (certificate.exists() and key.exists()):
        return True
    held = _read_certificate(certificate)
    if held.not_valid_after_utc < now + timedelta(days=RENEW_DAYS) or set(_names_of(held)) != set(names):
        return True
    try:
        held.verify_directly_issued_by(authority)
    except (InvalidSignature, ValueError, TypeError):
        return True
    return False


def _names_of(certificate: x509.Certificate) -> tuple[str, ...]:
    try:
        also = certificate.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    except x509.ExtensionNotFound:
        return ()
    return tuple(str(one.value) for one in also if isinstance(one, x509.DNSName | x509.IPAddress))


def _read_certificate(path: Path) -> x509.Certificate:
    return x509.load_pem_x509_certificate(path.read_bytes())


def _write_key(path: Path, key: ec.EllipticCurvePrivateKey) -> None:
    text = key.private_bytes(
        serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, serialization.NoEncryption()
    )
    _write(path, text, 0o600)


def _write(path: Path, content: bytes, mode: int) -> None:
    """Whole or not at all; a key is never readable by others, not even for a moment."""
    beside = path.with_name(path.name + ".new")
    beside.unlink(missing_ok=True)
    handle = os.open(beside, os.O_WRONLY | os.O_CREAT | os.O_EXCL, mode)
    with os.fdopen(handle, "wb") as out:
        out.write(content)
        out.flush()
        os.fsync(out.fileno())
    beside.replace(path)
