// The smallest marks of a set formula: a symbol, a figure with its unit, a number as it was written. The twin of
// calc/marks.py. A tree is a text or [tag, ...trees]; `tag.name` carries a class, `tag@form` the form of an operator.

/** @typedef {string | any[]} Tree */

const NBSP = "\u00a0";

/** Whether a power can stand on it without brackets. @param {Tree} node */
export const single = (node) => ["mi", "mn", "msub", "mtext", "mtext.q"].includes(/** @type {string} */ (node[0]));

/** A figure with its unit upright behind it. @param {string} text @returns {Tree} */
export function measured(text) {
  const at = text.indexOf(NBSP);
  return at < 0 ? ["mn", text] : ["mrow", ["mn", text.slice(0, at)], ["mtext", text.slice(at)]];
}

/** F_M, d_2, μ_t, d′: a letter or word with at most one subscript. @param {string} text @returns {Tree} */
export function setSymbol(text) {
  const [base = "", below] = text.split("_");
  /** @type {Tree} */
  let letter = ["mi", base.replace(/′$/, "")];
  if (base.endsWith("′")) letter = ["msup", letter, ["mo", "′"]];
  return below ? ["msub", letter, [/^[0-9]+$/.test(below) ? "mn" : "mtext", below]] : letter;
}

/** A symbol alone, as legends and headings write it. @param {string} text @returns {Tree} */
export const symbol = (text) => (text ? ["math", setSymbol(text)] : "");

/** A number as the sheet writes it, 12e-6 with its power of ten, and its unit as shown.
 * @param {string} written @param {string} shown @returns {Tree} */
export function number(written, shown) {
  const [figure = "", tens] = written.toLowerCase().split("e");
  if (!tens) return measured(`${figure.replaceAll("-", "−")}${shown === "" || shown === "°" ? "" : NBSP}${shown}`);
  const power = ["msup", ["mn", "10"], ["mn", tens.replace(/^\+/, "").replaceAll("-", "−")]];
  return ["mrow", ["mn", figure], ["mo@infix", "×"], power, ...(shown ? [["mtext", NBSP + shown]] : [])];
}

/** A fraction, a root and a power hold together by their shape. @type {Record<string, number>} */
export const RANK = { "+": 5, "-": 5, neg: 5, "*": 6 };
export const ATOM = 9;
const LOGIC = ["and", "or", "not", "cmp", "eq", "ne", "in", "given", "by_maker", "has", "yes", "none", "word"];

/** @param {any[]} expr @returns {number} */
export function rank(expr) {
  if (expr[0] === "set_in") return rank(expr[1]);
  if (expr[0] === "num" && expr.length === 4 && String(expr[3]).toLowerCase().includes("e")) return 6;
  return LOGIC.includes(expr[0]) ? 0 : (RANK[expr[0]] ?? ATOM);
}

/** A choice that only asks whether the table has the figure it takes. @param {any[]} expr */
export const listed = ([, asked, value]) =>
  asked[0] === "has" && value[0] === "lookup" && JSON.stringify(asked.slice(1)) === JSON.stringify(value.slice(1));
