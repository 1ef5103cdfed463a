// One reading of a step: its fields, the window it falls in, the verdict at once, and the working one tap away.
import { html, nothing } from "lit-html";
import { draftKey } from "../acts.js";
import { counted, inputSpec, isRequired, readingNow, resultOf, taken } from "../job.js";
import { gauges, linesOf, makerLines, parts } from "../judge.js";
import { t, when, words } from "../text/say.js";
import { field, plain } from "./fields.js";
import { makersView } from "./makers.js";
import { pairs, told, verdictCard } from "./parts.js";
import { isPush, pushes, pushMore, pushNow } from "./push.js";
import { clearanceGauge, windowGauge } from "./window.js";
import { workingPage } from "./working.js";

/** @typedef {import("../app.js").Phone} Phone @typedef {import("../job.js").Job} Job */

/** @param {Phone} phone @param {Job} job @param {any} step @param {any} reading @param {any} draft */
export function readingView(phone, job, step, reading, draft) {
  const name = reading.reading;
  const key = draftKey(job.id, step.id);
  const before = taken(job.state, step.id, name);
  const now = readingNow(job, reading, draft);
  const open = step.told.status === "open" && phone.canWork(job.state);
  const must = phone.asked.value === step.id && (now.started || (isRequired(reading) && !before.length));
  const set = (/** @type {string} */ input) => (/** @type {any} */ entry) => {
    const fields = { ...phone.drafts.get(key).fields };
    if (entry === undefined) delete fields[`${name}/${input}`];
    else fields[`${name}/${input}`] = entry;
    void phone.drafts.patch(key, { fields, at: name });
  };
  const judged = now.started ? now.result : null;
  const last = counted(job.state, step.id, name);
  const shown = judged ?? (last && resultOf(last)) ?? now.result;
  const entries = judged ? now.entries : (last?.body.entries ?? now.entries);
  const push = isPush(reading);
  const cards = html`<ul class="stack">${[...before].reverse().map((one) => recorded(phone, job, reading, one))}</ul>`;
  // One loose field carries the reading's label itself: it is not said twice.
  const named = reading.sheet || !open;
  // What may stay out is folded: a step that asks one thing shows one form.
  const folded = open && reading.sheet && !isRequired(reading);
  const body = html`${push ? pushNow(phone, job.program, shown) : nothing}
    ${picture(phone, job.program, reading.sheet, shown, entries)}
    ${
      open
        ? now.fields.map((spec) => {
            // A list that is still being filled is no mistake until it is to be recorded.
            const wrong = now.problems.find(
              (/** @type {any} */ one) => one.input === spec.name && (must || one.code !== "count"),
            );
            return field(phone, {
              id: `f-${name}-${spec.name}`,
              spec,
              entry: now.typed[spec.name],
              program: job.program,
              set: set(spec.name),
              meant: wrong?.meant,
              problem: wrong?.message ?? (must && now.empty.includes(spec.name) ? t("field.missing") : null),
            });
          })
        : nothing
    }
    ${unlike(job, reading, now.typed[name] ?? last?.body.value)}
    ${judged && !now.empty.length && !now.problems.length ? spoken(phone, job.program, reading.sheet, now) : nothing}
    ${open && reading.sheet && makerLines(job.program, reading.sheet).length ? html`<details ?open=${now.result?.refusal?.code === "maker_value_needed" || Object.keys(draft.maker ?? {}).some((line) => line.startsWith(`${reading.sheet}.`))}><summary>${t("maker.here")}</summary>${makerForm(phone, job, step, reading, draft)}</details>` : nothing}
    ${push ? html`${pushMore(phone, job.program, shown, entries)}${pushes(phone, job.program, before)}` : nothing}
    ${before.length ? (push ? html`<details><summary>${t("push.all")}</summary>${cards}</details>` : cards) : nothing}
    ${open && reading.sheet ? instrument(phone, job, reading) : nothing}`;
  return html`<section class="reading" aria-label=${words(reading.label)}>
    ${folded ? html`<details ?open=${now.started || before.length > 0}><summary>${words(reading.label)} ${t("field.optional")}</summary>${body}</details>` : html`${named ? html`<h2>${words(reading.label)}</h2>` : nothing}${body}`}
  </section>`;
}

/** Seen at the machine otherwise than the position says: said at once. `rotation_seen` is held against the fact `rotation`.
 * @param {Job} job @param {any} reading @param {any} entry */
function unlike(job, reading, entry) {
  const fact = job.state.facts?.[reading.reading.replace(/_seen$/, "")]?.word;
  if (reading.sheet || !fact || !entry?.word || [fact, entry.word].includes("unknown") || fact === entry.word) return nothing;
  const choice = reading.choices?.find((/** @type {any} */ one) => one.word === fact);
  return told(t("reading.unlike", { x: words(choice?.label) || fact }), "halt");
}

/** The verdict as it will be recorded, and the working. @param {Phone} phone @param {any} program @param {string} sheet @param {any} now */
export function spoken(phone, program, sheet, now) {
  const system = phone.settings.all.value.units;
  return html`<div aria-live="polite">${verdictCard(now.result.verdict, linesOf(program, sheet, now.result, now.entries, system))}</div>
    ${now.makers ? makersView(phone, program, sheet, now.result, now.makers) : nothing}
    <details @toggle=${(/** @type {Event} */ event) => (phone.working.value = /** @type {HTMLDetailsElement} */ (event.target).open ? sheet : "")}><summary>${t("reading.working")}</summary>${phone.working.value === sheet ? workingPage(phone, program, sheet, now) : nothing}</details>`;
}

/** The window or, on a taper, the standing gauge. @param {Phone} phone @param {any} program @param {string | undefined} sheet @param {any} result @param {any} entries */
export function picture(phone, program, sheet, result, entries) {
  if (!sheet || !result) return nothing;
  const system = phone.settings.all.value.units;
  const { values } = result;
  const verdict = result.verdict;
  if (values && typeof values.clearance_before === "number" && typeof values.clearance_high === "number") {
    const unit = entries.clearance_now?.unit ?? entries.clearance_before?.unit;
    const say = (/** @type {string} */ line) =>
      typeof values[line] === "number" ? parts(program, sheet, line, values[line], system, unit).text : undefined;
    const shownUnit = parts(program, sheet, "clearance_high", values.clearance_high, system, unit).unit;
    const number = (/** @type {string} */ line) => (typeof values[line] === "number" ? values[line] : null);
    return html`<figure><figcaption class="small soft">${t("gauge.clearance", { unit: shownUnit })}</figcaption>${clearanceGauge(
      {
        before: values.clearance_before,
        now: number("clearance_now"),
        high: number("clearance_high"),
        low: number("clearance_low"),
        never: number("residual_least"),
      },
      {
        before: t("gauge.before", { x: say("clearance_before") ?? "" }),
        now: say("clearance_now") ? t("gauge.now", { x: say("clearance_now") ?? "" }) : undefined,
        high: t("gauge.high", { x: say("clearance_high") ?? "" }),
        low: t("gauge.low", { x: say("clearance_low") ?? "" }),
        never: say("residual_least") ? t("gauge.never", { x: say("residual_least") ?? "" }) : undefined,
      },
      verdict,
    )}</figure>`;
  }
  return gauges(program, sheet, result, entries, system).map(
    (one) =>
      html`<figure>${one.label ? html`<figcaption class="small">${one.label} <span class="soft">${one.words}</span></figcaption>` : nothing}${windowGauge(one.window, one.shown, one.verdict)}</figure>`,
  );
}

/** A reading that stands in the record. @param {Phone} phone @param {Job} job @param {any} reading @param {any} one */
function recorded(phone, job, reading, one) {
  const entries = one.body.entries ?? {};
  const names = reading.sheet
    ? [...(reading.ask ?? Object.keys(entries)), ...(reading.may ?? [])].filter((/** @type {string} */ name) => entries[name])
    : [];
  // The label of a reading without a sheet stands above it already.
  const said = reading.sheet
    ? pairs(names.map((/** @type {string} */ name) => [
        words(inputSpec(job.program, reading.sheet, name)?.label),
        phone.entryText(job.program, entries[name], inputSpec(job.program, reading.sheet, name)),
      ]))
    : html`<p class="strong">${phone.entryText(job.program, one.body.value, reading)}</p>`;
  return html`<li class="card">${said}${resultOf(one) ? verdictCard(one.verdict, []) : nothing}${makersView(phone, job.program, reading.sheet, resultOf(one), { levels: Object.fromEntries(Object.entries(one.body.maker ?? {}).map(([line, value]) => [line, [value]])), unclear: [] })}
    <p class="small">${t("reading.by", { who: phone.nameOf(one.by), at: when(one.at) })}${one.body.afterwards ? html` · ${t("reading.afterwards")}` : nothing}${one.accepted ? html` · ${t("reading.accepted")}` : nothing}${one.claimed ? html` · ${t("reading.claimed")}` : nothing}${one.refused ? html` · ${t("reading.refused")}` : nothing}</p></li>`;
}

/** What was measured with. Kept for the job, so that it is typed once. @param {Phone} phone @param {Job} job @param {any} reading */
function instrument(phone, job, reading) {
  const key = `job/${job.id}/instrument`;
  const all = phone.drafts.get(key);
  const tool = all[reading.sheet] ?? {};
  const set = (/** @type {string} */ name) => (/** @type {string} */ text) =>
    void phone.drafts.set(key, { ...all, [reading.sheet]: { ...tool, [name]: text } });
  return html`<details><summary>${tool.name ? t("instrument.with", { name: tool.name }) : t("instrument.name_it")}</summary>
    <div class="stack">
    ${plain({ id: `tool-${reading.reading}`, label: t("instrument.name"), help: t("instrument.name_help"), value: tool.name ?? "", set: set("name") })}
    ${plain({ id: `tool-date-${reading.reading}`, label: t("instrument.calibrated"), value: tool.calibrated ?? "", set: set("calibrated"), type: "date" })}</div></details>`;
}

/** The maker's values a sheet wants and does not have. @param {Phone} phone @param {Job} job @param {any} step @param {any} reading @param {any} draft */
function makerForm(phone, job, step, reading, draft) {
  const key = draftKey(job.id, step.id);
  return makerFields(phone, {
    program: job.program,
    sheet: reading.sheet,
    maker: draft.maker ?? {},
    id: `maker-${reading.reading}`,
    set: (maker) => void phone.drafts.patch(key, { maker }),
  });
}

/** @param {Phone} phone @param {{program: any, sheet: string, maker: Record<string, any>, id: string, set: (maker: Record<string, any>) => void}} props */
export function makerFields(phone, { program, sheet, maker, id, set }) {
  const lines = makerLines(program, sheet);
  return html`<fieldset class="stack"><legend>${t("maker.title")}</legend><p class="help">${t("maker.help")}</p>
    ${lines.map((line) => {
      const path = `${sheet}.${line.name}`;
      const one = maker[path] ?? {};
      const change = (/** @type {any} */ part) => {
        const next = { ...maker, [path]: { ...one, ...part } };
        if (!next[path].typed) delete next[path];
        set(next);
      };
      return html`${field(phone, { id: `${id}-${line.name}`, spec: { ...line, optional: true }, entry: one.typed ? { typed: one.typed, unit: one.unit } : undefined, program, set: (entry) => change(entry ?? { typed: "" }) })}
        ${
          one.typed
            ? html`${plain({ id: `${id}-${line.name}-doc`, label: t("maker.document"), help: t("maker.document_help"), value: one.document ?? "", set: (text) => change({ document: text }), problem: one.document?.trim() ? "" : t("maker.document_missing") })}
          ${plain({ id: `${id}-${line.name}-rev`, label: t("maker.revision"), value: one.revision ?? "", set: (text) => change({ revision: text }) })}`
            : nothing
        }`;
    })}</fieldset>`;
}
