// The drawing of a sheet, and what its symbols mean.
import { html, nothing } from "lit-html";
import { symbol } from "../marks.js";
import { words } from "../text/say.js";
import { drawn } from "./formula.js";

/** The sheet's drawing with what its symbols mean. @param {any} bundle @param {any} sheet */
export function figure(bundle, sheet) {
  const drawing = bundle.drawings?.[sheet.figure];
  if (!drawing) return nothing;
  const [tag, marks, ...shapes] = drawing.tree;
  const known = [...sheet.inputs, ...sheet.lines].filter((one) => one.symbol && symbols(drawing.tree).has(one.symbol));
  return html`<figure>${drawn([tag, { ...marks, "aria-label": words(drawing.title) }, ...shapes])}
    <figcaption class="small">${words(drawing.desc)}</figcaption>
    ${known.length ? html`<dl class="legend">${known.map((one) => html`<dt>${drawn(symbol(one.symbol))}</dt><dd>${words(one.label)}</dd>`)}</dl>` : nothing}</figure>`;
}

/** @param {any} tree @returns {Set<string>} */
function symbols(tree) {
  if (!Array.isArray(tree)) return new Set();
  if (tree[0] === "text")
    return new Set([tree.slice(2).map((/** @type {any} */ one) => (Array.isArray(one) ? one[2] : one)).join("_")]);
  return new Set(tree.flatMap((one) => [...symbols(one)]));
}
