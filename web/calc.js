// A whole sheet: inputs taken, lines in order, the rows of its tables, refusals, then windows, checks and verdict.
// The twin of calc/evaluator.py.
import { makerFits, tester } from "./fitting.js";
import { rowsOf, section } from "./rows.js";
import { build, speaks, lineValue } from "./walking.js";
import { judgeWindow, WINDOW_RANK } from "./windows.js";

export { Refuse } from "./functions.js";
export { build, truth } from "./walking.js";

/** 2: a sheet may run over the rows of a table. A program of 1 has none and gives what it gave. */
export const EVALUATOR = 2;
const VERDICTS = ["refused", "stop", "cannot_tell", "over", "under", "not_yet", "caution", "inside", "none"];

/** @typedef {Record<string, any>} Values */

/** @param {any} program @param {any} sheet */
function runnerOf(program, sheet) {
  const built = sheet.checks.map((/** @type {any} */ check) => ({ check, walk: build(check.when, program) }));
  return {
    sheet,
    inputs: sheet.inputs.map((/** @type {any} */ spec) => ({ name: spec.name, spec, test: tester(spec, program) })),
    lines: sheet.lines.map((/** @type {any} */ line) => ({ line, walk: line.expr ? build(line.expr, program) : null })),
    makers: new Map(
      sheet.lines
        .filter((/** @type {any} */ line) => line.maker)
        .map((/** @type {any} */ line) => [line.name, line.kind]),
    ),
    early: built.filter((/** @type {any} */ one) => one.check.early),
    late: built.filter((/** @type {any} */ one) => one.check.level === "refuse" && !one.check.early),
    checks: built.filter((/** @type {any} */ one) => one.check.level !== "refuse"),
    over: (sheet.over ?? []).map((/** @type {any} */ one) => section(one, program)),
  };
}

/** @type {WeakMap<any, Map<string, ReturnType<typeof runnerOf>>>} */
const RUNNERS = new WeakMap();

/** The built sheet of a program, kept with it. @param {any} program @param {string} sheet */
export function runner(program, sheet) {
  const kept = RUNNERS.get(program) ?? new Map();
  RUNNERS.set(program, kept);
  let found = kept.get(sheet);
  if (!found) {
    found = runnerOf(program, program.sheets[sheet]);
    kept.set(sheet, found);
  }
  return found;
}

/** Evaluate a sheet on SI values. Never throws on bad values: status `refused` says why.
 * @param {any} program @param {string} sheet
 * @param {Values} values input -> SI number | word | yes/no | list | null
 * @param {Values} [makers] line -> the bearing maker's value in SI
 * @returns {any} */
export function evaluate(program, sheet, values, makers = {}) {
  const run = runner(program, sheet);
  /** @type {Values} */
  const v = {};
  /** @type {any} */
  const result = {
    sheet: run.sheet.sheet,
    version: run.sheet.version,
    evaluator: EVALUATOR,
    status: "done",
    refusal: null,
    values: v,
    defaults: {},
    windows: [],
    checks: [],
    not_evaluated: [],
    verdict: "none",
  };
  let refusal = takeInputs(run, v, values, makers) ?? refusedBy(run.early, v);
  if (!refusal || !["missing_input", "bad_input"].includes(refusal.code))
    refusal = runLines(run, v, makers, result.defaults, refusal);
  if (run.over.length) result.over = rowsOf(run.over, v, !refusal);
  refusal ??= refusedBy(run.late, v);
  if (refusal) Object.assign(result, { status: "refused", refusal, verdict: "refused" });
  else judge(run, v, result);
  for (const name of Object.keys(makers)) delete v[`by_maker:${name}`];
  return result;
}

/** Run a sheet on the ends of its inputs until the browser knows it, so that a person's first number is not its first run.
 * @param {any} program @param {string} sheet */
export function warm(program, sheet) {
  /** @type {Values} */
  const values = {};
  for (const one of program.sheets[sheet].inputs)
    values[one.name] = one.choices ? one.choices[0].word : one.list ? [one.most, one.most] : (one.most ?? true);
  for (let at = 0; at < 4; at += 1) evaluate(program, sheet, values);
}

/** @param {any[]} checks @param {Values} v */
function refusedBy(checks, v) {
  const one = checks.find(({ walk }) => speaks(walk, v));
  return one ? { code: one.check.code, where: one.check.name, detail: {} } : null;
}

/** @param {any} run @param {Values} v @param {Values} values @param {Values} makers */
function takeInputs(run, v, values, makers) {
  /** @type {any} */
  let refusal = null;
  const names = new Set();
  for (const { name, spec, test } of run.inputs) {
    names.add(name);
    const value = values[name] ?? null;
    v[name] = null;
    if (value === null) {
      if (!("optional" in spec)) refusal ??= { code: "missing_input", where: name, detail: {} };
      continue;
    }
    const reason = test(value);
    if (reason) refusal ??= { code: "bad_input", where: name, detail: { reason } };
    else v[name] = value;
  }
  for (const name of Object.keys(values))
    if (!names.has(name)) refusal ??= { code: "bad_input", where: name, detail: { reason: "unknown" } };
  for (const [name, value] of Object.entries(makers)) {
    if (!run.makers.has(name)) refusal ??= { code: "bad_input", where: name, detail: { reason: "no_maker" } };
    else if (!makerFits(run.makers.get(name), value))
      refusal ??= { code: "bad_input", where: name, detail: { reason: "type" } };
    else v[`by_maker:${name}`] = true;
  }
  return refusal;
}

/** @param {any} run @param {Values} v @param {Values} makers @param {Values} defaults @param {any} before */
function runLines(run, v, makers, defaults, before) {
  let refusal = before;
  for (const { line, walk } of run.lines) {
    const { name, maker, kind } = line;
    const [value, fault] = walk ? lineValue(walk, v) : [null, null];
    if (maker && name in makers) {
      defaults[name] = value;
      v[name] = kind === "word" || kind === "yesno" ? makers[name] : makers[name] + 0;
      continue;
    }
    v[name] = value;
    if (fault)
      refusal ??= {
        code: fault.code,
        where: name,
        detail: maker ? { ...fault.detail, maker: true } : { ...fault.detail },
      };
    else if (maker === "required" && value === null)
      refusal ??= { code: "maker_value_needed", where: name, detail: {} };
  }
  return refusal;
}

/** @param {any} run @param {Values} v @param {any} result */
function judge(run, v, result) {
  let rank = 8;
  for (const spec of run.sheet.windows) {
    const window = judgeWindow(spec, v);
    if (!window) {
      result.not_evaluated.push(spec.name);
      continue;
    }
    result.windows.push(window);
    if (window.never) rank = Math.min(rank, 1);
    rank = Math.min(rank, WINDOW_RANK[window.position] ?? 8);
  }
  for (const { check, walk } of run.checks) {
    const [spoke] = lineValue(walk, v);
    if (spoke === null) result.not_evaluated.push(check.name);
    else if (spoke) {
      result.checks.push({ name: check.name, level: check.level, lead_accepts: "lead_accepts" in check });
      if (check.level !== "note") rank = Math.min(rank, check.level === "stop" ? 1 : 6);
    }
  }
  result.verdict = VERDICTS[rank];
}
