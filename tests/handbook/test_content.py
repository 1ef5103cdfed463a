"""The procedures as they are bound: control of energy first, work closed until zero energy is proved."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from shaftside import calc, handbook

PROCEDURES = Path(__file__).resolve().parents[2] / "procedures"


@pytest.fixture(scope="module")
def data() -> dict[str, Any]:
    return handbook.build(PROCEDURES).data


def test_six_methods_are_mounted_removed_and_checked(data: dict[str, Any]) -> None:
    assert len(data["methods"]) == 6
    assert set(data["procedures"]) == {
        f"{method}_{work}" for method in data["methods"] for work in ("mount", "remove", "check")
    }


def test_energy_comes_first_and_work_needs_its_proof(data: dict[str, Any]) -> None:
    for procedure in data["procedures"].values():
        proof = [step["step"] for step in procedure["steps"] if step.get("proves_zero_energy")]
        assert len(proof) == 1
        assert procedure["steps"][0]["phase"] == "make_safe"
        for step in procedure["steps"]:
            if step["phase"] == "work":
                assert proof[0] in step["needs"], (procedure["procedure"], step["step"])


def test_every_imperative_is_short(data: dict[str, Any]) -> None:
    for procedure in data["procedures"].values():
        for step in procedure["steps"]:
            assert len(step["do"]["en"].split()) <= 20, step["step"]
            assert step["why"]["en"]


def test_an_adapter_nut_is_never_tightened_again(data: dict[str, Any]) -> None:
    assert [one["follow_up"] for one in data["procedures"]["adapter_sleeve_mount"]["follow_ups"]] == [
        "tab_check_24h",
        "look_1_week",
        "regrease",
    ]


def test_the_same_content_has_the_same_hash() -> None:
    assert handbook.build(PROCEDURES).hash == handbook.build(PROCEDURES).hash


def test_a_missing_proof_is_refused(tmp_path: Path) -> None:
    import shutil

    shutil.copytree(PROCEDURES, tmp_path / "p")
    part = tmp_path / "p" / "shared" / "make_safe.yaml"
    part.write_text(part.read_text().replace("    proves_zero_energy: true\n", ""))
    with pytest.raises(calc.ContentError, match="exactly one step proves zero energy"):
        handbook.build(tmp_path / "p")


def test_a_drawing_that_the_phone_cannot_make_is_refused(tmp_path: Path) -> None:
    import shutil

    shutil.copytree(PROCEDURES, tmp_path / "p")
    part = tmp_path / "p" / "shared" / "base_bolts.yaml"
    part.write_text(part.read_text().replace("drawing: bolts\n", "drawing: elephant\n", 1))
    with pytest.raises(calc.problems.ContentError, match="elephant"):
        handbook.build(tmp_path / "p")


def test_the_order_of_screws_is_drawn_beside_each_of_its_steps(data: dict[str, Any]) -> None:
    """A screw step without its drawing would be a hole in the order that the others show."""
    for procedure in data["procedures"].values():
        for step in procedure["steps"]:
            sheet = step.get("number", {}).get("sheet")
            if step["step"] == "screws_cd":
                continue  # C and D stand in one step, together with A and B
            if procedure["work"] == "mount" and sheet in ("set_screw_torque", "housing_bolt_torque"):
                assert step.get("drawing"), step["step"]
