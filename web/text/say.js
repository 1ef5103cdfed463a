// Words: the flat catalogue of this app, and the handbook's texts by language.
import { signal } from "@preact/signals-core";
import { en } from "./en.js";

/** @typedef {Record<string, string>} Catalogue */
/** English is always here; another language's catalogue is loaded when it is chosen. @type {Record<string, Catalogue>} */
const catalogues = { en };
export const language = signal("en");
/** metric | inch: what unmet fields and computed numbers are shown in. */
export const system = signal("metric");

/** Catalogues that nobody of the trade has read. @type {Set<string>} */
const unread = new Set();

/** Load what the app itself says in a language. Without it the app speaks English and the handbook its own language.
 * @param {string} lang */
export async function learn(lang) {
  if (catalogues[lang]) return;
  try {
    const said = await import(`./${lang}.js`);
    if (!said.reviewed) unread.add(lang);
    catalogues[lang] = said[lang];
  } catch {
    // Not written yet, or not stored before the network went.
  }
}

/** The name of a language in that language. @param {string} lang */
export function languageName(lang) {
  const name = new Intl.DisplayNames([lang], { type: "language" }).of(lang) ?? lang;
  return name.charAt(0).toLocaleUpperCase(lang) + name.slice(1);
}

/** A sentence of the catalogue, `{name}` filled in; `key.one` / `key.other` by the count `n`.
 * @param {string} key @param {Record<string, string | number>} [fill] @returns {string} */
export function t(key, fill = {}) {
  const own = catalogues[language.value];
  let text = own?.[key] ?? en[key];
  if (text === undefined && typeof fill.n === "number") {
    const form = new Intl.PluralRules(language.value).select(fill.n);
    text = own?.[`${key}.${form}`] ?? own?.[`${key}.other`] ?? en[`${key}.${form}`] ?? en[`${key}.other`];
  }
  if (text === undefined) return key;
  return text.replace(/\{(\w+)\}/g, (_, name) => String(fill[name] ?? ""));
}

/** A text of the handbook. @param {Words | string | null | undefined} words @returns {string} */
export function words(words) {
  if (!words) return "";
  if (typeof words === "string") return words;
  return words[language.value] ?? words.en ?? Object.values(words)[0] ?? "";
}

/** @typedef {Record<string, any>} Words text by language; `unreviewed` lists the languages nobody of the trade has read */

/** Whether the person reads a text that nobody of the trade has read. @param {Words | null | undefined} words */
export const isUnread = (words) => Boolean(words?.unreviewed?.includes(language.value));

/** The English to show below a safety line, or "": where the translation is unread. @param {Words | null | undefined} words @returns {string} */
export const source = (words) => (isUnread(words) ? /** @type {any} */ (words).en : "");

/** A safety line of the app itself, as the handbook's are. @param {string} key @returns {Words} */
export const line = (key) =>
  language.value === "en"
    ? { en: t(key) }
    : { en: en[key], [language.value]: t(key), unreviewed: unread.has(language.value) ? [language.value] : [] };

/** Whether anything in a piece of the handbook is a translation that nobody of the trade has read. @param {any} piece @returns {boolean} */
export const hasUnread = (piece) =>
  language.value !== "en" &&
  piece !== null &&
  typeof piece === "object" &&
  (isUnread(piece) || Object.values(piece).some(hasUnread));

/** @param {string | null | undefined} iso @returns {string} date and time of this phone, the month as a word: no reader can take it for the day */
export function when(iso) {
  if (!iso) return "";
  // Intl would do it, and making its formatter takes longer than drawing a whole step.
  const at = new Date(iso);
  const two = (/** @type {number} */ n) => String(n).padStart(2, "0");
  return t("when", {
    day: at.getDate(),
    month: t("months").split(" ")[at.getMonth()] ?? "",
    year: at.getFullYear(),
    clock: `${two(at.getHours())}:${two(at.getMinutes())}`,
  });
}
