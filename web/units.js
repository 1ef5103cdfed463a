// Which unit a field starts in, its other-system partner, and how it is written. Facts come from the bundle's unit list.

/** @param {any} program @param {string} unit */
export const shownUnit = (program, unit) => program?.units?.[unit]?.shown ?? unit;

/** @param {any} program @param {string} unit @returns {string | null} the same kind's unit in the other system */
export const otherUnit = (program, unit) => program?.units?.[unit]?.partner ?? null;

const INCH = new Set([
  "in",
  "thou",
  "lbf",
  "lbf.ft",
  "lbf.in",
  "psi",
  "ksi",
  "degF",
  "dF",
  "in/s",
  "lb",
  "oz",
  "in2",
  "hp",
]);

/** The unit a field of this declared unit is entered in, by the person's choice of system.
 * @param {any} program @param {string} unit @param {string} system metric | inch */
export function unitIn(program, unit, system) {
  const wantsInch = system === "inch";
  if (INCH.has(unit) === wantsInch) return unit;
  const other = otherUnit(program, unit);
  return other && INCH.has(other) === wantsInch ? other : unit;
}
