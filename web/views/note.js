// The tech note of a sheet, made from the sheet: cautions first, then its limits of use, what it takes, how it reckons and what it says.
import { html, nothing } from "lit-html";
import { symbol } from "../marks.js";
import { typeset } from "../mathml.js";
import { show, wordOf } from "../showing.js";
import { language, t, words } from "../text/say.js";
import { formula } from "../working.js";
import { drawn, formulaView } from "./formula.js";
import { pairs, screen, signal } from "./parts.js";
import { figure } from "./sheet_figure.js";
import { said } from "./working.js";

/** @typedef {import("../app.js").Phone} Phone */

/** @param {Phone} phone @param {string} name */
export function noteScreen(phone, name) {
  const bundle = phone.handbook.get(phone.handbook.current.value);
  const sheet = bundle?.calc.sheets[name];
  if (!sheet) return screen(phone, { title: t("guide.title"), back: "guide", page: html`<p>${t("guide.none")}</p>` });
  const program = bundle.calc;
  const { lang, units } = phone.settings.all.value;
  const set = (/** @type {any} */ expr) =>
    formulaView(formula(program, name, expr, lang, units), typeset(program, name, expr, lang, units));
  const over = sheet.over ?? [];
  const lines = [...sheet.lines, ...over.flatMap((/** @type {any} */ one) => one.lines)];
  const checks = [...sheet.checks, ...over.flatMap((/** @type {any} */ one) => one.checks)];
  const tables = [...new Set(tablesIn([lines, checks, over]))].sort();
  const page = html`${(sheet.cautions ?? []).map(signal)}<p>${t("note.rules")}</p><p>${words(sheet.about)}</p>
    ${figure(bundle, sheet)}
    ${part("limits", html`<p>${words(sheet.validity)}</p>`)}
    ${part("inputs", html`<ul class="note-list">${sheet.inputs.map((/** @type {any} */ one) => html`<li><p>${named(one)}${one.optional ? html` <span class="soft">${t("note.optional")}</span>` : nothing}</p><p class="small soft">${range(program, one, units)}</p>${one.help ? html`<p class="small">${words(one.help)}</p>` : nothing}</li>`)}</ul>`, sheet.inputs.length)}
    ${part(
      "formulas",
      html`<div class="scroll" tabindex="0" role="group" aria-label=${t("note.formulas")}><ol class="calc-lines">${lines.map(
        (
          one,
        ) => html`<li><p class="calc-label">${words(one.label)}${one.unit && one.unit !== "1" ? html` <span class="soft">${t("note.in", { unit: program.units[one.unit].shown })}</span>` : nothing}</p>
      ${one.expr ? html`<p class="calc-math">${one.symbol ? html`${drawn(symbol(one.symbol))} = ` : nothing}${set(one.expr)}</p>` : nothing}
      ${one.maker ? html`<p class="small">${t(one.maker === "required" || !one.expr ? "note.maker_only" : "note.maker_may")}</p>` : nothing}
      ${one.note ? html`<p class="small">${words(one.note)}</p>` : nothing}
      <p class="small soft">${sheet.sources[one.source] ? said({ source: sheet.sources[one.source].text, certainty: sheet.sources[one.source].certainty }) : ""}</p></li>`,
      )}</ol></div>`,
      lines.length,
    )}
    ${sheet.windows.length ? part("windows", html`<ul class="note-list">${sheet.windows.map((/** @type {any} */ one) => html`<li><b>${words(one.label)}</b><p>${limits(sheet, one)}</p></li>`)}</ul>`) : nothing}
    ${checks.length ? part("checks", html`<ul class="note-list">${checks.map((/** @type {any} */ one) => html`<li><p><b class=${`level-${one.level}`}>${t(`level.${one.level}`)}</b> ${places(sheet, words(one.message))}</p><p class="small soft">${t("note.when")} ${set(one.when)}${one.lead_accepts ? html` · ${t("note.lead")}` : nothing}</p></li>`)}</ul>`, checks.length) : nothing}
    ${tables.length ? part("tables", html`<ul class="cards">${tables.map((one) => html`<li><a class="card" href=${`#/note/${name}/${one}`}><b>${words(program.tables[one].title)}</b><span class="small soft">${said({ source: program.tables[one].source.text, certainty: program.tables[one].source.certainty })}</span></a></li>`)}</ul>`) : nothing}
    ${sheet.sequence?.length ? part("sequence", html`<ol class="calc-lines">${sheet.sequence.map((/** @type {any} */ one) => html`<li>${words(one.do)}${one.at ? html` <span class="soft">(${named(spec(sheet, one.at))})</span>` : nothing}</li>`)}</ol>`) : nothing}
    ${part("certainty", pairs(["standard", "secondary", "memory", "common_practice", "derived", "maker"].map((one) => [t(`certainty.${one}`), t(`sure.${one}`)])))}
    <p class="small soft">${t("working.version", { n: sheet.version })} · ${t("working.handbook", { hash: String(phone.handbook.current.value).slice(0, 12) })}</p>`;
  return screen(phone, { title: words(sheet.title), under: t("note.title"), back: `guide/${name}`, page });
}

/** @param {string} key @param {any} inner @param {number} [count] of what would make a long page: folded */
const part = (key, inner, count = 0) =>
  count
    ? html`<details><summary><h2>${t(`note.${key}`)} <span class="soft">${count}</span></h2></summary>${inner}</details>`
    : html`<section class="stack"><h2>${t(`note.${key}`)}</h2>${inner}</section>`;

/** @param {any} sheet @param {string} name @returns {any} */
const spec = (sheet, name) =>
  [
    ...sheet.inputs,
    ...sheet.lines,
    ...(sheet.over ?? []).flatMap((/** @type {any} */ one) => [one, one.row, ...one.lines]),
  ].find((/** @type {any} */ one) => one.name === name) ?? { label: { en: name } };

/** @param {any} one an input or line */
const named = (one) => html`${one.symbol ? html`${drawn(symbol(one.symbol))} ` : nothing}<b>${words(one.label)}</b>`;

/** @param {any} program @param {any} one @param {string} units */
function range(program, one, units) {
  if (one.choices) return one.choices.map((/** @type {any} */ choice) => words(choice.label)).join(" · ");
  if (one.kind === "yesno") return t("note.yesno");
  const say = (/** @type {number} */ value) => show(program, value, one.unit, units, undefined, language.value);
  const count = one.list ? `${t("note.list", { least: one.list.least, most: one.list.most })} · ` : "";
  if (one.least !== undefined && one.most !== undefined)
    return count + t("note.range", { least: say(one.least), most: say(one.most) });
  return count + (program.units[one.unit]?.shown || t("note.number"));
}

/** @param {any} sheet @param {any} window */
function limits(sheet, window) {
  const of = (/** @type {string} */ key) => (window[key] ? words(spec(sheet, window[key]).label) : "");
  return ["value", "low", "high", "never_below", "never_above", "resolution"]
    .filter((key) => window[key])
    .map((key) => `${t(`window.${key}`)}: ${of(key)}`)
    .join(" · ");
}

/** A message with the labels of what it fills in. @param {any} sheet @param {string} text */
const places = (sheet, text) =>
  text.replace(/\{(\w+)\}/g, (_, name) => `[${words(spec(sheet, name).label)}]`);

/** @param {any} expr @returns {string[]} */
const tablesIn = (expr) =>
  Array.isArray(expr)
    ? [...(expr[0] === "lookup" || expr[0] === "has" ? [expr[1]] : []), ...expr.flatMap(tablesIn)]
    : expr && typeof expr === "object"
      ? [...(typeof expr.table === "string" ? [expr.table] : []), ...Object.values(expr).flatMap(tablesIn)]
      : [];

/** One table whole: rows, units, source, certainty, which end of a range belongs to it.
 * @param {Phone} phone @param {string} sheet where the reader came from @param {string} name */
export function tableScreen(phone, sheet, name) {
  const bundle = phone.handbook.get(phone.handbook.current.value);
  const table = bundle?.calc.tables[name];
  if (!table) return noteScreen(phone, sheet);
  const program = bundle.calc;
  const { lang, units } = phone.settings.all.value;
  const values = Object.entries(table.values);
  // What a column asks, in the words of a sheet that asks it: of the reader's own sheet first.
  const asked = [program.sheets[sheet], ...Object.values(program.sheets)].flatMap((one) => one?.inputs ?? []);
  const head = (/** @type {string} */ column) => words(asked.find((one) => one.name === column)?.label) || column.replaceAll("_", " ");
  const key = (/** @type {any} */ spec, /** @type {any} */ at) =>
    spec.match === "word"
      ? words(asked.flatMap((one) => one.choices ?? []).find((one) => one.word === at)?.label) || wordOf(spec, at, lang)
      : `${show(program, at[0], spec.unit, units, undefined, lang)} – ${show(program, at[1], spec.unit, units, undefined, lang)}`;
  const cell = (/** @type {any} */ column, /** @type {any} */ value) =>
    value === undefined
      ? "–"
      : typeof value === "number"
        ? show(program, value, column.unit, units, undefined, lang)
        : typeof value === "boolean"
          ? t(value ? "field.yes" : "field.no")
          : value;
  const ranged = table.keys.find((/** @type {any} */ one) => one.match === "range");
  const page = html`<p class="small soft">${said({ source: table.source.text, certainty: table.source.certainty })}</p>
    ${table.note ? html`<p>${words(table.note)}</p>` : nothing}
    ${ranged ? html`<p>${t(ranged.includes === "lower" ? "table.lower" : ranged.lower_too ? "table.both" : "table.upper")}</p>` : nothing}
    <div class="scroll" tabindex="0" role="group" aria-label=${words(table.title)}><table class="rows"><thead><tr>${[...table.keys.map((/** @type {any} */ one) => one.name), ...values.map(([column]) => column)].map((column) => html`<th scope="col">${head(column)}</th>`)}${table.rows.some((/** @type {any} */ row) => row.basis) ? html`<th scope="col">${t("note.certainty")}</th>` : nothing}</tr></thead>
    <tbody>${table.rows.map((/** @type {any} */ row) => html`<tr>${table.keys.map((/** @type {any} */ one, /** @type {number} */ at) => html`<th scope="row">${key(one, row.keys[at])}</th>`)}${values.map(([column, spec]) => html`<td>${cell(spec, row.values[column])}</td>`)}${row.basis ? html`<td>${row.basis}</td>` : nothing}</tr>`)}</tbody></table></div>`;
  return screen(phone, { title: words(table.title), under: t("note.table"), back: `note/${sheet}`, page });
}
