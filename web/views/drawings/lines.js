// What every drawing is made of: places on a circle, arcs with an arrowhead, a hatched disc. Pure numbers; 0° is up, clockwise is positive.
import { svg } from "lit-html";

const round = (/** @type {number} */ x) => Math.round(x * 100) / 100;

/** @param {number} cx @param {number} cy @param {number} r @param {number} deg @returns {[number, number]} */
export function place(cx, cy, r, deg) {
  const a = ((deg - 90) * Math.PI) / 180;
  return [round(cx + r * Math.cos(a)), round(cy + r * Math.sin(a))];
}

/** The path of an arc; clockwise where `to` is more than `from`. At most one turn. @param {number} cx @param {number} cy @param {number} r @param {number} from @param {number} to */
export function arc(cx, cy, r, from, to) {
  const span = Math.max(-359.9, Math.min(359.9, to - from));
  const side = span < 0 ? 0 : 1;
  return `M${place(cx, cy, r, from)}A${r} ${r} 0 ${Math.abs(span) > 180 ? 1 : 0} ${side} ${place(cx, cy, r, from + span)}`;
}

/** The arrowhead at the end of an arc. @param {number} cx @param {number} cy @param {number} r @param {number} from @param {number} to @param {number} size */
export function head(cx, cy, r, from, to, size) {
  const lead = (Math.sign(to - from) * size * 75) / r;
  return `M${place(cx, cy, r, to + lead)}L${place(cx, cy, r + size / 2, to)}L${place(cx, cy, r - size / 2, to)}Z`;
}

/** A turn: the arc and its head. @param {number} cx @param {number} cy @param {number} r @param {number} from @param {number} to @param {number} [size] */
export const turn = (cx, cy, r, from, to, size = 22) =>
  svg`<path class="turn wide" d=${arc(cx, cy, r, from, to)}></path><path class="arrowhead" d=${head(cx, cy, r, from, to, size)}></path>`;

/** Slanted strokes across a disc, the cut face of a shaft. @param {number} cx @param {number} cy @param {number} r @param {number} [pitch] */
export function discHatch(cx, cy, r, pitch = 9) {
  let path = "";
  for (let off = pitch / 2 - Math.ceil(r / pitch) * pitch; off < r; off += pitch) {
    const half = Math.sqrt(Math.max(0, r * r - off * off)) * Math.SQRT1_2;
    const mid = off * Math.SQRT1_2;
    if (half > 1) path += `M${round(cx + mid - half)} ${round(cy + mid + half)}L${round(cx + mid + half)} ${round(cy + mid - half)}`;
  }
  return path;
}

/** A shaft seen from its end. @param {number} cx @param {number} cy @param {number} r */
export const shaft = (cx, cy, r) =>
  svg`<circle class="blank outline" cx=${cx} cy=${cy} r=${r}></circle><path class="hatch" d=${discHatch(cx, cy, r)}></path>`;

/** The sheet of a drawing. What it shows is said in words beside it. @param {number} height @param {any} inside @param {string} [kind] */
export const board = (height, inside, kind = "") =>
  svg`<svg class=${`drawing live ${kind}`} viewBox="0 0 360 ${height}" aria-hidden="true" focusable="false">${inside}</svg>`;
