// Home: what is open, where to begin, what has not been sent, and whether this phone is ready without network.
import { html, nothing } from "lit-html";
import { isOpen, jobsHere, laterOf } from "../job.js";
import { soonest } from "../due.js";
import { t, when, words } from "../text/say.js";
import { goOn, jobTitles } from "./job.js";
import { dueText, ownText } from "./later.js";
import { screen, told } from "./parts.js";
import { windowSign } from "./window.js";

/** @typedef {import("../app.js").Phone} Phone */

/** @param {Phone} phone */
export function homeScreen(phone) {
  const jobs = jobsHere(phone);
  const open = jobs
    .filter((job) => isOpen(job.state))
    .sort((a, b) => (a.state.started.at < b.state.started.at ? 1 : -1));
  const closed = jobs
    .filter((job) => job.state.status === "completed")
    .sort((a, b) => (a.state.started.at < b.state.started.at ? 1 : -1));
  const acting = phone.people.acting;
  const page = html`
    <p class="row"><span>${t("home.acting", { who: acting?.name ?? "" })}</span><a class="word" href="#/people">${t("home.switch")}</a></p>
    ${readiness(phone)}${room(phone)}${notices(phone)}
    <section class="stack"><h2>${t("home.open")}</h2>
      ${open.length ? html`<ul class="cards">${open.map((job) => html`<li>${card(phone, job)}</li>`)}</ul>` : html`<p class="empty">${t(phone.sync.looked.value ? "home.none_open" : "home.looking")}</p>`}
    </section>
    ${due(phone, jobs)}
    ${
      closed.length
        ? html`<details><summary>${t("home.waiting", { n: closed.length })}</summary>
      <ul class="cards">${closed.map((job) => html`<li>${card(phone, job)}</li>`)}</ul></details>`
        : nothing
    }
    <nav class="words" aria-label=${t("home.more")}><a class="word" href="#/guide">${t("home.guide")}</a><a class="word" href="#/sending">${t("home.sending")}</a><a class="word" href="#/settings">${t("home.settings")}</a></nav>`;
  return screen(phone, {
    title: t("app.name"),
    back: null,
    page,
    foot: html`${goOn(phone)}<a class=${open.length ? "second" : "primary"} href="#/positions">${t("home.begin")}</a>`,
  });
}

/** @param {Phone} phone @param {{id: string, state: any}} job */
function card(phone, { id, state }) {
  const [title, under] = jobTitles(state, phone.handbook.get(state.bundle));
  return html`<a class="card" href=${`#/job/${id}`}><b>${title}</b><span>${under}</span><span class="small soft">${t(`job.${state.status}`)} · ${when(state.started.at)}</span></a>`;
}

/** What comes due, the soonest first; what has no clock yet last. @param {Phone} phone @param {{id: string, state: any}[]} jobs */
function due(phone, jobs) {
  const lines = jobs
    .flatMap((job) => laterOf(jobs, job))
    .filter(({ due }) => due)
    .map((one) => ({ ...one, at: soonest(one.state, one.one) ?? "~" }))
    .sort((a, b) => (a.at < b.at ? -1 : 1));
  if (!lines.length) return nothing;
  return html`<details><summary>${t("home.due")}: ${lines.length}</summary><ul class="cards">${lines.slice(0, MOST_DUE).map(
    ({ id, state, one, own }) => html`<li><a class="card" href=${`#/job/${own?.id ?? id}`}><b>${words(one.title)}</b>
    <span>${jobTitles(state, phone.handbook.get(state.bundle))[0]}</span><span class="small soft">${dueText(state, one)} ${own ? ownText(own, null) : nothing}</span></a></li>`,
  )}</ul></details>`;
}

const MOST_DUE = 20;

/** True words about working without network. @param {Phone} phone */
function readiness(phone) {
  const worker = phone.offline.state.value;
  const book = phone.handbook.whole.value;
  if (phone.offline.newer.value)
    return html`<div class="told stack"><p>${t("update.waiting")}</p>
      <button class="word" @click=${() => phone.takeOver()}>${t("update.now")}</button></div>`;
  if (worker === "ready" && book) return html`<p class="told" id="ready">${t("ready.yes")}</p>`;
  if (worker === "unsupported") return told(t("ready.unsupported"), "care");
  if (worker === "failed") return told(t("ready.failed"), "care");
  return told(t("ready.getting"));
}

/** @param {Phone} phone */
function room(phone) {
  const persisted = phone.persisted.value;
  const oldest = phone.oldestUnsent();
  return html`${phone.people.acting?.pin ? nothing : html`<p class="told care">${t("pin.ask")} <a class="word" href="#/people">${t("sending.sign_in_again")}</a></p>`}${phone.sync.status.value.state === "sign_in" ? html`<p class="told care">${t("sending.sign_in")} <a class="word" href="#/people">${t("sending.sign_in_again")}</a></p>` : nothing}
    ${oldest > 48 ? told(t(oldest > 120 ? "unsent.very_old" : "unsent.old", { hours: Math.floor(oldest) }), oldest > 120 ? "halt" : "care") : nothing}
    ${
      persisted === false
        ? html`<div class="told"><p>${t("room.ask")}</p>
      <button class="word" @click=${() => phone.askRoom()}>${t("room.ask_now")}</button></div>`
        : nothing
    }
    ${persisted === "refused" ? told(t("room.refused"), "care") : nothing}`;
}

/** What the server said no to, and what to do. @param {Phone} phone */
function notices(phone) {
  const list = phone.sync.notices.value;
  return list.length
    ? html`<div class="told care"><a class="word" href="#/sending">${t("notices.some", { n: list.length })}</a></div>`
    : nothing;
}

/** Before anybody has signed in here. @param {Phone} phone */
export function welcome(phone) {
  return html`<div class="stack"><div class="mark">${windowSign("inside")}</div>${readiness(phone)}</div>`;
}
