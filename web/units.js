// Which unit a field starts in, its other-system partner, and how it is written. Facts come from the bundle's unit list.

/** @param {any} program @param {string} unit */
export const shownUnit = (program, unit) => program?.units?.[unit]?.shown ?? unit;

/** The next unit that the same reading may be given in: metric, inch, and the small inch unit where there is one.
 * @param {any} program @param {string} unit @returns {string | null} */
export function otherUnit(program, unit) {
  const units = program?.units ?? {};
  const own = units[unit];
  if (!own?.partner) return null;
  const metric = own.system === "inch" ? own.partner : unit;
  const group = [metric, units[metric]?.partner, units[metric]?.small].filter(Boolean);
  return group[(group.indexOf(unit) + 1) % group.length];
}

/** The unit a field of this declared unit is entered in, by the person's choice of system.
 * @param {any} program @param {string} unit @param {string} system metric | inch @param {string} [inch] the inch unit the trade lists it in */
export function unitIn(program, unit, system, inch) {
  if (inch && system === "inch") return inch;
  const own = program?.units?.[unit];
  if (!own?.partner || own.system === "both" || own.system === system) return unit;
  return own.partner;
}
