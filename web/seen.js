// What a person saw when they wrote an entry: the language, and whether its translation had been read by a person of the trade.
import { hasUnread } from "./text/say.js";

/** @param {import("./app.js").Phone} phone @param {string} record @param {Record<string, any>} body
 * @returns {{lang: string, unreviewed?: true}} */
export function seenIn(phone, record, body) {
  const state = phone.journal.job(record);
  const hash = state?.bundle ?? body.bundle ?? phone.handbook.current.value;
  const bundle = phone.handbook.get(hash);
  const lang = phone.handbook.spoken(hash);
  const steps = bundle?.procedures[state?.procedure]?.steps ?? [];
  const step = steps.find((/** @type {any} */ one) => one.step === body.step);
  const sheets = [body.sheet ?? step?.number?.sheet].map((name) => bundle?.calc.sheets[name]);
  const opening = bundle?.procedures[body.procedure]?.cautions;
  const unread = hasUnread([step, ...sheets, opening, bundle?.board?.lists[body.list]]);
  return { lang, ...(unread && lang !== "en" ? { unreviewed: true } : {}) };
}
