// The working as a page of a calculation: numbered lines, symbol = formula = numbers = result, each with its source.
import { html, nothing } from "lit-html";
import { linesOf } from "../judge.js";
import { symbol } from "../marks.js";
import { putIn, typeset } from "../mathml.js";
import { t, when, words } from "../text/say.js";
import { spokenLine } from "./parts.js";
import { working } from "../working.js";
import { drawn, formulaView } from "./formula.js";

/** @typedef {import("../app.js").Phone} Phone */

/** @param {Phone} phone @param {any} program @param {string} sheet @param {any} now */
export function workingPage(phone, program, sheet, now) {
  const { lang, units } = phone.settings.all.value;
  const one = program.sheets[sheet];
  const values = putIn(now.result);
  const hash = [...phone.handbook.open].find(([, bundle]) => bundle.calc === program)?.[0] ?? "";
  const who = phone.people.acting?.name;
  const head = [
    t("working.version", { n: one.version }),
    hash && t("working.handbook", { hash: hash.slice(0, 12) }),
    who,
    when(new Date().toISOString()),
    t(`working.${units}`),
  ];
  return html`<article class="calc"><h3>${words(one.title)}</h3><p class="small soft">${head.filter(Boolean).join(" · ")}</p>
    <div class="scroll" tabindex="0" role="group" aria-label=${t("reading.working")}><ol class="calc-lines">${working(program, sheet, now.result, now.entries, lang, units).map((row) => {
      const { expr } = one.lines.find((/** @type {any} */ line) => line.name === row.name);
      return calcLine(row, (/** @type {any} */ numbers) => typeset(program, sheet, expr, lang, units, numbers), values);
    })}</ol></div>
    ${linesOf(program, sheet, now.result, now.entries, units).map((line) => html`<p class="calc-check">${spokenLine(line)}</p>`)}
    <p class="small soft">${t("note.rules")}</p></article>`;
}

/** One numbered line: symbol = formula = numbers = result, and its source.
 * @param {ReturnType<typeof working>[number]} row @param {(values: any) => import("../marks.js").Tree} set @param {Record<string, any>} values */
export const calcLine = (row, set, values) => html`<li><p class="calc-label">${row.label}</p>
  ${row.formula ? html`<p class="calc-math">${row.symbol ? html`${drawn(symbol(row.symbol))} = ` : nothing}${formulaView(row.formula, set(null))}</p>` : nothing}
  ${row.put_in && row.put_in !== row.shown && row.put_in !== row.formula ? html`<p class="calc-math">= ${formulaView(row.put_in, set(values))}</p>` : nothing}
  <p class="calc-result">${row.symbol && !row.formula ? drawn(symbol(row.symbol)) : nothing} = <b>${row.shown}</b></p>
  ${row.default ? html`<p class="told">${t("working.own", { x: row.default })}</p>` : nothing}
  ${row.note ? html`<p class="small">${row.note}</p>` : nothing}<p class="small soft">${said(row)}</p></li>`;

/** A source with how sure it is. @param {{source: string, certainty: string}} row */
export function said({ source, certainty }) {
  const sure = certainty ? t(`certainty.${certainty}`) : "";
  return !sure || source.includes(sure) || (certainty === "common_practice" && source.startsWith("common practice"))
    ? source
    : `${source} · ${sure}`;
}
