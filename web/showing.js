// Values as people read them: in the unit of their system, rounded alike on phone and server. The twin of calc/showing.py.

const GAP = "\u00a0";
const MOST_PLACES = 9;

/** The unit a value is shown in. @param {any} program @param {number} value SI @param {string} unit @param {string} system metric | inch | as_is @returns {string} */
export function unitFor(program, value, unit, system) {
  const spec = program.units[unit];
  if (system === "as_is" || spec.system === "both" || spec.system === system || !spec.partner) return unit;
  if (spec.small && Math.abs(value) < spec.small_below) return spec.small;
  return spec.partner;
}

/** A number with at most `places` decimals, but no less than three figures; trailing zeros dropped unless `exact`.
 * @param {number} value @param {number} most @param {boolean} [exact] */
export function figure(value, most, exact = false) {
  const size = Math.abs(value);
  let places = most;
  if (!exact) while (places < MOST_PLACES && size > 0 && size * 10 ** places < 100) places += 1;
  if (size * 10 ** places >= 1e15) places = 0;
  const whole = Math.floor(size * 10 ** places + 0.5);
  const digits = BigInt(whole)
    .toString()
    .padStart(places + 1, "0");
  let text = places ? `${digits.slice(0, -places)}.${digits.slice(-places)}` : digits;
  if (places && !exact) text = text.replace(/0+$/, "").replace(/\.$/, "");
  return value < 0 && whole !== 0 ? `−${text}` : text;
}

/** An SI value with its unit: `13.5 N·m`, `0.0015 in`, `168°`. `decimals` holds for the unit given, not its partner.
 * @param {any} program @param {number} value @param {string} unit @param {string} [system] @param {number} [decimals] @param {string} [lang] */
export function show(program, value, unit, system = "metric", decimals, lang = "en") {
  const code = unitFor(program, value, unit, system);
  const spec = program.units[code];
  const kept = decimals !== undefined && code === unit;
  const text = marked(program, figure((value - spec.zero) / spec.factor, kept ? decimals : spec.decimals, kept), lang);
  const shown = shownUnit(program, code, lang);
  return shown === "" || shown === "°" ? text + shown : text + GAP + shown;
}

/** A figure with the decimal mark of a language. @param {any} program @param {string} text @param {string} lang @returns {string} */
export const marked = (program, text, lang) => text.replace(".", program.words[lang]?.decimal_mark ?? ".");

/** How a unit is written; the few that are words have their own in each language. @param {any} program @param {string} code @param {string} lang @returns {string} */
export const shownUnit = (program, code, lang) =>
  program.words[lang]?.[`unit.${code}`] || program.units[code].shown;

/** A text in a language, else in English. @param {Record<string, string> | null | undefined} texts @param {string} lang */
export const wordsOf = (texts, lang) => (texts ? (texts[lang] ?? texts.en ?? "") : "");

/** One of the calculation's own sentences, filled in. @param {any} program @param {string} key @param {string} lang @param {Record<string, string | number>} [parts] @returns {string} */
export function sentence(program, key, lang, parts = {}) {
  let text = String(program.words[lang]?.[key] ?? program.words.en[key]);
  for (const [name, part] of Object.entries(parts)) text = text.replaceAll(`{${name}}`, () => String(part));
  return text;
}

/** The input or line of a sheet by name; a row's own too, and what a section binds.
 * @param {any} program @param {string} sheet @param {string} name @returns {any} */
export function specOf(program, sheet, name) {
  const one = program.sheets[sheet];
  return [...one.inputs, ...one.lines, ...(one.over ?? []).flatMap(ofRows)].find((spec) => spec?.name === name);
}

const ofRows = (/** @type {any} */ section) => [...section.lines, section.row, section.first, section.count];

/** A word of a table's key by its label; the word itself where the passport gives none.
 * @param {any} key @param {string} word @param {string} lang @returns {string} */
export const wordOf = (key, word, lang) => wordsOf(key.labels?.[word], lang) || word;

/** @param {any} program @param {string} sheet @param {string} name @param {string} lang @returns {string} */
export function labelOf(program, sheet, name, lang) {
  const spec = specOf(program, sheet, name);
  return spec ? wordsOf(spec.label, lang) : name;
}

/** A value of an input or line, in inch in the unit that the trade lists for it. @param {any} program @param {number} value @param {any} spec @param {string} system @param {string} [lang] */
export const showAs = (program, value, spec, system, lang = "en") =>
  system === "inch" && spec?.inch
    ? show(program, value, spec.inch, "as_is", spec.decimals, lang)
    : show(program, value, spec?.unit ?? "1", system, spec?.decimals, lang);

/** Any value of an input or line in words. @param {any} program @param {any} spec @param {any} value @param {string} lang @param {string} system @returns {string} */
export function sayValue(program, spec, value, lang, system) {
  if (value === null || value === undefined) return sentence(program, "not_given", lang);
  if (typeof value === "boolean") return sentence(program, value ? "yes" : "no", lang);
  if (typeof value === "string") {
    const choice = spec?.choices?.find((/** @type {any} */ one) => one.word === value);
    return choice ? wordsOf(choice.label, lang) : value;
  }
  const one = (/** @type {number} */ x) => showAs(program, x, spec, system, lang);
  return Array.isArray(value) ? value.map(one).join("; ") : one(value);
}
