// What must be read or filled in and has not been on the screen yet: until it has, the act at the thumb is to go on down to it.
import { html } from "lit-html";
import { t } from "../text/say.js";

/** @typedef {import("../app.js").Phone} Phone */

/** Cautions; of a step also its number, its drawing and every field that must be filled in. */
export const CAUTIONS = ".page .signal";
export const STEP = `${CAUTIONS}, .page .big, .page .shown, .page .field:not(.may, details *, .card *)`;

/** Whose lower edge has been on the screen. @type {WeakSet<Element>} */
const seen = new WeakSet();

const box = (/** @type {string} */ what) => document.querySelector(what)?.getBoundingClientRect();

/** To where the page is in sight: to the foot, unless that stands beside the page. */
function edge() {
  const foot = box(".foot");
  return foot && foot.width > innerWidth * 0.7 ? foot.top : innerHeight;
}

/** After every drawing, scroll and turn of the phone. @param {Phone} phone */
export function lookBelow(phone) {
  const rest = phone.must ? [...document.querySelectorAll(phone.must)].filter((one) => !seen.has(one) && one.getClientRects().length) : [];
  if (rest.length) {
    const low = scrollY + innerHeight >= document.documentElement.scrollHeight - 2 ? Infinity : edge() + 4;
    for (const one of rest) if (one.getBoundingClientRect().bottom <= low) seen.add(one);
  }
  const below = rest.some((one) => !seen.has(one));
  if (below === phone.below.value) return;
  const held = document.activeElement?.closest(".foot");
  if (!below) phone.deafUntil = performance.now() + 400; // a second tap on "More below" is no answer
  phone.below.value = below;
  if (held) /** @type {HTMLElement | null} */ (document.querySelector(".foot .primary"))?.focus({ preventScroll: true });
}

/** The act at the thumb, or the way down to what has not been seen. @param {Phone} phone @param {any} foot */
export const footOf = (phone, foot) =>
  phone.must && phone.below.value
    ? html`<button class="primary more" @click=${() => scrollBy(0, (edge() - (box(".head")?.bottom ?? 0)) * 0.85)}>${t("more.below")}</button>`
    : foot;
