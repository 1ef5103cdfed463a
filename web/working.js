// Show the working, from the compiled tree itself: formula, the numbers put in, the result, its source; and the words
// of checks and refusals. The twin of calc/workings.py, from the same tree and the same sentences.
import { Refuse } from "./functions.js";
import { badInput } from "./inputs.js";
import { marked, sayValue, sentence, show, shownUnit, specOf, wordOf, wordsOf } from "./showing.js";
import { build } from "./walking.js";

/** @typedef {any[]} Expr */

/** @type {Record<string, string>} */
const SIGNS = {
  "+": "+",
  "-": "−",
  "*": "×",
  "/": "/",
  "**": "^",
  "<": "<",
  "<=": "≤",
  ">": ">",
  ">=": "≥",
  "==": "=",
  "!=": "≠",
};
/** @type {Record<string, number>} */
const RANK = {
  if: 0,
  or: 1,
  and: 2,
  not: 3,
  cmp: 4,
  eq: 4,
  ne: 4,
  in: 4,
  "+": 5,
  "-": 5,
  "*": 6,
  "/": 6,
  neg: 7,
  "**": 8,
};
const BELOW_ATOM = 9;

/** Writes a tree as text: with names, or with numbers put in (then only the branch that was taken). */
class Writer {
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

  /** @param {Expr} expr @param {number} least @returns {string} */
  inside(expr, least) {
    const text = this.write(expr);
    return (RANK[expr[0]] ?? BELOW_ATOM) < least ? `(${text})` : text;
  }

  /** @param {string} name @param {string} [unit] */
  name(name, unit) {
    if (!this.values) return this.symbol(name);
    const value = this.values[name] ?? null;
    if (unit !== undefined && value !== null) return show(this.program, value, unit, "as_is", undefined, this.lang);
    const text = sayValue(this.program, specOf(this.program, this.sheet, name), value, this.lang, this.system);
    return text.startsWith("−") ? `(${text})` : text;
  }

  /** What a formula calls a quantity: its symbol, else its name in words. @param {string} name @returns {string} */
  symbol(name) {
    return specOf(this.program, this.sheet, name)?.symbol ?? name.replaceAll("_", " ");
  }

  /** @param {Expr} expr @returns {string} */
  write(expr) {
    const [head] = expr;
    if (head === "num") {
      if (expr.length === 4) {
        const shown = expr[2] ? shownUnit(this.program, expr[2], this.lang) : "";
        return `${marked(this.program, String(expr[3]), this.lang)}${shown === "" || shown === "°" ? "" : "\u00a0"}${shown}`;
      }
      return show(this.program, expr[1], "1", "as_is", undefined, this.lang);
    }
    if (head === "word") return `“${expr[1]}”`;
    if (head === "yes") return this.say(expr[1] ? "yes" : "no");
    if (head === "none") return "—";
    if (head === "get") return this.name(expr[1]);
    if (head === "get_in") return this.name(expr[1], expr[2]);
    if (head === "set_in") return this.inside(expr[1], 0);
    if (head === "given" || head === "by_maker") return `${this.symbol(expr[1])} ${this.say(head)}`;
    if (head === "lookup" || head === "has") return this.look(expr);
    if (head === "call") {
      const args = expr
        .slice(2)
        .map((one) => this.inside(one, 0))
        .join("; ");
      return expr[1] === "sqrt" ? `√(${args})` : `${expr[1]}(${args})`;
    }
    if (head === "if")
      return `${this.inside(expr[2], 1)} ${this.say("if")} ${this.inside(expr[1], 1)}, ${this.say("else")} ${this.inside(expr[3], 0)}`;
    return this.operator(expr);
  }

  /** @param {Expr} expr @returns {string} */
  operator(expr) {
    const head = /** @type {string} */ (expr[0]);
    const rank = /** @type {number} */ (RANK[head]);
    if (head === "neg") return `−${this.inside(expr[1], rank)}`;
    if (head === "not") return `${this.say("not")} ${this.inside(expr[1], rank)}`;
    if (head === "cmp") return `${this.inside(expr[2], rank + 1)} ${SIGNS[expr[1]]} ${this.inside(expr[3], rank + 1)}`;
    if (head === "eq" || head === "ne")
      return `${this.inside(expr[1], rank + 1)} ${head === "eq" ? "=" : "≠"} ${this.inside(expr[2], rank + 1)}`;
    if (head === "in")
      return `${this.inside(expr[1], rank + 1)} ${this.say("in")} ${expr[2].map((/** @type {string} */ one) => `“${one}”`).join(", ")}`;
    if (head === "and" || head === "or")
      return `${this.inside(expr[1], rank)} ${this.say(head)} ${this.inside(expr[2], rank)}`;
    // a - (b + c), a / (b * c) keep their brackets; powers bind to the right
    const [left, right] = head === "**" ? [rank + 1, rank] : [rank, rank + 1];
    const gap = head === "**" ? "" : " ";
    return `${this.inside(expr[1], left)}${gap}${SIGNS[head]}${gap}${this.inside(expr[2], right)}`;
  }

  /** @param {Expr} expr */
  look(expr) {
    const keys = expr[3].map((/** @type {Expr} */ one) => this.inside(one, 0)).join(", ");
    const text = `${String(expr[2]).replaceAll("_", " ")} [“${wordsOf(this.program.tables[expr[1]].title, this.lang)}”: ${keys}]`;
    return expr[0] === "has" ? `${text} ${this.say("in_table")}` : text;
  }
}

/** The expression with every choice settled: only the branches that were taken.
 * @param {any} program @param {any} whole @param {Record<string, any>} values @returns {any} */
export function taken(program, whole, values) {
  let expr = whole;
  if (!Array.isArray(expr) || !expr.length) return expr;
  while (expr[0] === "if") {
    let chosen;
    try {
      chosen = build(expr[1], program)(values);
    } catch (error) {
      if (error instanceof Refuse) return expr;
      throw error;
    }
    if (chosen === null) return expr;
    expr = chosen ? expr[2] : expr[3];
  }
  return expr.map((/** @type {any} */ one) => taken(program, one, values));
}

/** A compiled expression as text; with `values`, the numbers put in.
 * @param {any} program @param {string} sheet @param {Expr} expr @param {string} lang @param {string} system @param {Record<string, any> | null} [values] */
export const formula = (program, sheet, expr, lang, system, values = null) =>
  new Writer(program, sheet, lang, system, values).inside(values ? taken(program, expr, values) : expr, 0);

/** @param {any} expr @param {string[]} found @returns {string[]} */
function tablesIn(expr, found) {
  if (Array.isArray(expr) && expr.length) {
    if (expr[0] === "lookup" && !found.includes(expr[1])) found.push(expr[1]);
    for (const one of expr) tablesIn(one, found);
  }
  return found;
}

/** Every line that has a value, in order.
 * @param {any} program @param {string} sheet @param {any} result @param {Record<string, any>} _entries @param {string} [lang] @param {string} [system]
 * @returns {{name: string, label: string, symbol: string, formula: string, put_in: string, shown: string, source: string, certainty: string, note: string, default: string}[]} */
export function working(program, sheet, result, _entries, lang = "en", system = "metric") {
  const values = withMakers(result);
  return program.sheets[sheet].lines
    .filter((/** @type {any} */ line) => (values[line.name] ?? null) !== null)
    .map((/** @type {any} */ line) => lineRow(program, sheet, line, values, result.defaults, lang, system));
}

/** @param {any} result @returns {Record<string, any>} */
export const withMakers = (result) => ({
  ...result.values,
  ...Object.fromEntries(Object.keys(result.defaults).map((name) => [`by_maker:${name}`, true])),
});

/** One row of the working: a line of the sheet, or of a table's row with that row's values put in.
 * @param {any} program @param {string} sheet @param {any} line @param {Record<string, any>} values @param {Record<string, any>} defaults @param {string} lang @param {string} system */
function lineRow(program, sheet, line, values, defaults, lang, system) {
  const byMaker = line.name in defaults;
  const fallback = defaults[line.name] ?? null;
  const source = program.sheets[sheet].sources[line.source];
  let [text, certainty] = source ? [source.text, source.certainty] : ["", ""];
  if (line.expr)
    text = [
      text,
      ...tablesIn(taken(program, line.expr, values), []).map((one) =>
        sentence(program, "from_table", lang, { table: wordsOf(program.tables[one].title, lang) }),
      ),
    ].join("; ");
  if (byMaker) [text, certainty] = [sentence(program, "maker_source", lang), "maker"];
  return {
    name: line.name,
    label: wordsOf(line.label, lang),
    symbol: line.symbol ?? "",
    formula: line.expr ? formula(program, sheet, line.expr, lang, system) : "",
    put_in: line.expr && !(byMaker && fallback === null) ? formula(program, sheet, line.expr, lang, system, values) : "",
    shown: sayValue(program, line, values[line.name], lang, system),
    source: text,
    certainty,
    note: wordsOf(line.note, lang),
    default: byMaker && fallback !== null ? sayValue(program, line, fallback, lang, system) : "",
  };
}

/** The sections of a sheet that ran over a table, in words: one list of rows each, in ranked order.
 * @param {any} program @param {string} sheet @param {any} result @param {string} [lang] @param {string} [system]
 * @returns {{name: string, label: string, columns: string[], rows: {key: string, label: string, place: number | null, cells: string[], said: {level: string, message: string}[], refusal: string, lines: ReturnType<typeof lineRow>[]}[]}[]} */
export function overWorking(program, sheet, result, lang = "en", system = "metric") {
  const base = withMakers(result);
  return (result.over ?? []).map((/** @type {any} */ told) => {
    const section = program.sheets[sheet].over.find((/** @type {any} */ one) => one.name === told.name);
    const line = (/** @type {string} */ name) => section.lines.find((/** @type {any} */ one) => one.name === name);
    const rows = told.rows.map((/** @type {any} */ row) => {
      const values = { ...base, [section.row.name]: row.key, ...row.values };
      return {
        key: row.key,
        label: sayValue(program, section.row, row.key, lang, system),
        place: row.place,
        cells: section.shows.map((/** @type {string} */ name) =>
          sayValue(program, line(name), row.values[name], lang, system),
        ),
        said: row.checks.map((/** @type {any} */ { name, level }) => {
          const check = section.checks.find((/** @type {any} */ one) => one.name === name);
          return { level, message: filled(program, sheet, wordsOf(check.message, lang), values, lang, system) };
        }),
        refusal: row.refusal ? sayRefused(program, sheet, row.refusal, values, lang, system) : "",
        lines: section.lines
          .filter((/** @type {any} */ one) => row.values[one.name] !== null)
          .map((/** @type {any} */ one) => lineRow(program, sheet, one, values, {}, lang, system)),
      };
    });
    const columns = section.shows.map((/** @type {string} */ name) => wordsOf(line(name).label, lang));
    return { name: section.name, label: wordsOf(section.label, lang), columns, rows };
  });
}

/** The message of a check, its {names} filled with values in the user's units.
 * @param {any} program @param {string} sheet @param {string} name @param {any} result @param {Record<string, any>} _entries @param {string} [lang] @param {string} [system] @returns {string} */
export function sayCheck(program, sheet, name, result, _entries, lang = "en", system = "metric") {
  const check = program.sheets[sheet].checks.find((/** @type {any} */ one) => one.name === name);
  if (!check) throw new Error(`no check ${name}`);
  const text = filled(program, sheet, wordsOf(check.message, lang), result.values, lang, system);
  return check.plant ? sentence(program, "plant_check", lang, { text }) : text;
}

/** @param {any} program @param {string} sheet @param {string} message @param {Record<string, any>} values @param {string} lang @param {string} system */
function filled(program, sheet, message, values, lang, system) {
  let text = message;
  for (const [key, value] of Object.entries(values))
    if (text.includes(`{${key}}`))
      text = text.replaceAll(`{${key}}`, () => sayValue(program, specOf(program, sheet, key), value, lang, system));
  return text;
}

/** Why a sheet refused, in a sentence that says what it covers or needs.
 * @param {any} program @param {string} sheet @param {any} result @param {Record<string, any>} entries @param {string} [lang] @param {string} [system] @returns {string} */
export function sayRefusal(program, sheet, result, entries, lang = "en", system = "metric") {
  if (!result.refusal) return "";
  const { where } = result.refusal;
  if (program.sheets[sheet].checks.some((/** @type {any} */ one) => one.name === where))
    return sayCheck(program, sheet, where, result, entries, lang, system);
  return sayRefused(program, sheet, result.refusal, result.values, lang, system);
}

/** Why an input, a line, or a line of a row was refused.
 * @param {any} program @param {string} sheet @param {any} refusal @param {Record<string, any>} values @param {string} lang @param {string} system @returns {string} */
function sayRefused(program, sheet, refusal, values, lang, system) {
  const { code, where, detail } = refusal;
  const spec = specOf(program, sheet, where) ?? sectionOf(program, sheet, where);
  const label = spec ? wordsOf(spec.label, lang) : where;
  if (code === "bad_input") {
    if (detail.reason === "unknown" || detail.reason === "no_maker" || !spec)
      return sentence(program, `bad_input.${detail.reason === "no_maker" ? "no_maker" : "unknown"}`, lang, { label });
    return badInput(program, spec, "type", null, lang, system);
  }
  if (code === "cannot_compute")
    return sentence(program, "cannot_compute", lang, {
      line: label,
      formula: spec?.expr ? formula(program, sheet, spec.expr, lang, system, values) : "",
    });
  if (code === "outside_table" || code === "no_entry")
    return (
      tableRefusal(program, code, label, detail, lang, system) +
      (detail.maker ? sentence(program, "or_maker", lang) : "")
    );
  return sentence(program, code, lang, { label });
}

/** A section as one that refuses: what asks which rows take part stands where a line has its expression.
 * @param {any} program @param {string} sheet @param {string} name @returns {any} */
function sectionOf(program, sheet, name) {
  const found = program.sheets[sheet].over?.find((/** @type {any} */ one) => one.name === name);
  return found && { label: found.label, expr: found.when };
}

/** @param {any} program @param {string} code @param {string} line @param {any} detail @param {string} lang @param {string} system */
function tableRefusal(program, code, line, detail, lang, system) {
  const table = program.tables[detail.table];
  const title = wordsOf(table.title, lang);
  const { keys } = detail;
  const said = keys.map((/** @type {any} */ key, /** @type {number} */ at) =>
    table.keys[at].match === "range"
      ? show(program, key, table.keys[at].unit, system, undefined, lang)
      : wordOf(table.keys[at], key, lang),
  );
  const given = said.join(", ");
  if (code === "no_entry") return sentence(program, "no_entry", lang, { line, table: title, given });
  let { rows } = table;
  for (const [at, spec] of table.keys.entries()) {
    if (spec.match !== "word") continue;
    const listed = [...new Set(rows.map((/** @type {any} */ row) => row.keys[at]))];
    if (!listed.includes(keys[at]))
      return sentence(program, "outside_table.word", lang, {
        line,
        table: title,
        given: said[at],
        choices: listed.map((one) => wordOf(spec, String(one), lang)).join(", "),
      });
    rows = rows.filter((/** @type {any} */ row) => row.keys[at] === keys[at]);
  }
  const at = table.keys.findIndex((/** @type {any} */ spec) => spec.match === "range");
  if (at < 0) return sentence(program, "outside_table.together", lang, { line, table: title, given });
  const spec = table.keys[at];
  const [least, most] = [rows[0].keys[at][0], rows.at(-1).keys[at][1]];
  if (least < keys[at] && keys[at] < most)
    return sentence(program, "outside_table.gap", lang, { line, table: title, given: said[at] });
  const how = spec.includes === "lower" ? "range.below" : spec.lower_too ? "range.from" : "range.over";
  const span = sentence(program, how, lang, {
    least: show(program, least, spec.unit, system, undefined, lang),
    most: show(program, most, spec.unit, system, undefined, lang),
  });
  return sentence(program, "outside_table.range", lang, { line, table: title, given, range: span });
}
