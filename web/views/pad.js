// The number pad: digits, both decimal marks, fraction bar, dash, unit, at the thumb and large enough for a glove.
import { html } from "lit-html";
import { t } from "../text/say.js";

const ROWS = [["1", "2", "3", "back"], ["4", "5", "6", "-"], ["7", "8", "9", "/"], [",", "0", ".", "unit"]];

/** The keys row by row; back, dash, bar and unit stand at the thumb of the hand that holds the phone.
 * @param {string} hand @returns {string[]} */
export const keysFor = (hand) => ROWS.flatMap((row) => (hand === "left" ? [...row.slice(3), ...row.slice(0, 3)] : row));

/** @typedef {{id: string, label: string, unit: string, other: string | null, swap: () => void}} PadFor */

/** Keys act on the field that was focused; a hardware keyboard types into the same field.
 * @param {import("../app.js").Phone} phone */
export function pad(phone) {
  const open = phone.pad.value;
  if (!open) return null;
  const typed = /** @type {HTMLInputElement | null} */ (document.getElementById(open.id))?.value;
  // Said again on top of the pad, for the eye: a large glove or a low screen hides the field itself.
  return html`<p class="typed" aria-hidden="true"><span>${open.label}</span><b>${typed} ${typed ? open.unit : ""}</b></p>
  <div class="pad" role="group" aria-label=${t("pad.name")} @pointerdown=${keepFocus}>
    ${keysFor(phone.settings.all.value.hand).map((key) => {
      if (key === "unit")
        return html`<button type="button" class="told-unit" aria-label=${open.other ? t("pad.unit", { unit: open.unit, other: open.other }) : open.unit} aria-disabled=${open.other ? "false" : "true"} @click=${() => open.other && open.swap()}>${open.unit}</button>`;
      if (key === "back")
        return html`<button type="button" aria-label=${t("pad.back")} @click=${() => press(open.id, "back")}>⌫</button>`;
      return html`<button type="button" aria-label=${NAMES[key] ? t(/** @type {string} */ (NAMES[key])) : key} @click=${() => press(open.id, key)}>${key}</button>`;
    })}
    <button type="button" class="finish" @click=${() => finish(phone, open.id)}>${t("pad.finish")}</button>
  </div>`;
}

/** @type {Record<string, string>} */
const NAMES = { "-": "pad.dash", "/": "pad.bar", ",": "pad.comma", ".": "pad.point" };

/** @param {Event} event */
const keepFocus = (event) => event.preventDefault();

/** @param {string} id @param {string} key */
function press(id, key) {
  const input = /** @type {HTMLInputElement | null} */ (document.getElementById(id));
  if (!input) return;
  if (document.activeElement !== input) input.focus({ preventScroll: true });
  const from = input.selectionStart ?? input.value.length;
  const to = input.selectionEnd ?? from;
  if (key === "back") input.setRangeText("", from === to ? Math.max(0, from - 1) : from, to, "end");
  else input.setRangeText(key, from, to, "end");
  input.dispatchEvent(new Event("input", { bubbles: true }));
}

/** Done: on to the next empty number of the same list, else close. @param {import("../app.js").Phone} phone @param {string} id */
function finish(phone, id) {
  const here = /** @type {HTMLInputElement | null} */ (document.getElementById(id));
  const list = [...(here?.closest("fieldset")?.querySelectorAll("input[data-pad]") ?? [])];
  const next = /** @type {HTMLInputElement | undefined} */ (
    list
      .slice(list.indexOf(/** @type {Element} */ (here)) + 1)
      .find((input) => !(/** @type {HTMLInputElement} */ (input).value))
  );
  if (next && here?.value) {
    next.focus();
    return;
  }
  phone.pad.value = null;
  here?.blur();
  // The verdict is what the person wants to see next.
  requestAnimationFrame(() => document.querySelector(".verdict, .foot .primary")?.scrollIntoView({ block: "nearest" }));
}
