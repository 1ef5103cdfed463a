// A job as a whole: what it is, what blocks it, its steps, and completing it.
import { html, nothing } from "lit-html";
import { completeJob } from "../acts.js";
import { isOpen, isProved, jobsHere, nextPath } from "../job.js";
import { line, t, when, words } from "../text/say.js";
import { handOn } from "./handover.js";
import { forWhat, later, laterFoot } from "./later.js";
import { pairs, plantOwn, safety, screen, signal, told } from "./parts.js";

/** @typedef {import("../app.js").Phone} Phone @typedef {import("../job.js").Job} Job */

/** @param {any} state @param {any} bundle @returns {[string, string]} machine and position; work and method */
export function jobTitles(state, bundle) {
  const method = words(bundle?.methods?.[state.method]?.title) || state.method?.replaceAll("_", " ");
  return [`${state.machine?.name ?? ""}, ${state.position_name ?? ""}`, `${t(`work.${state.work}`)} · ${method}`];
}

/** Open work at the thumb, straight to its next step: what was on the screen last, else what was started last. @param {Phone} phone */
export function goOn(phone) {
  const open = jobsHere(phone)
    .filter((/** @type {any} */ job) => isOpen(job.state))
    .sort((/** @type {any} */ a, /** @type {any} */ b) => (a.state.started.at < b.state.started.at ? 1 : -1));
  const job = open.find((/** @type {any} */ one) => one.id === phone.route.job) ?? open[0];
  return job ? html`<a class="primary" href=${`#/${nextPath(phone, job.id)}`}>${t("home.go_on", { what: jobTitles(job.state, null)[0] })}</a>` : null;
}

/** @param {Phone} phone @param {Job} job */
export function jobScreen(phone, job) {
  const { state, progress, procedure } = job;
  const [title, under] = jobTitles(state, job.bundle);
  const work = phone.canWork(state);
  const path = nextPath(phone, job.id);
  const next = job.steps.find((step) => path.endsWith(`/${step.id}`)) ?? job.steps.find((step) => step.told.status === "open");
  const done = job.steps.filter(isDone).length;
  const page = html`
    ${done === 0 ? opening(procedure) : nothing}
    ${phone.offline.newer.value ? told(t("update.waits")) : nothing}
    <p class="strong">${t(`job.${state.status}`)} · ${t("job.done_of", { n: done, of: job.steps.length })}</p>
    ${state.parent_job ? html`<a class="word" href=${`#/job/${state.parent_job}`}>${t("later.parent")}</a>${forWhat(phone, state.parent_job, state.follow_up)}` : nothing}
    ${returned(phone, state)}
    ${zeroEnergy(phone, job)}
    ${later(phone, job)}
    ${work && next ? nothing : blockers(job)}
    <section><h2>${t("job.steps")}</h2>${list(job, next)}</section>
    ${work ? blockersOnceDone(job, next) : nothing}
    ${work ? handOver(phone, job) : nothing}
    <details><summary>${t("job.about")}</summary>${facts(phone, job)}</details>`;
  const go = next
    ? html`<a class="primary" href=${`#/job/${job.id}/step/${next.id}`}>${t(done ? "job.go_on" : "job.begin")}</a>`
    : nothing;
  const complete =
    work && progress.can_complete
      ? html`<button class="primary" ?disabled=${phone.busy.value} @click=${() =>
          phone.doing(async () => {
            await completeJob(phone, job);
            phone.say(t("job.completed_said"));
          })}>${t("job.complete")}</button>`
      : nothing;
  const foot = work ? (progress.can_complete ? complete : go) : laterFoot(phone, job);
  return screen(phone, { title, under, back: "", bar: bar(job), page, foot: foot === nothing ? null : foot });
}

/** To another phone with no network. @param {Phone} phone @param {Job} job */
function handOver(phone, { id, state }) {
  const give = (/** @type {boolean} */ photos) => () => phone.doing(() => handOn(phone, id, photos));
  return html`<details><summary>${t("handover.give")}</summary><p class="help">${t("handover.give_help")}</p>
    <div class="words"><button class="word" @click=${give(false)}>${t("handover.file")}</button>
    ${state.photos.length ? html`<button class="word" @click=${give(true)}>${t("handover.file_photos")}</button>` : nothing}</div></details>`;
}

/** @param {Job} job */
const bar = (job) =>
  html`<div class=${job.steps.length > 24 ? "bar many" : "bar"} aria-hidden="true">${job.steps.map((step) => html`<i class=${step.told.status}></i>`)}</div>`;

/** Cautions and what this app defers to, before anything else. @param {any} procedure */
export function opening(procedure) {
  return html`${signal({ signal: "DANGER", text: line("defer.danger") })}
    <div class="stack">${["defer.site", "defer.authorised", "defer.engineer", "defer.tick"].map(safety)}</div>
    ${(procedure?.cautions ?? []).map(signal)}`;
}

/** @param {Phone} phone @param {any} state */
function returned(phone, state) {
  if (state.status !== "returned") return nothing;
  const last = state.returned[state.returned.length - 1];
  return told(
    t("job.returned_because", { who: phone.nameOf(last?.by), reason: last?.reason ?? last?.body?.reason ?? "" }),
    "care",
  );
}

/** Who proved zero energy, how, when; and the way to the board. Never more than that. @param {Phone} phone @param {Job} job */
function zeroEnergy(phone, job) {
  const { id, bundle } = job;
  return html`${proofText(phone, job)}${bundle.board ? html`<p><a class="word" href=${`#/job/${id}/energy`}>${t("board.whole")}</a></p>` : nothing}`;
}

/** @param {Phone} phone @param {Job} job */
function proofText(phone, job) {
  const { proofs } = job.state.zero_energy;
  const last = proofs[proofs.length - 1];
  const is = (/** @type {string} */ what) => job.steps.find((one) => one[what])?.told.status === "done";
  if (!proofs.length) return told(t("zero.none"), "care");
  if (!isProved(job)) return told(t(!is("proves_zero_energy") ? "zero.lost" : is("starts_running") ? "zero.runs" : is("undoes_zero_energy") ? "zero.off" : "zero.coming_off"), "care");
  return told(t("zero.proved", { who: phone.nameOf(last.by), at: when(last.at), how: last.how, tried: last.tried }));
}

/** @param {Job} job @param {any} next */
const blockersOnceDone = (job, next) =>
  next
    ? html`<details><summary>${t("job.what_blocks", { n: job.progress.blockers.length })}</summary>${blockers(job)}</details>`
    : nothing;

/** @param {Job} job */
function blockers(job) {
  if (!job.progress.blockers.length) return told(t("job.nothing_blocks"));
  const seen = new Set();
  return html`<ul class="cards">${job.progress.blockers.map((/** @type {any} */ one) => {
    const step = job.procedure.steps.find((/** @type {any} */ other) => other.step === one.step);
    const key = `${one.code}/${one.step}/${one.reading}`;
    if (seen.has(key)) return nothing;
    seen.add(key);
    const text = html`<b>${t(`blocker.${one.code}`)}</b>${step ? html`<span>${words(step.do)}</span>` : nothing}`;
    return html`<li>${step ? html`<a class="card" href=${`#/job/${job.id}/step/${one.step}`}>${text}</a>` : html`<div class="card">${text}</div>`}</li>`;
  })}</ul>`;
}

/** A line each phase, open where the work is. @param {Job} job @param {any} next */
function list(job, next) {
  return [...new Set(job.steps.map((step) => step.phase))].map((phase) => {
    const steps = job.steps.filter((step) => step.phase === phase);
    return html`<details ?open=${phase === next?.phase}><summary>${t(`phase.${phase}`)} · ${t("job.done_of", { n: steps.filter(isDone).length, of: steps.length })}</summary>
      <ol class="steps-list">${steps.map(
        (step) => html`<li><a href=${`#/job/${job.id}/step/${step.id}`}><span class=${`state ${step.told.status}`}>${t(`status.${step.told.status}`)}</span><span>${words(step.do)}</span></a></li>`,
      )}</ol></details>`;
  });
}

const isDone = (/** @type {any} */ { told: { status } }) => status === "done" || status === "not_applicable";

/** @param {Phone} phone @param {Job} job */
function facts(phone, job) {
  const { state, bundle } = job;
  const rows = bundle.facts
    .filter((/** @type {any} */ fact) => state.facts?.[fact.name] !== undefined)
    .map((/** @type {any} */ fact) => [words(fact.label), phone.entryText(job.program, state.facts[fact.name], fact)]);
  const maker = Object.entries(state.maker ?? {}).map(([line, one]) => [
    line.replace(".", ": "),
    html`${one.typed} ${one.unit}, ${one.document} ${one.revision ?? ""}`,
  ]);
  return html`${pairs([[t("job.started"), `${phone.nameOf(state.started.by)}, ${when(state.started.at)}`], ...rows, ...maker])}
    ${job.procedure.plant ? html`<p class="tag">${plantOwn(bundle)}</p>` : nothing}
    <p class="small soft">${t("job.handbook", { hash: state.bundle.slice(0, 12) })}</p>`;
}

/** A job or its handbook is not on this phone. @param {Phone} phone @param {string} id */
export function missingJob(phone, id) {
  const state = phone.journal.job(id);
  if (state && !phone.handbook.get(state.bundle)) void phone.handbook.bring(state.bundle);
  return screen(phone, {
    title: t("job.title"),
    back: "",
    page: html`<p>${t(state ? "job.no_handbook" : "job.not_here")}</p>`,
  });
}
