// A sheet run over the rows of a table: a card a row, in ranked order, with what speaks for and against it.
import { html, nothing } from "lit-html";
import { putIn, typeset } from "../mathml.js";
import { hasUnread, t } from "../text/say.js";
import { overWorking } from "../working.js";
import { spokenLine } from "./parts.js";
import { calcLine } from "./working.js";

/** @typedef {ReturnType<typeof overWorking>[number]} Section @typedef {Section["rows"][number]} Row */

/** Nothing where the sheet has no such sections, or refused: a sheet that refuses gives no advice.
 * @param {import("../app.js").Phone} phone @param {any} program @param {string} sheet @param {any} result */
export function overCards(phone, program, sheet, result) {
  if (result.status !== "done") return nothing;
  const { lang, units } = phone.settings.all.value;
  const set = (/** @type {any} */ expr) => (/** @type {any} */ numbers) =>
    typeset(program, sheet, expr, lang, units, numbers);
  const english = hasUnread(program.sheets[sheet].over) ? overWorking(program, sheet, result, "en", units) : null;
  return overWorking(program, sheet, result, lang, units).map((section, at) => {
    const { row, lines } = program.sheets[sheet].over.find((/** @type {any} */ one) => one.name === section.name);
    const told = result.over.find((/** @type {any} */ one) => one.name === section.name).rows;
    return sectionCards(section, (/** @type {Row} */ one) => {
      const values = told.find((/** @type {any} */ other) => other.key === one.key).values;
      const numbers = { ...putIn(result), [row.name]: one.key, ...values };
      return one.lines.map((line) =>
        calcLine(line, set(lines.find((/** @type {any} */ other) => other.name === line.name).expr), numbers),
      );
    }, english?.[at]);
  });
}

/** @param {Section} section @param {(row: Row) => any} calc the working of a row @param {Section} [english] */
function sectionCards(section, calc, english) {
  const id = `over-${section.name}`;
  const ranked = section.rows.some((row) => row.place !== null);
  return html`<section class="reading" aria-labelledby=${id}><h2 id=${id}>${section.label}</h2>
    ${ranked ? html`<p class="small soft">${t("over.advice")}</p>` : nothing}
    ${
      section.rows.length
        ? html`<ol class="cards" role="list">${section.rows.map((row, at) => rowCard(section, row, ranked, calc, english?.rows[at]))}</ol>`
        : html`<p class="empty">${t("over.nobody")}</p>`
    }</section>`;
}

/** @param {Section} section @param {Row} row @param {boolean} ranked @param {(row: Row) => any} calc @param {Row} [english] */
function rowCard(section, row, ranked, calc, english) {
  const shared = row.place !== null && section.rows.filter((one) => one.place === row.place).length > 1;
  const said = row.place === null ? t("over.no_place") : t(shared ? "over.shared" : "over.place", { n: row.place });
  const under = row.place === null ? t("over.no_place") : shared ? t("over.share") : "";
  return html`<li class=${row.place === 1 ? "card rank chosen" : "card rank"}>
    ${ranked ? html`<p class="place" aria-hidden="true"><b>${row.place ?? "–"}</b>${under}</p>` : nothing}
    <h3>${ranked ? html`<span class="hidden">${said}: </span>` : nothing}${row.label}</h3>
    <dl class="figures">${section.columns.map(
      (column, at) => html`<div><dt>${column}</dt><dd>${row.cells[at]}</dd></div>`,
    )}</dl>
    ${row.refusal ? html`<p class="told halt">${spokenLine({ text: row.refusal, english: english?.refusal ?? "" })}</p>` : nothing}
    ${row.said.map(
      ({ level, message }, n) =>
        html`<p class=${`told ${level === "stop" ? "halt" : level === "caution" ? "care" : ""}`}>${level === "note" ? nothing : html`<b>${t(`level.${level}`)}</b> `}${level === "note" ? message : spokenLine({ text: message, english: english?.said[n]?.message ?? "" })}</p>`,
    )}
    ${row.lines.length ? html`<details><summary>${t("reading.working")}<span class="hidden">: ${row.label}</span></summary><ol class="calc-lines">${calc(row)}</ol></details>` : nothing}
  </li>`;
}
