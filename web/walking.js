// Arrays to closures: each compiled expression becomes one function, once per program. The twin of calc/walking.py.
// Anything on a value that is not given is not given (null); `and`/`or` decide where one side alone decides.
import { cannot, ONE, power, Refuse, steps } from "./functions.js";

/** @typedef {any[]} Expr @typedef {Record<string, any>} Values @typedef {(v: Values) => any} Walk */

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

/** @type {WeakMap<any, (keys: any[]) => any>} */
const FINDERS = new WeakMap();

/** Row of a table by its keys, made once a table: a sheet may look into one of 400 rows twenty times. @param {any} table @returns {(keys: any[]) => any} */
function finder(table) {
  const found = FINDERS.get(table) ?? finding(table);
  FINDERS.set(table, found);
  return found;
}

/** Boundary rules in whole steps. @param {any} table @returns {(keys: any[]) => any} */
function finding(table) {
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

/** Whether a condition holds; what cannot be worked out does not hold. @param {Walk} walk @param {Values} v */
export function speaks(walk, v) {
  try {
    return Boolean(walk(v));
  } catch (error) {
    if (error instanceof Refuse) return false;
    throw error;
  }
}

/** The value of a line, or why it has none. @param {Walk} walk @param {Values} v @returns {[any, Refuse | null]} */
export function lineValue(walk, v) {
  try {
    const value = walk(v);
    if (typeof value !== "number") return [value, null];
    return Number.isFinite(value) ? [value + 0, null] : [null, cannot()]; // -0 is 0, as on the wire
  } catch (error) {
    if (error instanceof Refuse) return [null, error];
    throw error;
  }
}
