// Formulas set as an engineer writes them: MathML Core from the compiled tree, the twin of calc/mathml.py.
// It makes trees (see marks.js); views/formula.js draws them.
import { build, Refuse } from "./calc.js";
import { ATOM, listed, measured, number, RANK, rank, setSymbol, single } from "./marks.js";
import { marked, sayValue, sentence, show, shownUnit, specOf, wordOf, wordsOf } from "./showing.js";
import { formula, taken } from "./working.js";

/** @typedef {any[]} Expr @typedef {import("./marks.js").Tree} Tree */

/** @type {Record<string, string>} */
const SIGNS = { "+": "+", "-": "−", "*": "·", "<": "<", "<=": "≤", ">": ">", ">=": "≥", "==": "=", "!=": "≠" };
/** @type {Record<string, string>} */
const AROUND = { abs: "||", floor: "⌊⌋", ceil: "⌈⌉" };
/** @type {Record<string, string>} */
const NAMED = { log: "ln", least: "min", most: "max" };

/** Sets the expressions of one sheet: with symbols, or with numbers put in. */
class Setter {
  /** @param {any} program @param {string} sheet @param {string} lang @param {string} system @param {Record<string, any> | null} values */
  constructor(program, sheet, lang, system, values) {
    this.program = program;
    this.sheet = sheet;
    this.lang = lang;
    this.system = system;
    this.values = values;
  }

  /** @param {string} key */
  say(key) {
    return sentence(this.program, key, this.lang);
  }

  /** @param {string} name */
  spec(name) {
    return specOf(this.program, this.sheet, name) ?? {};
  }

  /** Words and pieces of mathematics in a row that may break between them. @param {Expr} expr @param {number} [least] @returns {Tree[]} */
  flow(expr, least = 0) {
    const [head] = expr;
    if (head === "if") return [this.cases(expr)];
    if (head === "set_in") return this.flow(expr[1], least);
    if (head === "and" || head === "or") {
      const inner = [
        ...this.flow(expr[1], head === "and" ? 1 : 0),
        ` ${this.say(head)} `,
        ...this.flow(expr[2], 1),
      ];
      return head === "or" && least > 0 ? ["(", ...inner, ")"] : inner;
    }
    if (head === "not") return [`${this.say("not")} `, ...this.flow(expr[1], 1)];
    if (head === "cmp")
      return [...this.flow(expr[2]), ["math", ["mo@infix", SIGNS[expr[1]]]], ...this.flow(expr[3])];
    if (head === "eq" || head === "ne")
      return [...this.flow(expr[1]), head === "eq" ? " = " : " ≠ ", ...this.flow(expr[2])];
    if (head === "in")
      return [
        ...this.flow(expr[1]),
        ` ${this.say("in")} `,
        expr[2].map((/** @type {string} */ one) => this.word(one)).join(", "),
      ];
    if (head === "given" || head === "by_maker") return [...this.named(expr[1]), ` ${this.say(head)}`];
    if (head === "lookup" || head === "has") return this.look(expr);
    if (head === "word") return [this.word(expr[1])];
    if (head === "yes" || head === "none")
      return [this.say(head === "none" ? "not_given" : expr[1] ? "yes" : "no")];
    if (head === "get" && this.wordy(expr[1])) return this.values ? [this.said(expr[1])] : this.named(expr[1]);
    return this.pieces(expr);
  }

  /** @param {Expr} whole @returns {Tree} */
  cases(whole) {
    const rows = [];
    let expr = whole;
    for (; expr[0] === "if"; expr = expr[3])
      rows.push([
        "span.case",
        ["span", ...this.flow(expr[2])],
        ["span", ...(listed(expr) ? [this.say("if_listed")] : [`${this.say("if")} `, ...this.flow(expr[1])])],
      ]);
    rows.push(["span.case", ["span", ...this.flow(expr)], ["span", this.say("else")]]);
    return ["span.cases", ...rows];
  }

  /** Whether a quantity stands in the formula in words. @param {string} name */
  wordy(name) {
    const spec = this.spec(name);
    return spec.kind === "word" || spec.kind === "yesno" || "list" in spec || !(this.values || spec.symbol);
  }

  /** @param {string} name @returns {Tree[]} */
  named(name) {
    const spec = this.spec(name);
    if (spec.symbol) return [["math", setSymbol(spec.symbol)]];
    return [["span.q", wordsOf(spec.label, this.lang) || name]];
  }

  /** @param {string} name */
  said(name) {
    return sayValue(
      this.program,
      specOf(this.program, this.sheet, name),
      this.values?.[name] ?? null,
      this.lang,
      this.system,
    );
  }

  /** A chosen word by the label the reader chose it by. @param {string} word */
  word(word) {
    const one = this.program.sheets[this.sheet];
    for (const spec of [...one.inputs, ...one.lines])
      for (const choice of spec.choices ?? [])
        if (choice.word === word) return `“${wordsOf(choice.label, this.lang)}”`;
    return `“${word}”`;
  }

  /** @param {Expr} expr @returns {Tree[]} */
  look(expr) {
    const table = this.program.tables[expr[1]];
    const title = wordsOf(table.title, this.lang).split(":")[0];
    const said = (/** @type {Expr} */ key, /** @type {number} */ at) =>
      key[0] === "word" ? [`“${wordOf(table.keys[at], key[1], this.lang).replaceAll("_", " ")}”`] : this.flow(key);
    return [
      `${String(expr[2]).replaceAll("_", " ")} [“${title}”: `,
      ...expr[3].flatMap((/** @type {Expr} */ key, /** @type {number} */ at) => [
        ...(at ? [", "] : []),
        ...said(key, at),
      ]),
      expr[0] === "has" ? `] ${this.say("in_table")}` : "]",
    ];
  }

  /** One <math> a term, so that a narrow screen can break the line. @param {Expr} expr @returns {Tree[]} */
  pieces(expr) {
    const [head] = expr;
    if (head === "lookup") return this.look(expr);
    // too wide for one piece: it stands in rows of its own
    if (head === "if") return [this.cases(expr)];
    if (head === "+" || head === "-" || (head === "*" && rank(expr[1]) >= 6)) {
      const left =
        head !== "*" || expr[1][0] === "*" ? this.pieces(expr[1]) : [["math", this.inside(expr[1], 6)]];
      const least = /** @type {number} */ (RANK[head]) + 1;
      const sign = ["mo@infix", SIGNS[head]];
      if (expr[2][0] === "if") return [...left, " ", ["math", sign], this.cases(expr[2])];
      return [...left, " ", ["math", sign, this.inside(expr[2], least)]];
    }
    return [["math", this.node(expr)]];
  }

  /** Set in a bigger formula; in brackets where it would be read wrongly without. @param {Expr} expr @param {number} least @returns {Tree} */
  inside(expr, least) {
    const node = this.node(expr);
    const bare = least < ATOM && !this.belowZero(expr, least);
    const whole = !["/", "**", "get", "get_in", "num"].includes(expr[0]);
    if (rank(expr) >= least && (bare || whole || single(node))) return node;
    return ["mrow", ["mo", "("], node, ["mo", ")"]];
  }

  /** @param {Expr} expr @param {number} least */
  belowZero(expr, least) {
    if (!this.values || least < 6 || (expr[0] !== "get" && expr[0] !== "get_in")) return false;
    const value = this.values[expr[1]];
    return typeof value === "number" && value < 0;
  }

  /** One element of mathematics. @param {Expr} expr @returns {Tree} */
  node(expr) {
    const [head] = expr;
    if (head === "get" || head === "get_in") return this.quantity(expr);
    if (head === "num") return this.number(expr);
    if (head === "set_in") return this.node(expr[1]);
    if (head === "neg") return ["mrow", ["mo@prefix", "−"], this.inside(expr[1], 6)];
    if (head === "/") return ["mfrac", this.node(expr[1]), this.node(expr[2])];
    if (head === "**") return ["msup", this.inside(expr[1], ATOM), this.node(expr[2])];
    if (head === "+" || head === "-" || head === "*") {
      const least = /** @type {number} */ (RANK[head]);
      return ["mrow", this.inside(expr[1], least), ["mo@infix", SIGNS[head]], this.inside(expr[2], least + 1)];
    }
    if (head === "call") return this.call(expr);
    if (head === "if") return this.choice(expr);
    if (head === "lookup") return this.looked(expr);
    return ["mtext", formula(this.program, this.sheet, expr, this.lang, this.system, this.values)];
  }

  /** @param {Expr} expr @returns {Tree} */
  call(expr) {
    const name = expr[1];
    const args = expr.slice(2).map((/** @type {Expr} */ one) => this.node(one));
    if (name === "sqrt") return ["mrow.root", args[0]];
    const around = AROUND[name];
    if (around) return ["mrow", ["mo", around[0]], args[0], ["mo", around[1]]];
    const list = args.flatMap((one, at) => (at ? [["mo", ";"], one] : [one]));
    return ["mrow", ["mi.fn", NAMED[name] ?? name], ["mo", "("], ...list, ["mo", ")"]];
  }

  /** @param {Expr} whole @returns {Tree} */
  choice(whole) {
    const rows = [];
    let expr = whole;
    for (; expr[0] === "if"; expr = expr[3])
      rows.push([
        "mtr",
        ["mtd", this.node(expr[2])],
        ["mtd", ["mtext", `${this.say("if")}\u00a0`], this.node(expr[1])],
      ]);
    rows.push(["mtr", ["mtd", this.node(expr)], ["mtd", ["mtext", this.say("else")]]]);
    return ["mtable.cases", ...rows];
  }

  /** @param {Expr} expr @returns {Tree} */
  quantity(expr) {
    const name = expr[1];
    const spec = this.spec(name);
    if (!this.values)
      return spec.symbol ? setSymbol(spec.symbol) : ["mtext.q", wordsOf(spec.label, this.lang) || name];
    const value = this.values[name] ?? null;
    if (expr[0] === "get_in" && value !== null) return measured(show(this.program, value, expr[2], "as_is", undefined, this.lang));
    return typeof value === "number" ? measured(this.said(name)) : ["mtext", this.said(name)];
  }

  /** @param {Expr} expr @returns {Tree} */
  number(expr) {
    if (expr.length < 4) return ["mn", show(this.program, expr[1], "1", "as_is", undefined, this.lang)];
    if (expr[3] === "pi") return ["mi", "π"];
    const shown = expr[2] ? shownUnit(this.program, expr[2], this.lang) : "";
    return number(marked(this.program, String(expr[3]), this.lang), shown);
  }

  /** A figure out of a table: the figure itself among numbers, its name among symbols. @param {Expr} expr @returns {Tree} */
  looked(expr) {
    const column = this.program.tables[expr[1]].values[expr[2]];
    if (this.values && "unit" in column) {
      let found = null;
      try {
        found = build(expr, this.program)(this.values);
      } catch (error) {
        if (!(error instanceof Refuse)) throw error;
      }
      if (typeof found === "number") return measured(show(this.program, found, column.unit, this.system, undefined, this.lang));
    }
    return ["mtext.q", String(expr[2]).replaceAll("_", " ")];
  }
}

/** A compiled expression in symbols; with `values`, the numbers put in and only the branches taken.
 * @param {any} program @param {string} sheet @param {Expr} expr @param {string} lang @param {string} system @param {Record<string, any> | null} [values] @returns {Tree} */
export const typeset = (program, sheet, expr, lang, system, values = null) => [
  "span.set",
  ...new Setter(program, sheet, lang, system, values).flow(values ? taken(program, expr, values) : expr),
];

/** The values of a result as `typeset` takes them. */
export { withMakers as putIn } from "./working.js";
