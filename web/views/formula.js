// Trees drawn as elements: set formulas and drawings. Nothing here is markup in a string, so nothing has to be trusted.
import { html } from "lit-html";

/** @type {Record<string, string>} */
const SPACES = { svg: "http://www.w3.org/2000/svg", math: "http://www.w3.org/1998/Math/MathML" };

/** @param {import("../marks.js").Tree} tree @param {string} [space] of the element around it @returns {Node} */
export function drawn(tree, space) {
  if (typeof tree === "string") return document.createTextNode(tree);
  const [head, ...rest] = tree;
  const [named, form] = head.split("@");
  const [tag, name] = named.split(".");
  const own = SPACES[tag] ?? space;
  const made = own ? document.createElementNS(own, tag) : document.createElement(tag);
  const first = rest[0];
  const marks = first && typeof first === "object" && !Array.isArray(first) ? rest.shift() : { class: name, form };
  for (const [key, value] of Object.entries(marks)) if (value) made.setAttribute(key, value);
  made.append(...rest.map((/** @type {any} */ one) => drawn(one, own)));
  return made;
}

/** A set formula; who listens to the page hears the text. @param {string} text @param {import("../marks.js").Tree} tree */
export const formulaView = (text, tree) =>
  html`<span class="formula" role="math" aria-label=${text}>${drawn(tree)}</span>`;
