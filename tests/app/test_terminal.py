"""The sheets in the terminal as a person meets them: README's commands as written, nonsense, a reader that stops early."""

from __future__ import annotations

import json
import re
import shlex
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
WRITTEN = re.findall(
    r"^    \.venv/bin/shaftside ((?:compute|sheets).*)$",
    (ROOT / "README.md").read_text(encoding="utf-8"),
    re.MULTILINE,
)


def run(*words: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "shaftside", *words], capture_output=True, text=True, timeout=60
    )


def test_readmes_numbers_as_written() -> None:
    assert len(WRITTEN) >= 3
    for command in WRITTEN:
        done = run(*shlex.split(command))
        assert done.returncode == 0, done.stderr
        assert not done.stderr


def test_the_number_comes_before_its_working_and_the_cautions_before_both() -> None:
    said = run("compute", "set_screw_torque", "screw=M10", "place=ring").stdout
    plain = said.replace("\u00a0", " ")
    # 27 N.m: the figure that set-screw tables for bearing rings print for M10 (common practice, no source)
    places = [
        plain.index(one) for one in ("DANGER", "Full torque: 27 N·m", "Working", "common practice, no source")
    ]
    assert places == sorted(places)
    assert "no reading to judge" in said
    assert max(len(line) for line in said.split("Working")[1].splitlines()) <= 110


def test_a_line_that_is_only_the_makers_shows_no_empty_formula() -> None:
    words = ["cap_screw=M6", "screws=two", "screw_class=12.9", "lubrication=oil_or_grease"]
    said = run("compute", "clamp_collar_torque", *words, "--maker", "target=12 N.m", "--document", "sheet 7")
    plain = said.stdout.replace("\u00a0", " ")
    lines = [line.strip() for line in plain.split("Working")[1].splitlines()[1:]]
    assert "" not in lines
    assert "=" not in lines
    at = next(n for n, line in enumerate(lines) if re.fullmatch(r"\d+  Full torque: 12 N·m", line))
    assert lines[at + 1] == "T = 12 N·m"
    assert lines[at + 2].startswith("[")
    assert "sheet 7" in lines[at + 2]


def test_the_working_is_numbered_and_reads_symbol_formula_numbers_result() -> None:
    said = run("compute", "torque_wrench", "torque_wanted=62 N.m", "wrench_length=400 mm", "adapter_length=60 mm")
    plain = said.stdout.replace("\u00a0", " ")
    head, *lines = plain.split("Working")[1].splitlines()
    assert re.fullmatch(r": sheet torque_wrench, version \d+, metric units", head)
    numbers = [int(found[1]) for line in lines if (found := re.match(r" *(\d+)  \S", line))]
    assert numbers == list(range(1, len(numbers) + 1))
    at = next(n for n, line in enumerate(lines) if "Set on the wrench: 53.9 N·m" in line)
    # 62 x 400 / 460: the lever rule of adapters, worked by hand
    assert [line.strip() for line in lines[at + 1 : at + 4]] == ["T_W = T_s × k_L", "= 62 N·m × 0.8696", "= 53.9 N·m"]


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["compute", "nosuch"], "There are: alignment, cam_collar_screw"),
        (["compute", "set_screw_torque", "screw=M7", "place=ring"], "not one of the choices"),
        (["compute", "set_screw_torque", "screw=M10", "place=ring", "set_to=5 furlong"], "“5 furlong”"),
        (["compute", "set_screw_torque", "screw=M10", "place=ring", "set_to=1e3 N.m"], "set_to"),
        (["compute", "set_screw_torque", "M10"], "write name=value"),
        (["compute", "set_screw_torque", "scrw=M10"], "screw"),
        (
            ["compute", "set_screw_torque", "screw=M10", "place=ring", "--maker", "target=5 N.m"],
            "needs the document",
        ),
    ],
)
def test_nonsense_gets_a_sentence(words: list[str], says: str) -> None:
    done = run(*words)
    assert done.returncode == 2
    assert says in done.stderr
    assert "Traceback" not in done.stderr


def test_a_refusal_says_why_and_is_not_a_success() -> None:
    done = run(
        "compute",
        "cam_direction",
        "rotation=clockwise",
        "reversing=yes",
        "stands_at=drive_end",
        "collar_side=far_side",
    )
    assert done.returncode == 1
    assert "not for a shaft that can turn both ways" in done.stdout
    answer = json.loads(
        run(
            "compute",
            "cam_direction",
            "rotation=clockwise",
            "reversing=yes",
            "stands_at=drive_end",
            "collar_side=far_side",
            "--json",
        ).stdout
    )
    assert answer["result"]["refusal"]["code"] == "not_for_this"


def test_a_slip_of_the_unit_is_asked_about() -> None:
    done = run("compute", "set_screw_torque", "screw=M8", "place=ring", "set_to=120 lbf.ft")
    assert "is about 12 times what is wanted. Was it 120\u00a0lbf·in?" in done.stdout
    wrong = run("compute", "taper_drive_up", "bore=50 in")
    assert wrong.returncode == 2
    assert "Did you mean 50\u00a0mm?" in wrong.stderr


def test_an_option_may_stand_anywhere() -> None:
    words = ["screw=M10", "place=ring"]
    first, last = run("compute", "set_screw_torque", "--units", "inch", *words), run("compute", "set_screw_torque", *words, "--units", "inch")
    assert first.stdout == last.stdout
    assert "lbf" in first.stdout
    assert run("compute", "set_screw_torque", "--unit-system", "inch", *words).returncode == 2
    assert run("sheets", "set_screw_torque", "screw=M10").returncode == 2


def test_a_reader_that_stops_early_is_no_fault() -> None:
    done = subprocess.run(
        ["bash", "-c", f"{sys.executable} -m shaftside compute set_screw_torque screw=M10 place=ring | head -1; exit ${{PIPESTATUS[0]}}"],
        capture_output=True, text=True, timeout=60,
    )  # fmt: skip
    assert done.returncode == 0
    assert not done.stderr
