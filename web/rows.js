// A sheet run over the rows of a table, and the rows put in order: advice side by side. The twin of calc/rows.py.
// Places are decided in whole steps, criterion by criterion; rows equal in all of them share a place and keep the table's
// order. A criterion that is not given ranks after one that is. A row with no criterion given, or whose lines refuse,
// has no place: it stands last with its reason, and the sheet goes on.
import { Refuse, steps } from "./functions.js";
import { build, lineValue } from "./walking.js";

/** @typedef {Record<string, any>} Values */

const [PLACED, OPEN, REFUSED] = [0, 1, 2];

/** One `over` section of a sheet, its expressions built. @param {any} spec @param {any} program */
export const section = (spec, program) => ({
  spec,
  keys: program.tables[spec.table].rows.map((/** @type {any} */ row) => row.keys[0]),
  when: spec.when ? build(spec.when, program) : null,
  lines: spec.lines.map((/** @type {any} */ line) => ({ name: line.name, walk: build(line.expr, program) })),
  checks: spec.checks.map((/** @type {any} */ check) => ({ check, walk: build(check.when, program) })),
});

/** Each section in order. A sheet that refused before its rows ranks nothing: the list stays empty.
 * @param {ReturnType<typeof section>[]} over @param {Values} v @param {boolean} going @returns {any[]} */
export function rowsOf(over, v, going) {
  if (going) return over.map((one) => run(one, v));
  for (const { spec } of over) for (const one of [spec.first, spec.count]) if (one) v[one.name] = null;
  return [];
}

/** {name, rows} in ranked order; binds `NAME_first` and `NAME_count` in `v`, and nothing else there.
 * @param {ReturnType<typeof section>} built @param {Values} v */
function run(built, v) {
  const { spec } = built;
  const found = built.keys
    .map((/** @type {string} */ key) => rowOf(built, key, v))
    .filter((/** @type {any} */ one) => one !== null);
  found.sort((/** @type {any} */ a, /** @type {any} */ b) => compare(a.order, b.order));
  /** @type {any[]} */
  const rows = [];
  for (const [at, { order, row }] of found.entries()) {
    if (order[0] === PLACED) row.place = at && !compare(found[at - 1].order, order) ? rows[at - 1].place : at + 1;
    rows.push(row);
  }
  if (spec.first) v[spec.first.name] = rows[0]?.place === 1 ? rows[0].key : null;
  v[spec.count.name] = rows.length;
  return { name: spec.name, rows };
}

/** @param {number[]} a @param {number[]} b */
function compare(a, b) {
  for (const [at, one] of a.entries()) {
    const other = b[at] ?? 0;
    if (one !== other) return one < other ? -1 : 1;
  }
  return 0;
}

/** What a row is sorted by, and the row; null where it takes no part. @param {ReturnType<typeof section>} built @param {string} key @param {Values} v */
function rowOf(built, key, v) {
  const { spec } = built;
  /** @type {Values} */
  const scope = { ...v, [spec.row.name]: key };
  /** @type {any} */
  const row = { key, place: null, values: {}, checks: [], not_evaluated: [], refusal: null };
  if (built.when) {
    const [takesPart, fault] = lineValue(built.when, scope);
    if (takesPart === false) return null;
    if (fault) row.refusal = { code: fault.code, where: spec.name, detail: { ...fault.detail } };
  }
  for (const { name, walk } of built.lines) {
    const [value, fault] = lineValue(walk, scope);
    scope[name] = row.values[name] = value;
    if (fault) row.refusal ??= { code: fault.code, where: name, detail: { ...fault.detail } };
  }
  for (const { check, walk } of built.checks) {
    const [spoke] = lineValue(walk, scope);
    if (spoke === null) row.not_evaluated.push(check.name);
    else if (spoke) row.checks.push({ name: check.name, level: check.level });
  }
  return { order: orderOf(spec, row), row };
}

/** Group first, then two figures a criterion: whether it is not given, and its place on its own scale.
 * @param {any} spec @param {any} row @returns {number[]} */
function orderOf(spec, row) {
  if (row.refusal) return [REFUSED];
  const order = [PLACED];
  let given = false;
  for (const { by, first, per } of spec.rank) {
    const value = row.values[by];
    if (value === null) order.push(1, 0);
    else {
      given = true;
      let at = value === (first === "yes") ? 0 : 1;
      if (per !== undefined)
        try {
          at = first === "least" ? steps(value, per) : -steps(value, per);
        } catch (error) {
          if (!(error instanceof Refuse)) throw error;
          row.refusal = { code: error.code, where: by, detail: {} };
          return [REFUSED];
        }
      order.push(0, at);
    }
  }
  return given ? order : [OPEN];
}
