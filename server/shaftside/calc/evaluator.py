"""A whole sheet: inputs taken, lines in order, the rows of its tables, refusals, then windows, checks and verdict.

`web/calc.js` does the same with the same arrays. The two agree to the last bit for + - * / and sqrt, to 1e-12 for the
rest, and on every verdict and every order of rows.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from shaftside.calc.fitting import maker_fits, tester
from shaftside.calc.functions import Refuse as Refuse
from shaftside.calc.rows import Section
from shaftside.calc.walking import build as build
from shaftside.calc.walking import speaks
from shaftside.calc.walking import truth as truth
from shaftside.calc.windows import WINDOW_RANK
from shaftside.calc.windows import judge_window as judge_window

# 2: a sheet may run over the rows of a table. A program of 1 has none and gives what it gave.
EVALUATOR = 2
VERDICTS = ("refused", "stop", "cannot_tell", "over", "under", "not_yet", "caution", "inside", "none")


class _Runner:
    """A sheet of one program, its expressions built."""

    def __init__(self, program: Mapping[str, Any], sheet: Mapping[str, Any]) -> None:
        self.sheet = sheet
        self.inputs = [(spec["name"], spec, tester(spec, program)) for spec in sheet["inputs"]]
        self.input_names = frozenset(spec["name"] for spec in sheet["inputs"])
        self.lines = [(line["name"], build(line["expr"], program, line=True, bound=True) if "expr" in line else None, line.get("maker"), line["kind"]) for line in sheet["lines"]]
        self.makers = {line["name"]: line["kind"] for line in sheet["lines"] if line.get("maker")}
        built = [(check, build(check["when"], program, bound=True)) for check in sheet["checks"]]
        self.early = [one for one in built if one[0].get("early")]
        self.late = [one for one in built if one[0]["level"] == "refuse" and not one[0].get("early")]
        self.checks = [one for one in built if one[0]["level"] != "refuse"]
        self.over = [Section(one, program) for one in sheet.get("over", ())]

    def run(self, values: Mapping[str, Any], makers: Mapping[str, Any]) -> dict[str, Any]:
        v: dict[str, Any] = {}
        result: dict[str, Any] = {
            "sheet": self.sheet["sheet"], "version": self.sheet["version"], "evaluator": EVALUATOR, "status": "done", "refusal": None,
            "values": v, "defaults": {}, "windows": [], "checks": [], "not_evaluated": [], "verdict": "none",
        }  # fmt: skip
        refusal = self._inputs(v, values, makers)
        if refusal is None:
            for check, walk in self.early:
                if speaks(walk, v):
                    refusal = {"code": check["code"], "where": check["name"], "detail": {}}
                    break
        if refusal is None or refusal["code"] not in ("missing_input", "bad_input"):
            refusal = self._lines(v, makers, result["defaults"], refusal)
        if self.over:
            self._rows(v, result, refusal is None)
        if refusal is None:
            for check, walk in self.late:
                if speaks(walk, v):
                    refusal = {"code": check["code"], "where": check["name"], "detail": {}}
                    break
        if refusal is None:
            self._judge(v, result)
        else:
            result["status"], result["refusal"], result["verdict"] = "refused", refusal, "refused"
        for name in makers:
            v.pop("by_maker:" + name, None)
        return result

    def _inputs(self, v: dict[str, Any], values: Mapping[str, Any], makers: Mapping[str, Any]) -> dict[str, Any] | None:
        refusal: dict[str, Any] | None = None
        for name, spec, test in self.inputs:
            value = values.get(name)
            if value is None:
                v[name] = None
                if "optional" not in spec and (refusal is None or refusal["code"] == "bad_input"):
                    refusal = {"code": "missing_input", "where": name, "detail": {}} if refusal is None else refusal
                continue
            reason = test(value)
            if reason is not None:
                v[name] = None
                refusal = refusal or {"code": "bad_input", "where": name, "detail": {"reason": reason}}
                continue
            v[name] = value
        for name in values:
            if name not in self.input_names:
                refusal = refusal or {"code": "bad_input", "where": name, "detail": {"reason": "unknown"}}
        for name, value in makers.items():
            kind = self.makers.get(name)
            if kind is None:
                refusal = refusal or {"code": "bad_input", "where": name, "detail": {"reason": "no_maker"}}
            elif not maker_fits(kind, value):
                refusal = refusal or {"code": "bad_input", "where": name, "detail": {"reason": "type"}}
            else:
                v["by_maker:" + name] = True
        return refusal

    def _lines(self, v: dict[str, Any], makers: Mapping[str, Any], defaults: dict[str, Any], refusal: dict[str, Any] | None) -> dict[str, Any] | None:
        for name, walk, maker, kind in self.lines:
            value: Any = None
            fault: Refuse | None = None
            if walk is not None:
                try:
                    value = walk(v)
                except Refuse as error:
                    fault = error
            if maker and name in makers:
                defaults[name] = value  # None: there is no default to show beside the maker's value
                given = makers[name]
                v[name] = float(given) + 0.0 if kind not in ("word", "yesno") else given
                continue
            v[name] = value
            if fault is not None and refusal is None:
                detail = dict(fault.detail)
                if maker:
                    detail["maker"] = True
                refusal = {"code": fault.code, "where": name, "detail": detail}
            elif maker == "required" and value is None and refusal is None:
                refusal = {"code": "maker_value_needed", "where": name, "detail": {}}
        return refusal

    def _rows(self, v: dict[str, Any], result: dict[str, Any], going: bool) -> None:
        """Each `over` section in order. A sheet that refused before its rows ranks nothing: the list stays empty."""
        told: list[dict[str, Any]] = []
        result["over"] = told
        for section in self.over:
            if going:
                told.append(section.run(v))
            else:
                section.nothing(v)

    def _judge(self, v: dict[str, Any], result: dict[str, Any]) -> None:
        rank = 8
        silent: list[str] = result["not_evaluated"]
        for spec in self.sheet["windows"]:
            window = judge_window(spec, v)
            if window is None:
                silent.append(spec["name"])
                continue
            result["windows"].append(window)
            if window.get("never"):
                rank = min(rank, 1)
            rank = min(rank, WINDOW_RANK.get(window["position"], 8))
        for check, walk in self.checks:
            try:
                spoke = walk(v)
            except Refuse:
                spoke = None
            if spoke is None:
                silent.append(check["name"])
            elif spoke:
                level = check["level"]
                result["checks"].append({"name": check["name"], "level": level, "lead_accepts": "lead_accepts" in check})
                if level != "note":
                    rank = min(rank, 1 if level == "stop" else 6)
        result["verdict"] = VERDICTS[rank]


_RUNNERS: dict[int, tuple[Mapping[str, Any], dict[str, _Runner]]] = {}
_MOST_PROGRAMS = 32


def runner(program: Mapping[str, Any], sheet: str) -> _Runner:
    """The built sheet of a program, kept for the programs used of late. KeyError for an unknown sheet."""
    kept = _RUNNERS.get(id(program))
    if kept is None or kept[0] is not program:
        if len(_RUNNERS) >= _MOST_PROGRAMS:
            _RUNNERS.clear()
        kept = _RUNNERS[id(program)] = (program, {})
    found = kept[1].get(sheet)
    if found is None:
        found = kept[1][sheet] = _Runner(program, program["sheets"][sheet])
    return found


def evaluate(program: Mapping[str, Any], sheet: str, values: Mapping[str, Any], makers: Mapping[str, Any] | None = None) -> dict[str, Any]:
    """Evaluate a sheet on SI values. Never raises on bad values: status `refused` says why. KeyError: unknown sheet.

    values: input -> SI float | word | yes/no | list | None. makers: line -> the bearing maker's value in SI.
    """
    return runner(program, sheet).run(values, makers or {})
