// A number that looks like a slip of its unit: the question, and its two answers at the thumb. Nothing is mended unasked.
import { html } from "lit-html";
import { t } from "../text/say.js";

/** @param {any} program @param {import("../judge.js").Asked} one @param {{change: () => void, keep: () => void}} does */
export function askCard(program, one, { change, keep }) {
  const shown = (/** @type {string} */ unit) => `${[one.typed].flat().join("; ")}\u00a0${program.units[unit].shown}`;
  return html`<p class="told care strong" role="alert">${one.say}</p>
    <button type="button" class="primary" @click=${change}>${t("slip.change", { x: shown(one.meant_unit) })}</button>
    <button type="button" class="second" @click=${keep}>${t("slip.keep", { x: shown(one.unit) })}</button>`;
}
