// One step: where I am, one imperative, why, the caution, the big number, its window, the field, the verdict, the act at the thumb.
import { html, nothing } from "lit-html";
import { keyed } from "lit-html/directives/keyed.js";
import { draftKey, proveZeroEnergy, recordReadings, stepDone } from "../acts.js";
import { asked, counted, isOpen, isRequired, makerFor, makerLevels, nextPath, openJob, readingNow, resultOf, standsAlone, takeEntries, waits } from "../job.js";
import { comes, standing } from "../board.js";
import { IN_ORDER } from "../progress.js";
import { answered, judgeSheet, lineLabel, linesOf, parts, sourceOf } from "../judge.js";
import { t, when, words } from "../text/say.js";
import { askCard, meantEntry } from "./ask.js";
import { boardFoot, readingBoard, rowText, stepBoard } from "./board.js";
import { jobTitles } from "./job.js";
import { makersView } from "./makers.js";
import { pad } from "./pad.js";
import { mend, plantOwn, screen, signal, spokenLine, told, verdictStrip } from "./parts.js";
import { plain } from "./fields.js";
import { boltNow, stepFigure, turnSaid } from "./figure.js";
import { STEP } from "./more.js";
import { isPush, pushLeft } from "./push.js";
import { readingView } from "./reading.js";
import { others, panelFoot, panels, second } from "./step_panels.js";

/** @typedef {import("../app.js").Phone} Phone @typedef {import("../job.js").Job} Job */

/** @param {Phone} phone @param {Job} job @param {string} id */
export function stepScreen(phone, job, id) {
  const index = job.steps.findIndex((step) => step.id === id);
  const step = job.steps[index];
  if (!step) return null;
  const draft = phone.drafts.get(draftKey(job.id, id));
  const [title, under] = jobTitles(job.state, job.bundle);
  const page = html`
    <p class="where">${t("step.where", { n: index + 1, of: job.steps.length })} · ${t(`phase.${step.phase}`)}</p>
    ${step.plant ? html`<p class="tag">${plantOwn(job.bundle)}</p>` : nothing}
    <h1 tabindex="-1" id="step-title">${words(step.do)}</h1>
    ${turnSaid(phone, job, step, draft)}
    ${closed(job, step)}
    ${step.caution ? signal(step.caution) : nothing}
    ${step.why ? html`<p>${words(step.why)}</p>` : nothing}
    ${step.tool ? html`<p><span class="strong">${t("step.tool")}</span> ${words(step.tool)}</p>` : nothing}
    ${step.number && step.told.status !== "closed" ? bigNumber(phone, job, step) : nothing}
    ${stepFigure(phone, job, step, draft)}
    ${doneAlready(phone, job, step)}
    ${step.told.waits ? second(phone, job, step) : nothing}
    ${step.proves_zero_energy && step.told.status === "open" && !step.told.rows.length ? proofForm(phone, job, step, draft) : nothing}
    ${step.told.status === "closed" ? nothing : (step.readings ?? []).map((/** @type {any} */ reading) => html`${readingView(phone, job, step, reading, draft)}${readingBoard(phone, job, step, reading)}`)}
    ${stepBoard(phone, job, step)}
    ${panels(phone, job, step, draft)}`;
  return keyed(
    id,
    screen(phone, {
      title,
      under,
      back: `job/${job.id}`,
      bar: bar(job, index),
      page,
      must: step.told.status === "open" && phone.canWork(job.state) && !phone.pad.value ? STEP : "",
      foot:
        panelFoot(phone, job, step, draft) ??
        padFoot(phone, job, step, draft) ??
        leaveFoot(phone, job, step, draft) ??
        (step.told.status === "closed" ? null : boardFoot(phone, job, step)) ??
        foot(phone, job, step, index, draft),
      heading: false,
    }),
  );
}

/** @param {Job} job @param {number} now */
export function bar(job, now) {
  return html`<div class=${job.steps.length > 24 ? "bar many" : "bar"} aria-hidden="true">${job.steps.map((step, at) => html`<i class=${`${step.told.status} ${at === now ? "now" : ""}`}></i>`)}</div>`;
}

const FIRST = 3; // of what is missing: more is a wall of text

/** Why a step is closed, and the way to what is missing. @param {Job} job @param {any} step */
function closed(job, step) {
  if (step.told.status !== "closed") return nothing;
  const missing = missingFor(job, step);
  const rest = missing.length - FIRST;
  return html`<div class="told care"><p class="strong">${t("step.closed")}</p>
    <ul>${missing.slice(0, FIRST).map((other) => html`<li><a class="word" href=${`#/job/${job.id}/step/${other.id}`}>${words(other.do)}</a></li>`)}</ul>
    ${rest > 0 ? html`<p>${t("step.closed_more", { n: rest })}</p>` : nothing}</div>`;
}

/** @param {Job} job @param {any} step @returns {any[]} */
function missingFor(job, step) {
  return (step.told.why_closed ?? [])
    .map((/** @type {string} */ id) => job.steps.find((other) => other.id === id))
    .filter(Boolean);
}

/** @param {Phone} phone @param {Job} job @param {any} step */
function bigNumber(phone, job, step) {
  const { sheet, line, to, take } = step.number;
  const makers = makerLevels(job, sheet);
  const { entries } = takeEntries(job, take);
  const judged = judgeSheet(job.program, sheet, entries, makerFor(makers));
  const value = judged.result?.values?.[line];
  if (value === undefined || value === null) return judged.say.length ? linesOf(job.program, sheet, judged.result, entries, phone.settings.all.value.units).map((said) => told(spokenLine(said), "care")) : nothing;
  const system = phone.settings.all.value.units;
  const shown = parts(job.program, sheet, line, value, system);
  const high = to && judged.result.values[to];
  if (high > value) shown.text = t("gauge.window", { low: shown.text, high: parts(job.program, sheet, to, high, system, shown.unit).text });
  // A maker's value stands beside the sheet's own and beside whatever the sheet has against it.
  const against = Object.keys(makers.levels).length ? linesOf(job.program, sheet, judged.result, entries, system) : [];
  return html`<div>
    <p class="strong">${words(job.program.sheets[sheet]?.title)} · ${lineLabel(job.program, `${sheet}.${line}`)}</p>
    <p class="big"><b class=${shown.text.length > 6 ? "long" : ""}>${shown.text}</b><span>${shown.unit}</span></p>
    ${makersView(phone, job.program, sheet, judged.result, makers)}${against.map((said) => told(spokenLine(said), "care"))}
    <details><summary>${t("step.source")}</summary>
      <p>${sourceOf(job.program, sheet, line, judged.result)}</p></details></div>`;
}

/** @param {Phone} phone @param {Job} job @param {any} step */
function doneAlready(phone, job, step) {
  const proof = step.proves_zero_energy ? job.state.zero_energy.proofs.at(-1) : null;
  if (step.told.status === "done" && proof)
    return told(t("zero.proved", { who: phone.nameOf(proof.by), at: when(proof.at), how: proof.how, tried: proof.tried }));
  const state = job.state.steps?.[step.id];
  if (step.told.status === "done" && state?.event)
    return told(`${t("step.done_by", { who: phone.nameOf(state.by), at: when(state.at) })}${state.afterwards ? ` · ${t("reading.afterwards")}` : ""}`);
  if (step.told.status === "not_applicable" && state)
    return told(
      t("step.not_applicable_by", { who: phone.nameOf(state.by), at: when(state.at), reason: state.reason ?? "" }),
    );
  return nothing;
}

/** The pad, with the verdict of what is being typed above it. @param {Phone} phone @param {Job} job @param {any} step @param {any} draft */
function padFoot(phone, job, step, draft) {
  const open = phone.pad.value;
  if (!open) return null;
  const reading = (step.readings ?? []).find(
    (/** @type {any} */ one) => one.sheet && open.id.startsWith(`f-${one.reading}-`),
  );
  const now = reading ? readingNow(job, reading, draft) : null;
  return html`${now?.started && now.result && !now.problems.length ? verdictStrip(now.result.verdict) : nothing}${pad(phone)}`;
}

/** Who comes at a shift change and has to prove zero energy, where somebody else acts. @param {Phone} phone @param {Job} job @returns {string | undefined} */
const comer = (phone, { state, procedure }) =>
  procedure.rules >= IN_ORDER && !state.zero_energy.awaits.some((/** @type {any} */ one) => comes(phone.people.acting?.id, one))
    ? state.board.find((/** @type {any} */ row) => row.event === state.zero_energy.awaits[0]?.row)?.fields.to.text
    : undefined;

/** How zero energy was proved. Never filled in from last time. @param {Phone} phone @param {Job} job @param {any} step @param {any} draft */
function proofForm(phone, job, step, draft) {
  const who = comer(phone, job);
  if (who) return told(t("proof.next", { who }), "care");
  const { tests, tried } = saidBefore(phone, job, step);
  const key = draftKey(job.id, step.id);
  const problems = phone.asked.value === step.id;
  const set = (/** @type {string} */ name) => (/** @type {string} */ text) => phone.drafts.patch(key, { [name]: text });
  return html`<div class="stack">
    <p><span class="strong">${t("proof.who")}</span> ${phone.people.acting?.name} · <a class="word" href="#/people">${t("proof.other")}</a></p>
    ${tests.length ? html`<div class="told"><p class="strong">${t("proof.tests")}</p><ul>${tests.map((one) => html`<li>${one}</li>`)}</ul></div>` : nothing}
    ${tried ? told(t("proof.tried_said", { what: tried })) : nothing}
    ${plain({ id: "proof-how", label: t(tests.length ? "proof.more" : "proof.how"), help: tests.length ? "" : t("proof.how_help"), value: draft.how ?? "", set: set("how"), long: true, problem: problems && !tests.length && !draft.how?.trim() ? t("proof.how_missing") : "" })}
    ${tried ? nothing : plain({ id: "proof-tried", label: t("proof.tried"), help: t("proof.tried_help"), value: draft.tried ?? "", set: set("tried"), long: true, problem: problems && !draft.tried?.trim() ? t("proof.tried_missing") : "" })}
    ${tests.length ? nothing : plain({ id: "proof-tester", label: t("proof.tester"), help: t("proof.tester_help"), value: draft.tester ?? "", set: set("tester") })}
    <p class="small soft">${t("proof.says")}</p></div>`;
}

/** What the job already says of a proof: the last test of each source, and the try-start while nothing has undone it.
 * @param {Phone} phone @param {Job} job @param {any} step @returns {{tests: string[], tried: string}} */
function saidBefore(phone, job, step) {
  if (!step.tried_in) return { tests: [], tried: "" };
  const rows = standing(job.state);
  const tests = rows
    .filter((row) => row.list === "source")
    .flatMap((source) => rows.filter((row) => row.list === "test" && row.of.includes(source.event)).slice(-1).map((test) => `${rowText(phone, job, source)}: ${rowText(phone, job, test)}`));
  const [at, reading] = step.tried_in.split("/");
  const tried = job.state.zero_energy.lost.length ? "" : (counted(job.state, at, reading)?.body.value?.text ?? "");
  return { tests, tried };
}

/** @param {Phone} phone @param {Job} job @param {any} step @param {number} index @param {any} draft */
function foot(phone, job, step, index, draft) {
  const after = job.steps[index + 1];
  // Read when it is tapped: what was recorded by then opens and closes steps. A closed record is leafed through.
  const path = () => (isOpen(job.state) ? nextPath(phone, job.id, step.id) : after ? `job/${job.id}/step/${after.id}` : `job/${job.id}`);
  const next = path().includes("/step/");
  const go = () => phone.route.go(path());
  const button = (/** @type {string} */ label, /** @type {() => void} */ act) =>
    html`<button class="primary" ?disabled=${phone.busy.value} @click=${act}>${label}</button>`;
  const status = step.told.status;
  if (!isOpen(job.state)) return button(t(next ? "step.next" : "step.to_job"), go);
  if (status === "closed") {
    const [first] = missingFor(job, step);
    return button(t("step.to_missing"), () =>
      phone.route.go(first ? `job/${job.id}/step/${first.id}` : `job/${job.id}`),
    );
  }
  if (step.told.waits) return secondFoot(phone, job, step, button);
  if (status !== "open") return button(t(next ? "step.next_open" : "step.to_job"), go);
  if (step.told.rows.length && !unsaid(job, step, draft)) return told(t(step.ends ? "board.on_first" : "board.rows_first"), "care");
  if (step.photo && !job.state.photos.some((/** @type {any} */ one) => one.step === step.id))
    return button(t("step.take_photo"), () => document.getElementById("camera")?.click());
  const bolt = boltNow(phone, job, step, draft);
  if (bolt) return button(bolt.label, bolt.act);
  if (step.proves_zero_energy) {
    const who = comer(phone, job);
    return who ? html`<a class="primary" href="#/people">${t("people.act", { who })}</a>` : button(t("proof.record"), () => phone.doing(() => prove(phone, job, step, draft, go)));
  }
  if (step.readings?.length) return readingFoot(phone, job, step, draft, go, button);
  // What is closed now may open with this step.
  const then = job.steps.some((one) => one !== step && /open|closed/.test(one.told.status));
  return button(t(then ? "step.done_next" : "step.done"), () =>
    phone.doing(async () => {
      await stepDone(phone, job, step);
      stayForSecond(step) ? undefined : go();
    }),
  );
}

/** A deviation waits for the lead: the step is left open, and the work goes on; or it is done after all.
 * @param {Phone} phone @param {Job} job @param {any} step @param {any} draft */
function leaveFoot(phone, job, step, draft) {
  if (step.told.status !== "open" || !phone.canWork(job.state) || phone.panel.value || draft.after_all || !waits(job, step)) return null;
  return html`<button class="primary" @click=${() => phone.route.go(nextPath(phone, job.id, step.id))}>${t("step.leave")}</button>
    <button class="word" @click=${() => void phone.drafts.patch(draftKey(job.id, step.id), { after_all: true })}>${t("step.after_all")}</button>`;
}

/** Whether a step that asks what is there has an answer still to be recorded. @param {Job} job @param {any} step @param {any} draft */
const unsaid = (job, step, draft) =>
  (step.readings ?? []).some((/** @type {any} */ { reading, row }) => row && (draft.fields?.[`${reading}/${reading}`] || !counted(job.state, step.id, reading)));

/** Nothing that follows opens before the second person has looked. @param {Phone} phone @param {Job} job @param {any} step @param {(label: string, act: () => void) => any} button */
function secondFoot(phone, job, step, button) {
  const show = () => /** @type {HTMLElement | null} */ (document.querySelector("#second button"))?.focus();
  return others(phone, job, step).length ? button(t("second.now"), show) : html`<a class="primary" href="#/people">${t("second.sign_in")}</a>`;
}

/** @param {any} step */
const stayForSecond = (step) => step.hold === "second_person";

/** @param {Phone} phone @param {Job} job @param {any} step @param {any} draft @param {() => void} go @param {(label: string, act: () => void) => any} button */
function readingFoot(phone, job, step, draft, go, button) {
  const all = step.readings.map((/** @type {any} */ reading) => readingNow(job, reading, draft));
  const asking = all.find((/** @type {any} */ now) => now.asks.length);
  if (asking) return askFoot(phone, job, step, draft, asking);
  const started = all.some((/** @type {any} */ now) => now.started);
  const recorded = all
    .filter((/** @type {any} */ now) => isRequired(now.reading))
    .every((/** @type {any} */ now) => counted(job.state, step.id, now.reading.reading));
  const repeats = step.readings.some((/** @type {any} */ reading) => reading.repeat);
  const measured = step.readings.every((/** @type {any} */ reading) => !reading.repeat || reading.sheet);
  const label = t(repeats ? (measured ? "reading.record_this" : "reading.record_line") : "reading.record_next");
  const finish = () =>
    phone.doing(async () => {
      await stepDone(phone, job, step);
      if (!stayForSecond(step)) go();
    });
  const record = (/** @type {boolean} */ on) => () =>
    phone.doing(async () => {
      const did = await recordReadings(phone, job, step);
      if (did.wrong.length) {
        mend(phone, step.id);
        return;
      }
      phone.asked.value = "";
      const now = openJob(phone, job.id)?.steps.find((one) => one.id === step.id);
      if (!on || !did.alone || now?.told.rows.length) return;
      await stepDone(phone, job, step);
      if (!stayForSecond(step)) go();
    });
  if (started || !recorded) return button(label, record(!repeats));
  const outside = step.readings.some((/** @type {any} */ reading) => {
    const one = counted(job.state, step.id, reading.reading);
    return one && !one.accepted && !standsAlone(resultOf(one));
  });
  if (!outside) return button(t("step.done_next"), finish);
  const again = () => /** @type {HTMLElement | null} */ (document.querySelector(".page .reading input"))?.focus();
  // On a taper "not yet" is the way, no fault.
  const pushed = step.readings.filter(isPush).map((/** @type {any} */ reading) => counted(job.state, step.id, reading.reading));
  const result = pushed[0] && resultOf(pushed[0]);
  if (result?.values?.next && result.verdict === "not_yet")
    return html`${pushLeft(phone, job.program, result)}${button(t("push.then"), again)}`;
  return html`${told(t("reading.outside"), "care")}${button(t("reading.again"), again)}
    <button class="word" @click=${() => correct(phone, job, step, draft)}>${t("reading.correct")}</button>
    <button class="word" ?disabled=${phone.busy.value} @click=${finish}>${t("reading.go_on_outside")}</button>`;
}

/** A new try that starts from the figures of the last: the one beside it stays in the record. @param {Phone} phone @param {Job} job @param {any} step @param {any} draft */
function correct(phone, job, step, draft) {
  const fields = { ...draft.fields };
  for (const reading of step.readings) {
    const last = counted(job.state, step.id, reading.reading);
    if (!last || last.accepted || standsAlone(resultOf(last))) continue;
    for (const { name } of asked(job, reading)) {
      const entry = reading.sheet ? last.body.entries[name] : last.body.value;
      if (entry) fields[`${reading.reading}/${name}`] = entry;
    }
  }
  void phone.drafts.patch(draftKey(job.id, step.id), { fields });
}

/** Asked before it is recorded: change the unit, or it is as typed. @param {Phone} phone @param {Job} job @param {any} step @param {any} draft @param {any} now */
function askFoot(phone, job, step, draft, now) {
  const [one] = now.asks;
  const patch = (/** @type {any} */ change) => void phone.drafts.patch(draftKey(job.id, step.id), change);
  const path = `${now.reading.sheet}.${one.input}`;
  return askCard(job.program, one, {
    change: () =>
      now.typed[one.input]
        ? patch({ fields: { ...draft.fields, [`${now.reading.reading}/${one.input}`]: meantEntry(now.typed[one.input], one) } })
        : patch({ maker: { ...draft.maker, [path]: { ...draft.maker[path], unit: one.meant_unit } } }),
    keep: () => patch({ as_typed: [...(draft.as_typed ?? []), answered(one)] }),
    field: `f-${now.reading.reading}-${one.input}`,
  });
}

/** @param {Phone} phone @param {Job} job @param {any} step @param {any} draft @param {() => void} go */
async function prove(phone, job, step, draft, go) {
  const said = saidBefore(phone, job, step);
  const how = [...said.tests, draft.how?.trim()].filter(Boolean).join("; ");
  const tried = said.tried || draft.tried?.trim();
  if (!how || !tried) {
    mend(phone, step.id);
    return;
  }
  phone.asked.value = "";
  await proveZeroEnergy(phone, job, step, { how, tried, tester: draft.tester?.trim() });
  go();
}
