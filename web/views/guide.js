// Quick guide: one calculation sheet, no job, no network. Its cautions are acknowledged before the first number.
import { html, nothing } from "lit-html";
import { keyed } from "lit-html/directives/keyed.js";
import { answered, judgeSheet, parts, sayValue, unanswered } from "../judge.js";
import { specOf } from "../showing.js";
import { makerFor, makerLevels } from "../job.js";
import { line, t, words } from "../text/say.js";
import { askCard, meantEntry } from "./ask.js";
import { field } from "./fields.js";
import { CAUTIONS } from "./more.js";
import { overCards } from "./over.js";
import { elsewhere } from "./makers.js";
import { pad } from "./pad.js";
import { safety, screen, signal, told, verdictCard } from "./parts.js";
import { makerFields, picture, spoken } from "./reading.js";
import { figure } from "./sheet_figure.js";

/** @typedef {import("../app.js").Phone} Phone */

/** @param {Phone} phone @param {string} name */
export function sheetScreen(phone, name) {
  const bundle = phone.handbook.get(phone.handbook.current.value);
  const sheet = bundle?.calc.sheets[name];
  if (!sheet) return screen(phone, { title: t("guide.title"), back: "guide", page: html`<p>${t("guide.none")}</p>` });
  const title = words(sheet.title);
  if (!phone.cautioned.value.includes(name))
    return screen(phone, {
      title,
      back: "guide",
      page: html`${signal({ signal: "DANGER", text: line("defer.danger") })}
        ${safety("defer.site")}${(sheet.cautions ?? []).map(signal)}`,
      must: CAUTIONS,
      foot: html`<button class="primary" @click=${() => {
        phone.cautioned.value = [...phone.cautioned.value, name];
        scrollTo(0, 0);
        phone.focusTitle();
      }}>${t("guide.acknowledge")}</button>`,
    });
  const key = `guide/${name}`;
  const draft = phone.drafts.get(key);
  const entries = draft.entries ?? {};
  const system = phone.settings.all.value.units;
  const makers = makerLevels(
    { state: { facts: entries }, plant: phone.journal.plantValues(), program: bundle.calc },
    name,
    draft.maker,
  );
  const maker = makerFor(makers);
  const judged = judgeSheet(bundle.calc, name, entries, maker);
  const missing = sheet.inputs.filter(
    (/** @type {any} */ input) => !input.optional && entries[input.name] === undefined,
  );
  const set = (/** @type {string} */ input) => (/** @type {any} */ entry) => {
    const next = { ...phone.drafts.get(key).entries };
    if (entry === undefined) delete next[input];
    else next[input] = entry;
    void phone.drafts.patch(key, { entries: next });
  };
  const page = html`<p>${words(sheet.about)}</p>
    ${sheet.figure ? html`<details><summary>${t("note.figure")}</summary>${figure(bundle, sheet)}</details>` : nothing}
    <p class="words"><a class="word" href=${`#/note/${name}`}>${t("note.open")}</a></p>
    <details><summary>${t("guide.validity")}</summary><p>${words(sheet.validity)}</p></details>
    ${sheet.inputs.filter((/** @type {any} */ input) => !input.optional).map((/** @type {any} */ input) => one(phone, bundle, input, entries, judged, set))}
    ${missing.length ? told(t("guide.missing", { n: missing.length })) : results(phone, bundle, sheet, judged, entries, system, makers)}
    ${elsewhere(phone, bundle, name, makers.levels)}
    ${missing.length ? nothing : asking(phone, bundle, key, unanswered(judged.asks, draft.as_typed)[0])}
    <details ?open=${sheet.inputs.some((/** @type {any} */ input) => input.optional && entries[input.name] !== undefined)}><summary>${t("guide.more")}</summary>
      <div class="stack wide">${sheet.inputs.filter((/** @type {any} */ input) => input.optional).map((/** @type {any} */ input) => one(phone, bundle, input, entries, judged, set))}</div></details>
    ${sheet.lines.some((/** @type {any} */ line) => line.maker) ? html`<details ?open=${judged.result?.refusal?.code === "maker_value_needed" || Object.keys(draft.maker ?? {}).length > 0}><summary>${t("maker.add")}</summary>${makerFields(phone, { program: bundle.calc, sheet: name, maker: draft.maker ?? {}, id: "guide-maker", set: (value) => void phone.drafts.patch(key, { maker: value }) })}</details>` : nothing}
    <button class="word" @click=${() => void phone.drafts.set(key, null)}>${t("guide.clear")}</button>`;
  return keyed(key, screen(phone, { title, back: "guide", page, foot: pad(phone) }));
}

/** @param {Phone} phone @param {any} bundle @param {any} input @param {any} entries @param {any} judged @param {(name: string) => (entry: any) => void} set */
const one = (phone, bundle, input, entries, judged, set) =>
  field(phone, {
    id: `g-${input.name}`,
    spec: input,
    entry: entries[input.name],
    program: bundle.calc,
    set: set(input.name),
    meant: judged.problems.find((/** @type {any} */ other) => other.input === input.name)?.meant,
    problem: judged.problems.find((/** @type {any} */ other) => other.input === input.name)?.message ?? null,
  });

/** @param {Phone} phone @param {any} bundle @param {string} key @param {import("../judge.js").Asked | undefined} one */
function asking(phone, bundle, key, one) {
  if (!one) return nothing;
  const { entries = {}, maker = {}, as_typed = [] } = phone.drafts.get(key);
  const path = `${key.slice(6)}.${one.input}`;
  const other = (/** @type {any} */ entry) => meantEntry(entry, one);
  return askCard(bundle.calc, one, {
    change: () =>
      void phone.drafts.patch(
        key,
        entries[one.input]
          ? { entries: { ...entries, [one.input]: other(entries[one.input]) } }
          : { maker: { ...maker, [path]: other(maker[path]) } },
      ),
    keep: () => void phone.drafts.patch(key, { as_typed: [...as_typed, answered(one)] }),
    field: `g-${one.input}`,
  });
}

/** @param {Phone} phone @param {any} bundle @param {any} sheet @param {any} judged @param {any} entries @param {string} system @param {any} makers */
function results(phone, bundle, sheet, judged, entries, system, makers) {
  if (judged.problems.length || !judged.result) return nothing;
  const { values } = judged.result;
  const names = sheet.results.filter(
    (/** @type {string} */ name) => values?.[name] !== undefined && values[name] !== null,
  );
  const [head, ...rest] = judged.result.status === "done" ? names : [];
  const big = head ? parts(bundle.calc, sheet.sheet, head, values[head], system) : null;
  const label = (/** @type {string} */ name) => words(specOf(bundle.calc, sheet.sheet, name)?.label);
  return html`<section class="reading" aria-live="polite"><h2>${head ? label(head) : t("guide.result")}</h2>
    ${big ? html`<p class="big"><b class=${big.text.length > 12 ? "said" : big.text.length > 6 ? "long" : ""}>${big.text}</b><span>${big.unit}</span></p>` : nothing}
    ${
      rest.length
        ? html`<dl>${rest.map(
            (/** @type {string} */ name) => html`<div class="pair"><dt>${label(name)}</dt>
      <dd>${sayValue(bundle.calc, sheet.sheet, name, values[name], system)}</dd></div>`,
          )}</dl>`
        : nothing
    }
    ${picture(phone, bundle.calc, sheet.sheet, judged.result, entries)}
    ${spoken(phone, bundle.calc, sheet.sheet, { result: judged.result, entries, makers })}
    ${
      sheet.sequence?.length && judged.result.status === "done"
        ? html`<h3>${t("guide.sequence")}</h3>
      <ol class="working">${sheet.sequence.map((/** @type {any} */ move) => html`<li>${words(move.do)}${move.at && values?.[move.at] !== undefined && values[move.at] !== null ? html` <span class="strong">${sayValue(bundle.calc, sheet.sheet, move.at, values[move.at], system)}</span>` : nothing}</li>`)}</ol>`
        : nothing
    }</section>
    ${overCards(phone, bundle.calc, sheet.sheet, judged.result)}`;
}

export { verdictCard };
