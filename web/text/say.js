// Words: the flat catalogue of this app, and the handbook's texts by language.
import { signal } from "@preact/signals-core";
import { en } from "./en.js";

/** @type {Record<string, Record<string, string>>} */
const CATALOGUES = { en };
export const LANGUAGES = Object.keys(CATALOGUES);
export const language = signal("en");
/** metric | inch: what unmet fields and computed numbers are shown in. */
export const system = signal("metric");

/** A sentence of the catalogue, `{name}` filled in; `key.one` / `key.other` by the count `n`.
 * @param {string} key @param {Record<string, string | number>} [fill] @returns {string} */
export function t(key, fill = {}) {
  const catalogue = CATALOGUES[language.value] ?? en;
  let text = catalogue[key] ?? en[key];
  if (text === undefined && typeof fill.n === "number") {
    const form = new Intl.PluralRules(language.value).select(fill.n);
    text = catalogue[`${key}.${form}`] ?? en[`${key}.${form}`] ?? en[`${key}.other`];
  }
  if (text === undefined) return key;
  return text.replace(/\{(\w+)\}/g, (_, name) => String(fill[name] ?? ""));
}

/** A text of the handbook. @param {Record<string, string> | string | null | undefined} words @returns {string} */
export function words(words) {
  if (!words) return "";
  if (typeof words === "string") return words;
  return words[language.value] ?? words.en ?? Object.values(words)[0] ?? "";
}

/** @param {string | null | undefined} iso @returns {string} date and time as this phone's owner writes them */
export function when(iso) {
  if (!iso) return "";
  return new Intl.DateTimeFormat(navigator.language, { dateStyle: "medium", timeStyle: "short" }).format(new Date(iso));
}
