// A number that looks like a slip of its unit: the question, and its two answers at the thumb. Nothing is mended unasked.
import { html } from "lit-html";
import { t } from "../text/say.js";

/** What was meant instead. @param {any} entry @param {import("../judge.js").Asked} one */
export const meantEntry = (entry, one) => ({ ...entry, unit: one.meant_unit, ...(one.meant ? { typed: one.meant } : {}) });

/** @param {any} program @param {import("../judge.js").Asked} one @param {{change: () => void, keep: () => void, field?: string}} does field: id of its first input */
export function askCard(program, one, { change, keep, field }) {
  const shown = (/** @type {any} */ { typed, unit }) => `${[typed].flat().join("; ")}\u00a0${program.units[unit].shown}`;
  // Where no other figure offers itself the way is back to the field, with what was typed still in it.
  const none = one.near && !one.meant;
  return html`<p class="told care strong" role="alert">${one.say}</p>
    <button type="button" class="primary" @click=${none ? () => /** @type {HTMLElement | null} */ (document.querySelector(`input[id^="${field}"]`))?.focus() : change}>${none ? t("slip.field") : t("slip.change", { x: shown(meantEntry(one, one)) })}</button>
    <button type="button" class="second" @click=${keep}>${t("slip.keep", { x: shown(one) })}</button>`;
}
