"""Starting: light help, clear refusals before any work, the port, https as a phone meets it, and the end."""

from __future__ import annotations

import signal
import socket
import ssl
import subprocess
import sys
import urllib.error
import urllib.request
from pathlib import Path

import pytest
from cli_kit import PLAIN, shaftside, started
from cryptography import x509

SERVE = [sys.executable, "-m", "shaftside", "serve"]
HEAVY = ("fastapi", "sqlalchemy", "sqlmodel", "pint", "uvicorn", "pydantic", "yaml", "PIL", "cryptography")


def test_help_imports_nothing_heavy() -> None:
    code = (
        "import sys\nfrom shaftside import cli\n"
        "try:\n    cli.main(['--help'])\nexcept SystemExit:\n    pass\n"
        f"print('HEAVY', sorted(set({HEAVY!r}) & set(sys.modules)))\n"
    )
    out = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, env=PLAIN, check=True)
    assert "compute" in out.stdout
    assert out.stdout.rstrip().endswith("HEAVY []"), out.stdout[-200:]


@pytest.mark.parametrize(
    ("arguments", "environment", "part"),
    [
        (["serve", "--port", "99999"], {}, "from 0 to 65535"),
        (["demo", "--port", "eighty"], {}, "from 0 to 65535"),
        (["serve", "--host", "0.0.0.0"], {}, "--https"),
        (["serve", "--https", "--host", "192.0.2.7"], {}, "has no address 192.0.2.7"),
        (["serve", "--https", "--host", "nowhere.invalid"], {}, "nowhere.invalid is not an address"),
        (["serve", "--certificate", "no.pem"], {}, "--key"),
        (["serve", "--certificate", "no.pem", "--key", "no.key"], {}, "no.pem"),
        (["serve"], {"SHAFTSIDE_PORT": "many"}, "SHAFTSIDE_PORT"),
        (["serve"], {"SHAFTSIDE_HTTPS": "perhaps"}, "SHAFTSIDE_HTTPS"),
        (["verify", "--data", "/proc/nowhere"], {}, "/proc/nowhere"),
        (["check", "/nowhere"], {}, "/nowhere"),
        (["--content", "/nowhere", "sheets"], {}, "/nowhere holds none of"),
    ],
)
def test_a_start_that_cannot_be_is_refused_in_a_sentence(
    tmp_path: Path, arguments: list[str], environment: dict[str, str], part: str
) -> None:
    said = shaftside(*arguments, **({"SHAFTSIDE_DATA": str(tmp_path / "data")} | environment))
    assert said.returncode == 2, said.stderr
    assert part in said.stderr
    assert "Traceback" not in said.stderr
    assert not (tmp_path / "data" / "shaftside.sqlite").exists()


@pytest.mark.parametrize("verb", ["serve", "demo"])
def test_a_taken_port_is_said_before_the_work_starts(tmp_path: Path, verb: str) -> None:
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = str(taken.getsockname()[1])
        said = shaftside(verb, "--port", port, SHAFTSIDE_DATA=str(tmp_path / "data"), TMPDIR=str(tmp_path))
    assert said.returncode == 2
    assert f"port {port} on 127.0.0.1 is taken" in said.stderr
    assert "--port" in said.stderr
    assert "Traceback" not in said.stderr
    assert said.stdout == ""
    assert list(tmp_path.iterdir()) == []  # no database, no demo folder


@pytest.mark.parametrize("how", [signal.SIGINT, signal.SIGTERM])
def test_serve_starts_on_a_free_port_and_ends_when_told(tmp_path: Path, how: int) -> None:
    with started([*SERVE, "--port", "0", "--data", str(tmp_path / "data")], tmp_path) as server:
        address = server.wait_for(r"Shaftside is at (http://127\.0\.0\.1:[1-9]\d+)/")[1]
        assert server.wait_for(r"one-time code, 15 minutes: (\S{6,})")
        with urllib.request.urlopen(f"{address}/api/health", timeout=10) as answer:
            assert answer.status == 200
        assert server.stop(how) == 0
    assert server.said.rstrip().endswith("Stopped.")
    assert "Traceback" not in server.said


def test_https_verifies_with_its_own_authority_and_tells_a_phone_how_to_trust_it(tmp_path: Path) -> None:
    data = tmp_path / "data"
    with started([*SERVE, "--https", "--port", "0", "--data", str(data)], tmp_path) as server:
        address = server.wait_for(r"Shaftside is at (https://127\.0\.0\.1:\d+)/")[1]
        trust = server.wait_for(r"open (http://127\.0\.0\.1:\d+)/trust")[1]
        fingerprint = server.wait_for(r"\n  ((?:[0-9A-F]{2}:){31}[0-9A-F]{2})\n")[1]
        # a phone that trusts nobody here: refused
        with pytest.raises(urllib.error.URLError, match="certificate verify failed"):
            urllib.request.urlopen(f"{address}/api/health", timeout=10)
        # the way the page says: read it over plain http, compare, download, trust
        with urllib.request.urlopen(f"{trust}/trust", timeout=10) as answer:
            page = answer.read().decode()
        assert fingerprint in page
        assert f"{address}/phone/" in page
        with urllib.request.urlopen(f"{trust}/trust/authority.crt", timeout=10) as answer:
            authority = x509.load_der_x509_certificate(answer.read())
        trusting = ssl.create_default_context()
        trusting.load_verify_locations(cadata=authority.public_bytes(_pem()).decode())
        with urllib.request.urlopen(f"{address}/phone/", timeout=10, context=trusting) as answer:
            assert answer.status == 200
            assert "max-age" in answer.headers["strict-transport-security"]
        with pytest.raises(urllib.error.HTTPError) as lost:
            urllib.request.urlopen(f"{trust}/phone/", timeout=10)  # the plain port holds the page and no more
        assert lost.value.code == 404
        assert server.stop() == 0
    assert "Traceback" not in server.said
    limits = authority.extensions.get_extension_for_class(x509.NameConstraints)
    assert limits.critical
    allowed = {str(one.value) for one in limits.value.permitted_subtrees or []}
    assert {"localhost", "127.0.0.1/32"} <= allowed
    host = socket.gethostname().lower()
    ours = {"localhost", host, f"{host}.local"}
    for one in allowed:
        assert one in ours or one.endswith(("/32", "/128")), one  # one machine each, never a whole network


def test_the_port_of_the_trust_page_taken(tmp_path: Path) -> None:
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = int(taken.getsockname()[1]) - 1
        said = shaftside("serve", "--https", "--port", str(port), "--data", str(tmp_path / "data"))
    assert said.returncode == 2
    assert f"port {port + 1} on 127.0.0.1 is taken" in said.stderr
    assert not (tmp_path / "data" / "shaftside.sqlite").exists()


def _pem() -> object:
    from cryptography.hazmat.primitives.serialization import Encoding

    return Encoding.PEM
