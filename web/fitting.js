// What an input takes, and what may stand for a line as the maker's value. The twin of calc/fitting.py.
import { steps } from "./functions.js";

/** Whether a value has the type of a line of this kind. @param {string} kind @param {any} value */
export function makerFits(kind, value) {
  if (kind === "word") return typeof value === "string";
  return kind === "yesno" ? typeof value === "boolean" : Number.isFinite(value);
}

/** Reason why a value is not what an input takes, or null. @param {any} spec @param {any} program @returns {(value: any) => string | null} */
export function tester(spec, program) {
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
