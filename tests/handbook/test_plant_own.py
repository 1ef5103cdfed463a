"""A plant's own folder on top of ours: what it adds is there and marked, what it may not do is refused with file and line."""

from __future__ import annotations

import shutil
from pathlib import Path
from typing import Any

import pytest

from shaftside import calc, handbook
from shaftside.cli import main

ROOT = Path(__file__).resolve().parents[2]
PROCEDURES = ROOT / "procedures"
EXAMPLE = ROOT / "demo_data" / "plant_own"


@pytest.fixture(scope="module")
def data() -> dict[str, Any]:
    return handbook.build(PROCEDURES, EXAMPLE).data


@pytest.fixture
def own(tmp_path: Path) -> Path:
    """A copy of the example to spoil."""
    shutil.copytree(EXAMPLE, tmp_path / "own")
    return tmp_path / "own"


def ids(procedure: dict[str, Any]) -> list[str]:
    return [step["step"] for step in procedure["steps"]]


def test_its_step_stands_behind_ours_in_every_procedure(data: dict[str, Any]) -> None:
    for procedure in data["procedures"].values():
        steps = ids(procedure)
        assert steps[steps.index("tell_people") + 1] == "plant_gas_meter"
        added = next(step for step in procedure["steps"] if step["step"] == "plant_gas_meter")
        assert added["plant"] is True
        proof = next(step for step in procedure["steps"] if step.get("proves_zero_energy"))
        assert "plant_gas_meter" in proof["needs"], "zero energy is not proved before the plant's own step is done"


def test_nothing_of_ours_is_gone(data: dict[str, Any]) -> None:
    ours = handbook.build(PROCEDURES).data
    assert "plant" not in ours
    for name, procedure in ours["procedures"].items():
        kept = [step for step in data["procedures"][name]["steps"] if not step.get("plant")]
        assert [step["step"] for step in kept] == ids(procedure)
        for mine, step in zip(kept, procedure["steps"], strict=True):
            assert set(step["needs"]) <= set(mine["needs"])
            assert {key: mine[key] for key in mine if key != "needs"} == {key: step[key] for key in step if key != "needs"}


def test_its_procedure_is_like_ours_with_more(data: dict[str, Any]) -> None:
    own = data["procedures"]["plant_kiln_fan_mount"]
    model = data["procedures"]["adapter_sleeve_mount"]
    assert own["plant"] is True
    assert [name for name in ids(own) if name != "plant_dampers"] == ids(model)
    assert ids(own).index("plant_dampers") == ids(own).index("restrain_rotation") - 1
    assert own["cautions"][1:] == model["cautions"]
    assert own["follow_ups"] == model["follow_ups"]


def test_its_limit_speaks_beside_ours_and_says_whose_it_is(data: dict[str, Any]) -> None:
    program = data["calc"]
    values = {"shaft_d": 0.05, "shaft_system": "metric", "locking_method": "adapter_sleeve", "sizes": [0.04996, 0.04997]}
    result = calc.evaluate(program, "shaft_fit", values)
    assert "plant_undersize" in {one["name"] for one in result["checks"]}
    said = calc.say_check(program, "shaft_fit", "plant_undersize", result)
    assert said.startswith("The plant's own limit: On our fans")
    assert "49.96" in said
    without = calc.evaluate(handbook.build(PROCEDURES).data["calc"], "shaft_fit", values)
    assert {one["name"] for one in without["checks"]} == {one["name"] for one in result["checks"]} - {"plant_undersize"}


@pytest.mark.parametrize(
    ("file", "old", "new", "said"),
    [
        ("steps/gas.yaml", "step: plant_gas_meter", "step: gas_meter", "plant/steps/gas.yaml:4: a plant's own step begins with 'plant_'"),
        ("steps/gas.yaml", "behind: tell_people", "behind: tell_nobody", "plant/steps/gas.yaml:2: no procedure has a step 'tell_nobody'"),
        ("steps/gas.yaml", "behind: tell_people", "behind: tell_people\n    before: isolate", "one of the two"),
        ("steps/gas.yaml", "phase: make_safe", "phase: work", "work before the proof of zero energy: 'plant_gas_meter'"),
        ("steps/gas.yaml", "not_applicable: lead", "not_applicable: lead\n        proves_zero_energy: true", "belongs to the control of energy alone"),
        ("steps/gas.yaml", "signal: DANGER", "signal: ALARM", "plant/steps/gas.yaml:8:"),
        ("steps/kiln_fan.yaml", "plant_kiln_fan_mount", "plant_nothing", "there is no procedure 'plant_nothing'"),
        ("limits/shaft_fit.yaml", "name: plant_undersize", "name: undersize", "a plant's own check begins with 'plant_'"),
        ("limits/shaft_fit.yaml", "level: caution", "level: refuse", "only the sheet itself refuses"),
        ("limits/shaft_fit.yaml", "shaft_d - measured_least >", "shaft_d - measured_last >", "plant/limits/shaft_fit.yaml:3:"),
        ("limits/shaft_fit.yaml", "0.03, 'mm'", "0.03, 'degC'", "plant/limits/shaft_fit.yaml:3:"),
        ("procedures/plant_kiln_fan_mount.yaml", "like: adapter_sleeve_mount", "like: adapter_sleeve_mend", "did you mean 'adapter_sleeve_mount'"),
        ("plant.yaml", "title:", "titel:", "plant/plant.yaml:3:"),
    ],
)  # fmt: skip
def test_what_it_may_not_do_is_refused_with_file_and_line(own: Path, file: str, old: str, new: str, said: str) -> None:
    path = own / file
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new), encoding="utf-8")
    with pytest.raises(calc.ContentError) as refused:
        handbook.build(PROCEDURES, own)
    assert said in str(refused.value)


def test_a_sheet_of_ours_cannot_be_replaced(own: Path) -> None:
    (own / "sheets").mkdir()
    shutil.copy(PROCEDURES / "sheets" / "shaft_fit.yaml", own / "sheets")
    with pytest.raises(calc.ContentError, match=r"plant/sheets/shaft_fit.yaml:.*begins with 'plant_'"):
        handbook.build(PROCEDURES, own)


def test_its_own_sheet_is_evaluated_and_marked(own: Path) -> None:
    (own / "sheets").mkdir()
    text = (PROCEDURES / "sheets" / "cam_collar_screw.yaml").read_text(encoding="utf-8")
    (own / "sheets" / "plant_cam.yaml").write_text(text.replace("sheet: cam_collar_screw", "sheet: plant_cam"), encoding="utf-8")
    program = handbook.build(PROCEDURES, own).data["calc"]
    assert program["sheets"]["plant_cam"]["plant"] is True
    assert calc.evaluate(program, "plant_cam", {"screw": "M8"})["status"] == "done"


def test_check_tells_the_folder_apart_and_what_is_its_own(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    assert main(["check", str(EXAMPLE)]) == 0
    assert "the plant's own: 1 procedures, 0 sheets, 1 steps in ours, 1 limits" in capsys.readouterr().out
    assert main(["check", str(tmp_path)]) == 2
    assert "neither plant.yaml" in capsys.readouterr().err
