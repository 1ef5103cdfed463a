"""Facts of a position that cannot be so together: on an adapter or pull-off sleeve the bore is larger than the shaft.

Bore and shaft pairs from outside: adapter sleeves carry a shaft 5 mm smaller than the bore for bores of 25 to 65 mm and
10 mm smaller for 70 to 110 mm (secondary, parts from memory; in line with ISO 2982-1's series of sleeves, from memory).
"""

from __future__ import annotations

import json
import shutil
import subprocess
from pathlib import Path
from typing import Any

import pytest

from shaftside import content, handbook
from shaftside.records.verdict import facts_wrong

ROOT = Path(__file__).resolve().parents[2]
BUNDLE = handbook.build(content.folder("procedures", None)).data
SLEEVES = ("adapter_sleeve", "pull_off_sleeve")
CASES = [  # shaft, bore, whether it is refused on a sleeve
    ("50 mm", "55 mm", False), ("60 mm", "65 mm", False), ("75 mm", "85 mm", False), ("1-15/16 in", "55 mm", False), ("2-3/16 in", "60 mm", False),
    ("50 mm", "50 mm", True), ("2 in", "50.8 mm", True), ("55 mm", "50 mm", True), ("2-3/16 in", "55 mm", True), ("50.001 mm", "50 mm", True),
]  # fmt: skip


def typed(text: str) -> dict[str, str]:
    number, unit = text.rsplit(" ", 1)
    return {"typed": number, "unit": unit}


def facts(method: str, shaft: str, bore: str) -> dict[str, Any]:
    return {"locking_method": {"word": method}, "shaft_d": typed(shaft), "bore": typed(bore)}


@pytest.mark.parametrize("method", SLEEVES)
@pytest.mark.parametrize(("shaft", "bore", "refused"), CASES)
def test_a_bore_on_a_sleeve_is_larger_than_the_shaft(method: str, shaft: str, bore: str, refused: bool) -> None:
    found = facts_wrong(BUNDLE, facts(method, shaft, bore))
    assert [name for name, _ in found] == (["bore"] if refused else [])
    assert all("Check both" in message["en"] and "es" not in message for _, message in found)


def test_it_is_asked_of_sleeves_alone_and_only_when_both_are_known() -> None:
    assert facts_wrong(BUNDLE, facts("ring_set_screws", "50 mm", "50 mm")) == []
    for known in ("shaft_d", "bore"):
        some = {key: one for key, one in facts("adapter_sleeve", "50 mm", "50 mm").items() if key in ("locking_method", known)}
        assert facts_wrong(BUNDLE, some) == []


@pytest.mark.node
@pytest.mark.skipif(shutil.which("node") is None, reason="needs node")
def test_phone_and_desk_refuse_the_same() -> None:
    cases = [facts(method, shaft, bore) for method in (*SLEEVES, "cam_collar") for shaft, bore, _ in CASES]
    ran = subprocess.run(
        ["node", "--import", str(ROOT / "tests/web/register.mjs"), str(ROOT / "tests/web/facts_twin.mjs")],
        input=json.dumps({"bundle": BUNDLE, "cases": cases}), capture_output=True, text=True, check=True,
    )  # fmt: skip
    assert json.loads(ran.stdout) == [[[name, message["en"]] for name, message in facts_wrong(BUNDLE, one)] for one in cases]
