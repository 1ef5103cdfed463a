// The classic slips: mm typed where inch was meant, lbf.in for lbf.ft, a decimal point in the wrong place. Asked, never mended.
// The twin of calc/slips.py.
import { evaluate, runner } from "./calc.js";
import { figure, labelOf, marked, sentence, show } from "./showing.js";
import { parseNumber, tidy } from "./typed.js";

const OUTSIDE = ["over", "under", "not_yet"];
const NEAR = 2; // a maker's value within this of the sheet's own is no slip
// beside a single limit almost any smaller number is inside: a slip lands near it
const ONE_LIMIT = 5;
// a maker's torque with no figure of the sheet's own beside it: what a screw is likely to be given
const UNDER_CEILING = [1 / 3, 1.5];
const CLEAR = 8; // lbf.in for N.m is 8.85 times: less than this is as often a value that is merely wrong
const SHAFT_TO_BORE = [0.6, 1.1]; // a sleeve takes a shaft somewhat smaller than the bearing's bore
const PLACES = [-1, 1, -2, 2]; // how far a point slips; a number typed without one is a hundred times off

/** @typedef {{input: string, typed: any, unit: string, meant_unit: string, factor: number | null, near?: string, to?: number, meant?: any}} Ask
 * near, to, meant: what it should be near, its SI value, the figures with the point moved or null */

/** What was typed, read in another unit. @param {any} program @param {string} kind @param {any} entry @param {string} code */
function valueIn(program, kind, entry, code) {
  const unit = program.units[code];
  const zero = kind === "temperature_difference" ? 0 : unit.zero;
  const got = [entry.typed].flat().map(parseNumber);
  if (!got.length || got.some((one) => typeof one !== "number")) return null;
  const out = got.map((one) => /** @type {number} */ (one) * unit.factor + zero);
  return Array.isArray(entry.typed) ? out : out[0];
}

/** Every unit that the number may have been meant in, the likeliest first. @param {any} program @param {string} kind @param {any} entry @returns {[string, any][]} */
function others(program, kind, entry) {
  if (entry?.typed === undefined) return [];
  return (program.units[entry.unit]?.meant ?? [])
    .filter((/** @type {string} */ code) => program.units[code].kinds.includes(kind))
    .map((/** @type {string} */ code) => [code, valueIn(program, kind, entry, code)])
    .filter((/** @type {any[]} */ one) => one[1] !== null);
}

/** Of those, the ones that cannot be mistaken for a value that is merely wrong: many times off, or a temperature.
 * @param {any} program @param {string} kind @param {any} entry */
const clearOthers = (program, kind, entry) =>
  others(program, kind, entry).filter(([code]) => {
    const [own, other] = [program.units[entry.unit], program.units[code]];
    const times = own.factor / other.factor;
    return own.zero || other.zero || times >= CLEAR || times <= 1 / CLEAR;
  });

/** The unit in which a number that is out of range would be in it. @param {any} program @param {string} kind @param {any} entry @param {(value: any) => string | null} test */
export const meantUnit = (program, kind, entry, test) =>
  others(program, kind, entry).find(([, value]) => test(value) === null)?.[0];

/** A number as it was typed, with a unit. @param {any} program @param {any} entry @param {string} code */
export const given = (program, entry, code) => `${[entry.typed].flat().join("; ")}\u00a0${program.units[code].shown}`;

/** @param {any} expr @param {(name: string) => void} found */
function names(expr, found) {
  if (!Array.isArray(expr)) return;
  if (expr[0] === "get" || expr[0] === "get_in") found(expr[1]);
  for (const one of expr) names(one, found);
}

/** Every input and line that a line or an input is worked out from, itself among them. @param {any} sheet @param {string} name */
function reaches(sheet, name) {
  const found = new Set([name]);
  for (const one of found)
    names(sheet.lines.find((/** @type {any} */ line) => line.name === one)?.expr, (other) => found.add(other));
  return found;
}

/** @param {any} program @param {string} input @param {any} entry @param {string} code @returns {Ask} */
function ask(program, input, entry, code) {
  const own = program.units[entry.unit];
  const other = program.units[code];
  const factor = own.zero || other.zero ? null : own.factor / other.factor;
  return { input, typed: entry.typed, unit: entry.unit, meant_unit: code, factor };
}

/** What each input alone would be in another unit, then all that were typed in one unit together.
 * @param {any} program @param {string} sheet @param {Record<string, any>} entries @param {Set<string>} reached @returns {[string, Record<string, any>][]} */
function tries(program, sheet, entries, reached) {
  /** @type {[string, Record<string, any>][]} */
  const alone = [];
  /** @type {Map<string, [string, Record<string, any>]>} */
  const together = new Map();
  for (const { name, spec, test } of runner(program, sheet).inputs) {
    if (!reached.has(name)) continue;
    for (const [code, value] of clearOthers(program, spec.kind, entries[name])) {
      if (test(value) !== null) continue;
      alone.push([code, { [name]: value }]);
      const key = `${entries[name].unit} ${code}`;
      together.set(key, [code, { ...together.get(key)?.[1], [name]: value }]);
    }
  }
  return [...alone, ...[...together.values()].filter(([, changed]) => Object.keys(changed).length > 1)];
}

/** Would the other unit put it right: inside, near a limit that stands alone, and nothing else warns that did not before?
 * 58 °C on a housing that climbs is no 58 °F: the housing would be colder than the air.
 * @param {string} name @param {any} before @param {any} after */
function explains(name, before, after) {
  const found = after.windows.find((/** @type {any} */ one) => one.name === name && one.position === "inside");
  if (!found) return false;
  if (!found.low || found.high === null) {
    // nought is the floor of what can be read, no limit
    const share = found.value / (found.high === null ? found.low : found.high);
    if (!(share >= 1 / ONE_LIMIT && share <= ONE_LIMIT)) return false;
  }
  const spoke = new Set(before.checks.map((/** @type {any} */ one) => one.name));
  return !after.checks.some((/** @type {any} */ one) => one.level !== "note" && !spoke.has(one.name));
}

/** What to ask before a result is believed: a value stands outside, and the same number in another unit would not.
 * @param {any} program @param {string} sheet @param {Record<string, any>} entries @param {Record<string, any>} values
 * @param {Record<string, any>} makers @param {any} result @param {Record<string, any>} [makerEntries] @returns {Ask[]} */
export function asks(program, sheet, entries, values, makers, result, makerEntries = {}) {
  /** @type {Map<string, Ask>} */
  const found = new Map();
  if (result.status === "done" || Object.keys(result.defaults).length)
    byUnit(program, sheet, entries, values, makers, result, makerEntries, found);
  const rest = far(program, program.sheets[sheet], entries, values, result.values);
  return [...found.values(), ...rest.filter((one) => !found.has(one.input))];
}

/** @param {any} program @param {string} sheet @param {Record<string, any>} entries @param {Record<string, any>} values
 * @param {Record<string, any>} makers @param {any} result @param {Record<string, any>} makerEntries @param {Map<string, Ask>} found */
function byUnit(program, sheet, entries, values, makers, result, makerEntries, found) {
  const made = program.sheets[sheet];
  for (const window of result.windows) {
    if (!OUTSIDE.includes(window.position)) continue;
    const reached = reaches(made, made.windows.find((/** @type {any} */ one) => one.name === window.name).value);
    for (const [code, changed] of tries(program, sheet, entries, reached)) {
      const names = Object.keys(changed);
      if (names.some((name) => found.has(name))) continue;
      if (explains(window.name, result, evaluate(program, sheet, { ...values, ...changed }, makers)))
        for (const name of names) found.set(name, ask(program, name, entries[name], code));
    }
  }
  for (const line of made.lines) {
    if (!makerEntries[line.name]) continue;
    const test = beside(result, line.kind, result.defaults[line.name]);
    if (!test || test(result.values[line.name])) continue;
    const meant = clearOthers(program, line.kind, makerEntries[line.name]).find(([, value]) => test(value));
    if (meant) found.set(line.name, ask(program, line.name, makerEntries[line.name], meant[0]));
  }
}

/** Of each input that says what it should be near: is a number of it far from that, and would a moved point bring it there?
 * @param {any} program @param {any} made @param {Record<string, any>} entries @param {Record<string, any>} values @param {any} taken @returns {Ask[]} */
function far(program, made, entries, values, taken) {
  /** @type {Ask[]} */
  const out = [];
  for (const { name, kind, near } of made.inputs) {
    const [to, entry, value] = [near && taken[near.of], entries[name], values[name]];
    if (!to || entry?.typed === undefined || typeof value !== "number" && !Array.isArray(value)) continue;
    const fits = (/** @type {number} */ one) => !one || (one / to >= near.least && one / to <= near.most);
    const each = [value].flat();
    if (each.every(fits)) continue;
    const meant = [entry.typed].flat().map((text, at) => (fits(each[at]) ? text : moved(program, text, entry.unit, fits)));
    const told = meant.includes(null) ? null : Array.isArray(entry.typed) ? meant : meant[0];
    const unit = told ? null : clearOthers(program, kind, entry).find(([, other]) => [other].flat().every(fits));
    if (unit) out.push(ask(program, name, entry, unit[0]));
    else out.push({ ...ask(program, name, entry, entry.unit), factor: null, near: near.of, to, meant: told });
  }
  return out;
}

/** The figures with the point moved to where the number fits; null for a fraction, or where no place is right.
 * @param {any} program @param {string} text @param {string} unit @param {(value: number) => boolean} fits */
function moved(program, text, unit, fits) {
  const plain = /^(\d*)([.,]?)(\d*)$/.exec(tidy(text));
  if (!plain) return null;
  const [, whole = "", mark, part] = plain;
  const digits = `000${whole}${part}00`;
  const told = PLACES.map((by) => {
    const at = 3 + whole.length + by;
    const [head, tail] = [digits.slice(0, at).replace(/^0+/, "") || "0", digits.slice(at).replace(/0+$/, "")];
    return tail ? `${head}${mark || "."}${tail}` : head;
  });
  return told.find((one) => fits(Number(one.replace(",", ".")) * program.units[unit].factor)) ?? null;
}

/** What a maker's torque is held against: the sheet's own figure, else what the screw stands (line `ceiling`).
 * @param {any} result @param {string} kind @param {any} own @returns {((value: any) => boolean) | null} */
function beside(result, kind, own) {
  const none = own === null || own === undefined;
  const [least, most] = none ? UNDER_CEILING : [1 / NEAR, NEAR];
  const to = none && kind === "torque" ? result.values.ceiling : own;
  if (typeof to !== "number" || !to) return null;
  return (value) => typeof value === "number" && value / to >= /** @type {number} */ (least) && value / to <= /** @type {number} */ (most);
}

/** The same of a position's facts: a shaft that no bearing of this bore could sit on. @param {any} program @param {Record<string, any>} facts @returns {Ask[]} */
export function factAsks(program, facts) {
  const [shaft, bore] = [facts.shaft_d, facts.bore];
  if (!program.units[shaft?.unit] || !program.units[bore?.unit]) return [];
  const over = valueIn(program, "length", bore, bore.unit);
  const size = valueIn(program, "length", shaft, shaft.unit);
  const sits = (/** @type {any} */ x) =>
    x / over >= /** @type {number} */ (SHAFT_TO_BORE[0]) && x / over <= /** @type {number} */ (SHAFT_TO_BORE[1]);
  if (!over || size === null || sits(size)) return [];
  const meant = others(program, "length", shaft).find(([, value]) => sits(value));
  return meant ? [ask(program, "shaft_d", shaft, meant[0])] : [];
}

/** The question in a sentence. @param {any} program @param {string} label @param {Ask} one @param {string} [lang] @param {string} [near] what it is held against */
export function sayAsk(program, label, one, lang = "en", near = "") {
  const own = given(program, one, one.unit);
  if (one.near) {
    const to = show(program, /** @type {number} */ (one.to), one.unit, "as_is", undefined, lang);
    const meant = one.meant ? given(program, { typed: one.meant }, one.unit) : "";
    return sentence(program, meant ? "slip.shift" : "slip.near", lang, { label, given: own, near, to, meant });
  }
  const { factor } = one;
  const key = factor === null ? "other" : factor > 1 ? "more" : "less";
  return sentence(program, `slip.${key}`, lang, {
    label,
    times: factor === null ? "" : marked(program, figure(factor > 1 ? factor : 1 / factor, 1), lang),
    given: own,
    meant: given(program, one, one.meant_unit),
  });
}

/** @param {any} program @param {string} sheet @param {Ask[]} found @param {string} [lang] */
export const saidAsks = (program, sheet, found, lang = "en") =>
  found.map((one) => ({
    ...one,
    say: sayAsk(program, labelOf(program, sheet, one.input, lang), one, lang, one.near && labelOf(program, sheet, one.near, lang)),
  }));
