// A handbook folded: its large pieces as text of their own, each understood when it is first looked at.

/** Where the large pieces of a bundle lie: the holder and the name. @type {((data: any) => [any, string])[]} */
const PLACES = [
  (data) => [data, "procedures"],
  (data) => [data, "drawings"],
  (data) => [data.calc, "sheets"],
  (data) => [data.calc, "tables"],
];

/** @typedef {Record<string, string>[]} Folded the pieces' texts by name, for each of the places in their order */

/** @param {any} data a bundle, left as it is @returns {{text: string, folded: Folded}} */
export function fold(data) {
  const rest = { ...data, calc: { ...data.calc } };
  const folded = PLACES.map((place) => {
    const [holder, name] = place(rest);
    if (!holder[name]) return {};
    const pieces = Object.entries(holder[name]).map(([key, piece]) => [key, JSON.stringify(piece)]);
    holder[name] = {};
    return Object.fromEntries(pieces);
  });
  return { text: JSON.stringify(rest), folded };
}

/** The bundle again. @param {string} text @param {Folded} folded @returns {any} */
export function unfold(text, folded) {
  const data = JSON.parse(text);
  PLACES.forEach((place, n) => {
    const [holder, name] = place(data);
    for (const [key, piece] of Object.entries(folded[n] ?? {})) later(holder[name], key, piece);
  });
  return data;
}

/** @param {any} place @param {string} key @param {string} text */
function later(place, key, text) {
  const is = (/** @type {any} */ value) =>
    Object.defineProperty(place, key, { value, enumerable: true, configurable: true, writable: true })[key];
  Object.defineProperty(place, key, {
    get: () => is(JSON.parse(text)),
    set: is,
    enumerable: true,
    configurable: true,
  });
}
