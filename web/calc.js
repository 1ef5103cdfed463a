// Evaluating a compiled sheet: the arrays become closures once per program; then arithmetic, windows, checks, verdict.
// The twin of calc/evaluator.py, on the same arrays. Anything on a value that is not given is not given (null);
// `and`/`or` decide where one side alone decides.

const EVALUATOR = 1;
const VERDICTS = ["refused", "stop", "cannot_tell", "over", "under", "not_yet", "caution", "inside", "none"];
/** @type {Record<string, number>} */
const WINDOW_RANK = { cannot_tell: 2, over: 3, under: 4, not_yet: 5, inside: 7 };

/** @typedef {any[]} Expr @typedef {Record<string, any>} Values @typedef {(v: Values) => any} Walk */

/** A line that cannot have a value: code and detail. */
export class Refuse extends Error {
  /** @param {string} code @param {Record<string, any>} [detail] */
  constructor(code, detail = {}) {
    super(code);
    this.code = code;
    this.detail = detail;
  }
}

const cannot = () => new Refuse("cannot_compute");

/** Whole steps of a kind; both sides of every comparison go through here. @param {number} value @param {number} per */
export function steps(value, per) {
  const out = Math.floor(value * per + 0.5);
  if (!Number.isFinite(out)) throw cannot();
  return out;
}

// ---- functions: the closed list ----

/** @param {(x: number) => number} work @returns {(x: number) => number} */
const guard = (work) => (x) => {
  const out = work(x);
  if (!Number.isFinite(out)) throw cannot();
  return out;
};

/** @param {number} a @param {number} b */
function power(a, b) {
  // Math.pow says NaN of 1 ** NaN and the like; only finite numbers come in, so only a result that is not finite is refused.
  const out = a ** b;
  if (!Number.isFinite(out)) throw cannot();
  return out;
}

/** @param {number[]} x */
const least = (x) => Math.min(...x);
/** @param {number[]} x */
const most = (x) => Math.max(...x);

/** @type {Record<string, (x: any) => number>} */
const ONE = {
  sqrt: guard(Math.sqrt),
  abs: Math.abs,
  floor: guard(Math.floor),
  ceil: guard(Math.ceil),
  sin: guard(Math.sin),
  cos: guard(Math.cos),
  tan: guard(Math.tan),
  atan: guard(Math.atan),
  exp: guard(Math.exp),
  log: guard(Math.log),
  mean: (/** @type {number[]} */ x) => x.reduce((total, one) => total + one, 0) / x.length,
  least,
  most,
  count: (/** @type {number[]} */ x) => x.length,
  spread: (/** @type {number[]} */ x) => most(x) - least(x),
};

// ---- arrays to closures ----

/** The closure of one expression; its argument is the object of values by name.
 * @param {Expr} expr @param {any} program @returns {Walk} */
export function build(expr, program) {
  const make = BUILD[expr[0]];
  if (!make) throw new Error(`no such operation: ${expr[0]}`);
  return make(expr, program);
}

/** Both sides given, then the work. @param {Expr} e @param {any} program @param {(a: any, b: any) => any} work @param {number} [from] @returns {Walk} */
function both(e, program, work, from = 1) {
  const f = build(e[from], program);
  const g = build(e[from + 1], program);
  return (v) => {
    const a = f(v);
    if (a === null) return null;
    const b = g(v);
    return b === null ? null : work(a, b);
  };
}

/** @param {Expr} e @param {any} program @param {(a: any) => any} work @returns {Walk} */
function alone(e, program, work) {
  const f = build(e[1], program);
  return (v) => {
    const a = f(v);
    return a === null ? null : work(a);
  };
}

/** @type {Record<string, (a: number, b: number) => boolean>} */
const COMPARE = {
  "<": (a, b) => a < b,
  "<=": (a, b) => a <= b,
  ">": (a, b) => a > b,
  ">=": (a, b) => a >= b,
  "==": (a, b) => a === b,
  "!=": (a, b) => a !== b,
};

const constant = (/** @type {Expr} */ e) => () => e[1];

/** @param {Expr} e @param {any} program @returns {Walk} */
function logic(e, program) {
  const f = build(e[1], program);
  const g = build(e[2], program);
  const decides = e[0] === "or";
  return (v) => {
    const a = f(v);
    if (a === decides) return decides;
    const b = g(v);
    if (b === decides) return decides;
    return a === null || b === null ? null : !decides;
  };
}

/** @param {Expr} e @param {any} program @returns {Walk} */
function call(e, program) {
  const name = e[1];
  const parts = e.slice(2).map((/** @type {Expr} */ one) => build(one, program));
  if (name === "min" || name === "max") {
    const lower = name === "min";
    return (v) => {
      let out = /** @type {Walk} */ (parts[0])(v);
      if (out === null) return null;
      for (const part of parts.slice(1)) {
        const x = part(v);
        if (x === null) return null;
        if (lower ? x < out : x > out) out = x;
      }
      return out;
    };
  }
  const work = ONE[name];
  if (!work) throw new Error(`no such function: ${name}`);
  const only = /** @type {Walk} */ (parts[0]);
  return (v) => {
    const x = only(v);
    return x === null ? null : work(x);
  };
}

/** @param {Expr} e @param {any} program @returns {Walk} */
function look(e, program) {
  const [head, tableName, column, keyExprs] = e;
  const keys = keyExprs.map((/** @type {Expr} */ one) => build(one, program));
  const find = finder(program.tables[tableName]);
  return (v) => {
    const got = [];
    for (const one of keys) {
      const key = one(v);
      if (key === null) return null;
      got.push(key);
    }
    const row = find(got);
    const found = row?.values[column] ?? null;
    if (head === "has") return found !== null;
    if (!row) throw new Refuse("outside_table", { table: tableName, keys: got });
    if (found === null) throw new Refuse("no_entry", { table: tableName, column, keys: got });
    return found;
  };
}

/** Row of a table by its keys, boundary rules in whole steps. @param {any} table @returns {(keys: any[]) => any} */
function finder(table) {
  const ranged = table.keys.findIndex((/** @type {any} */ key) => key.match === "range");
  const rest = (/** @type {any[]} */ keys) => JSON.stringify(keys.filter((_, at) => at !== ranged));
  /** @type {Map<string, any[]>} */
  const groups = new Map();
  for (const row of table.rows) {
    const key = rest(row.keys);
    const list = groups.get(key) ?? [];
    list.push(row);
    groups.set(key, list);
  }
  if (ranged < 0) return (keys) => groups.get(rest(keys))?.at(-1);
  const { per, includes, lower_too } = table.keys[ranged];
  /** @type {Map<any, [number, number]>} */
  const ends = new Map();
  for (const row of table.rows) {
    const [over, upTo] = row.keys[ranged];
    ends.set(row, [steps(over, per), steps(upTo, per)]);
  }
  return (keys) => {
    const x = steps(keys[ranged], per);
    return (groups.get(rest(keys)) ?? []).find((row, at) => {
      const [over, upTo] = /** @type {[number, number]} */ (ends.get(row));
      if (includes === "upper") return (over < x && x <= upTo) || (lower_too && at === 0 && x === over);
      return over <= x && x < upTo;
    });
  };
}

/** @type {Record<string, (e: Expr, program: any) => Walk>} */
const BUILD = {
  num: constant,
  word: constant,
  yes: constant,
  none: () => () => null,
  get: (e) => (v) => v[e[1]] ?? null,
  get_in: (e, program) => {
    const { factor, zero } = program.units[e[2]];
    return (v) => (v[e[1]] === null || v[e[1]] === undefined ? null : (v[e[1]] - zero) / factor);
  },
  set_in: (e, program) => {
    const { factor, zero } = program.units[e[2]];
    return alone(e, program, (x) => x * factor + zero);
  },
  "+": (e, program) => both(e, program, (a, b) => a + b),
  "-": (e, program) => both(e, program, (a, b) => a - b),
  "*": (e, program) => both(e, program, (a, b) => a * b),
  "/": (e, program) =>
    both(e, program, (a, b) => {
      if (b === 0) throw cannot();
      return a / b;
    }),
  "**": (e, program) => both(e, program, power),
  neg: (e, program) => alone(e, program, (a) => -a),
  cmp: (e, program) => {
    const compare = /** @type {(a: number, b: number) => boolean} */ (COMPARE[e[1]]);
    const per = e[4];
    return both(e, program, (a, b) => compare(steps(a, per), steps(b, per)), 2);
  },
  eq: (e, program) => both(e, program, (a, b) => a === b),
  ne: (e, program) => both(e, program, (a, b) => a !== b),
  in: (e, program) => alone(e, program, (a) => e[2].includes(a)),
  and: logic,
  or: logic,
  not: (e, program) => alone(e, program, (a) => !a),
  if: (e, program) => {
    const [c, f, g] = [build(e[1], program), build(e[2], program), build(e[3], program)];
    return (v) => {
      const condition = c(v);
      return condition === null ? null : condition ? f(v) : g(v);
    };
  },
  call,
  given: (e) => (v) => v[e[1]] !== null && v[e[1]] !== undefined,
  by_maker: (e) => (v) => `by_maker:${e[1]}` in v,
  lookup: look,
  has: look,
};

/** A compiled condition over values: true, false, or null where something it needs is not given.
 * @param {Expr} expr @param {Values} values @returns {boolean | null} */
export function truth(expr, values) {
  return build(expr, { units: {}, tables: {} })(values);
}

// ---- a whole sheet ----

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
  refusal ??= refusedBy(run.late, v);
  if (refusal) Object.assign(result, { status: "refused", refusal, verdict: "refused" });
  else judge(run, v, result);
  for (const name of Object.keys(makers)) delete v[`by_maker:${name}`];
  return result;
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
    /** @type {any} */
    let value = null;
    /** @type {Refuse | null} */
    let fault = null;
    if (walk) {
      try {
        value = walk(v);
        if (typeof value === "number") {
          if (!Number.isFinite(value)) throw cannot();
          value += 0; // -0 is 0, as on the wire
        }
      } catch (error) {
        if (!(error instanceof Refuse)) throw error;
        value = null;
        fault = error;
      }
    }
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
    /** @type {any} */
    let spoke = null;
    try {
      spoke = walk(v);
    } catch (error) {
      if (!(error instanceof Refuse)) throw error;
    }
    if (spoke === null) result.not_evaluated.push(check.name);
    else if (spoke) {
      result.checks.push({ name: check.name, level: check.level, lead_accepts: "lead_accepts" in check });
      if (check.level !== "note") rank = Math.min(rank, check.level === "stop" ? 1 : 6);
    }
  }
  result.verdict = VERDICTS[rank];
}

/** Where a value stands against its limits; null where a limit is not known. A value not given leaves it `open`.
 * An instrument coarser than the window cannot tell, unless the reading stands a full step outside.
 * @param {any} spec @param {Values} v @returns {any} */
function judgeWindow(spec, v) {
  /** @type {any} */
  const out = { name: spec.name };
  for (const key of ["value", "low", "high", "resolution", "never_below", "never_above"])
    out[key] = key in spec ? (v[spec[key]] ?? null) : null;
  if (("low" in spec && out.low === null) || ("high" in spec && out.high === null)) return null;
  if (out.value === null) {
    out.position = "open";
    return out;
  }
  const at = (/** @type {number | null} */ x) => (x === null ? null : steps(x, spec.per));
  const value = /** @type {number} */ (at(out.value));
  const [low, high, below, above] = [at(out.low), at(out.high), at(out.never_below), at(out.never_above)];
  const step = at(out.resolution) ?? 0;
  if (low !== null && high !== null && step > high - low && low - step < value && value < high + step)
    out.position = "cannot_tell";
  else if (high !== null && value > high) out.position = spec.approach === "falling" ? "not_yet" : "over";
  else if (low !== null && value < low) out.position = spec.approach === "rising" ? "not_yet" : "under";
  else out.position = "inside";
  const under = below !== null && value < below;
  if (under || (above !== null && value > above)) {
    out.position = under ? "under" : "over";
    out.never = true;
  }
  return out;
}

/** @param {Walk} walk @param {Values} v */
function speaks(walk, v) {
  try {
    return Boolean(walk(v));
  } catch (error) {
    if (error instanceof Refuse) return false;
    throw error;
  }
}

/** @param {string} kind @param {any} value */
function makerFits(kind, value) {
  if (kind === "word") return typeof value === "string";
  return kind === "yesno" ? typeof value === "boolean" : Number.isFinite(value);
}

/** Reason why a value is not what an input takes, or null. @param {any} spec @param {any} program @returns {(value: any) => string | null} */
function tester(spec, program) {
  if (spec.kind === "word") {
    const words = new Set(spec.choices.map((/** @type {any} */ one) => one.word));
    return (value) => (typeof value !== "string" ? "type" : words.has(value) ? null : "word");
  }
  if (spec.kind === "yesno") return (value) => (typeof value === "boolean" ? null : "type");
  const { per } = program.kinds[spec.kind];
  const lowest = "least" in spec ? steps(spec.least, per) : null;
  const highest = "most" in spec ? steps(spec.most, per) : null;
  const one = (/** @type {any} */ value) => {
    if (!Number.isFinite(value)) return "type";
    if (spec.kind === "count" && value !== Math.floor(value)) return "whole";
    const at = steps(value, per);
    return (lowest !== null && at < lowest) || (highest !== null && at > highest) ? "range" : null;
  };
  if (!spec.list) return one;
  return (value) => {
    if (!Array.isArray(value)) return "type";
    if (value.length < spec.list.least || value.length > spec.list.most) return "count";
    return value.map(one).find((reason) => reason) ?? null;
  };
}
