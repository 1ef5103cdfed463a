"""README's first command in a fresh clone, the wheel and its content, the editable install, Dockerfile against the tree."""

from __future__ import annotations

import json
import re
import shlex
import shutil
import subprocess
import sys
import sysconfig
import urllib.request
import zipfile
from pathlib import Path

import pytest
from cli_kit import PLAIN, Started, started

from shaftside import cli

ROOT = Path(__file__).resolve().parents[2]
FOLDERS = ("web", "procedures", "demo_data")
FOUND = "from shaftside import content; print(*(content.folder(one) for one in ('web', 'procedures', 'demo_data')), sep='\\n')"


def done(command: list[str], folder: Path, **changes: str) -> str:
    """What a command printed; fails with all of it if the command failed."""
    run = subprocess.run(
        command, cwd=folder, capture_output=True, text=True, timeout=300, check=False, env=PLAIN | changes
    )
    assert run.returncode == 0, run.stdout + run.stderr
    return run.stdout


@pytest.fixture(scope="module")
def clone(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """What somebody else gets: committed files only."""
    if shutil.which("git") is None or not (ROOT / ".git").exists():
        pytest.skip("needs git and a working copy")
    folder = tmp_path_factory.mktemp("clone") / "shaftside"
    done(["git", "clone", "-q", "--no-local", str(ROOT), str(folder)], folder.parent)
    return folder


@pytest.fixture(scope="module")
def wheel(clone: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Built as pip builds it, of committed files."""
    folder = tmp_path_factory.mktemp("wheel")
    done([sys.executable, "-m", "pip", "wheel", "-q", "--no-deps", "-w", str(folder), str(clone)], clone)
    (made,) = folder.glob("shaftside-*.whl")
    return made


@pytest.mark.slow
def test_the_wheel_carries_every_content_file(clone: Path, wheel: Path) -> None:
    held = set(zipfile.ZipFile(wheel).namelist())
    tracked = done(["git", "ls-files", *FOLDERS], clone).splitlines()
    assert len(tracked) > 60
    assert {f"shaftside/_content/{one}" for one in tracked} - held == set()
    code = [
        one.removeprefix("server/")
        for one in done(["git", "ls-files", "server/shaftside"], clone).splitlines()
    ]
    assert set(code) - held == set()  # templates, migrations, pictures too
    assert not [
        one for one in held if "node_modules" in one or "__pycache__" in one or one.startswith("tests")
    ]


@pytest.mark.slow
def test_an_installed_wheel_finds_its_content_and_runs_the_demo(wheel: Path, tmp_path: Path) -> None:
    done([sys.executable, "-m", "venv", "--without-pip", "fresh"], tmp_path)
    python = tmp_path / "fresh" / "bin" / "python"
    site = Path(
        done([str(python), "-c", "import sysconfig; print(sysconfig.get_path('purelib'))"], tmp_path).strip()
    )
    done(
        [
            sys.executable,
            "-m",
            "pip",
            "--python",
            str(python),
            "install",
            "-q",
            "--no-deps",
            "--no-index",
            str(wheel),
        ],
        tmp_path,
    )
    # the libraries of this run, not its editable install of ours: a .pth of folders takes no others' .pth along
    (site / "libraries.pth").write_text(sysconfig.get_path("purelib") + "\n", encoding="utf-8")
    found = done([str(python), "-c", FOUND], tmp_path).split()
    assert found == [str(site / "shaftside" / "_content" / one) for one in FOLDERS]
    program = str(tmp_path / "fresh" / "bin" / "shaftside")
    assert "all in order" in done([program, "check"], tmp_path)
    with started([program, "demo", "--port", "0"], tmp_path) as demo:
        sign_ins(demo)
        assert demo.stop() == 0


def test_an_editable_install_finds_the_working_copy() -> None:
    found = done([sys.executable, "-c", FOUND], ROOT).split()
    assert found == [str(ROOT / one) for one in FOLDERS]


@pytest.mark.slow
def test_readmes_first_command_as_written(clone: Path) -> None:
    commands = re.findall(r"^    (\S.*)$", (clone / "README.md").read_text(encoding="utf-8"), re.MULTILINE)
    first = commands[0]
    assert first.endswith("shaftside demo")
    # exec: so that Ctrl-C reaches the program and not the shell; the port is free whatever else runs here
    run, program = first.rsplit(" && ", 1)
    with started(
        ["bash", "-c", f"{run} && exec {program} --port 0"], clone, PIP_DISABLE_PIP_VERSION_CHECK="1"
    ) as demo:
        demo.wait_for(r"Shaftside is at", seconds=280)
        sign_ins(demo)
        assert demo.stop() == 0
    assert "Traceback" not in demo.said


def sign_ins(demo: Started) -> None:
    """Each of the three printed sign-ins opens a session."""
    address = demo.wait_for(r"Shaftside is at (http://127\.0\.0\.1:[1-9]\d*)/", 90)[1]
    printed = re.findall(r"^  (technician|lead|planner) +(\S+) +(\S+)$", demo.said, re.MULTILINE)
    assert [one[0] for one in printed] == ["technician", "lead", "planner"]
    for number, (role, login, word) in enumerate(printed):  # each on a phone of their own
        phone = {"device_id": f"018f3c5e-7a10-7000-8000-00000000000{number}", "device_name": "a phone"}
        asked = urllib.request.Request(
            f"{address}/api/sign-in",
            data=json.dumps(phone | {"login": login, "password": word}).encode(),
            headers={"content-type": "application/json", "origin": address},
        )
        with urllib.request.urlopen(asked, timeout=20) as answer:
            assert role in json.load(answer)["person"]["roles"]


def test_readme_ci_and_the_test_command_agree() -> None:
    commands = re.findall(r"^    (\S.*)$", (ROOT / "README.md").read_text(encoding="utf-8"), re.MULTILINE)
    assert commands[1] == "bash tests/run"
    ci = (ROOT / ".ci" / "run").read_text(encoding="utf-8").splitlines()
    assert ci[-1] == f"exec {commands[1]}"
    run = (ROOT / "tests" / "run").read_text(encoding="utf-8")
    assert "-m venv .venv" in run  # its own
    assert "python3-venv" in run
    listed = re.findall(r"tests/([a-z]+)\b", run.split("pytest", 1)[1])
    rooms = {
        one.parent.relative_to(ROOT / "tests").parts[0]
        for one in (ROOT / "tests").glob("*/**/test_*.py")
        if "node_modules" not in one.parts
    }
    assert rooms - set(listed) == set()  # no folder of tests is left out


def test_the_dockerfile_against_the_tree() -> None:
    lines = [
        one.split(None, 1)
        for one in (ROOT / "Dockerfile").read_text(encoding="utf-8").splitlines()
        if one and not one.startswith(("#", " "))
    ]
    by = {word: [rest for one, rest in lines if one == word] for word, _ in lines}
    assert all(re.fullmatch(r"python:3\.\d+\.\d+-slim-\w+( AS \w+)?", one) for one in by["FROM"]), by["FROM"]
    for copied in by["COPY"]:
        *sources, _ = [one for one in shlex.split(copied) if not one.startswith("--")]
        for source in sources:
            assert (ROOT / source).exists(), source
    assert by["USER"][-1] not in ("root", "0")
    order = [word for word, _ in lines]
    assert order.index("USER") < order.index("CMD")
    command = json.loads(by["CMD"][0])
    assert command[0] == "shaftside"
    said = cli.parser().parse_args(command[1:])
    assert said.verb == "serve"
    assert said.https
    ignored = (ROOT / ".dockerignore").read_text(encoding="utf-8").split()
    assert {".git", ".venv", "**/node_modules", "var"} <= set(ignored)
