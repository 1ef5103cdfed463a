// Judging: where a value stands against its limits, in whole steps of its kind. The twin of calc/windows.py.
import { steps } from "./functions.js";

/** Where each position stands in the order of VERDICTS. @type {Record<string, number>} */
export const WINDOW_RANK = { cannot_tell: 2, over: 3, under: 4, not_yet: 5, inside: 7 };

/** Where a value stands against its limits; null where a limit is not known. A value not given leaves it `open`.
 * An instrument coarser than the window cannot tell, unless the reading stands a full step outside.
 * @param {any} spec @param {Record<string, any>} v @returns {any} */
export function judgeWindow(spec, v) {
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
