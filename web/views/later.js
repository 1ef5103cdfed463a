// Work that comes due after a job: when it is due, said to be done with a note, or started as a job of its own.
import { html, nothing } from "lit-html";
import { draftKey, write } from "../acts.js";
import { jobsHere, laterOf } from "../job.js";
import { clockFrom, soonest } from "../due.js";
import { t, when, words } from "../text/say.js";
import { plain } from "./fields.js";

/** @typedef {import("../app.js").Phone} Phone @typedef {import("../job.js").Job} Job */

const STARTED = "started";

/** What comes due later; it does not hold this job up. @param {Phone} phone @param {Job} job */
export function later(phone, { id, state, procedure }) {
  if (!state.outstanding.length) return nothing;
  const list = laterOf(jobsHere(phone), { id, state });
  return html`<section class="told stack"><h2>${t("job.outstanding")}</h2>
    ${list.map((/** @type {any} */ { one, said, own, closed, due }) => {
      const why = procedure.follow_ups?.find((/** @type {any} */ other) => other.follow_up === one.follow_up)?.why;
      return html`<div class="stack"><p class="strong">${words(one.title)}, ${t("job.after_running", { n: one.after?.running_h ?? 0 })}</p>
        ${due ? html`<p>${dueText(state, one)}</p>` : nothing}
        <p>${words(why)}</p>
        ${said.map((/** @type {any} */ other) => html`<p>${t("later.done", { who: phone.nameOf(other.by), at: when(other.at), note: other.note })}</p>`)}
        ${own ? html`<a class="word" href=${`#/job/${own.id}`}>${ownText(own, closed)}</a>` : nothing}
        ${due && phone.people.acting ? acts(phone, id, state, one.follow_up, own) : nothing}</div>`;
    })}
    ${phone.people.acting && waitsForStart(state) ? startAct(phone, id) : nothing}</section>`;
}

/** Where the work stands in a job of its own. @param {any} own @param {string | null} closed */
export const ownText = (own, closed) => t(closed ? "later.closed" : "later.doing", { at: when(closed || own.state.started.at) });

/** The later work a job is for, by its title. @param {Phone} phone @param {any} parent the job before @param {any} follow_up */
export const forWhat = (phone, parent, follow_up) =>
  words(phone.journal.job(parent)?.outstanding.find((/** @type {any} */ one) => one.follow_up === follow_up)?.title);

/** When it is due, in words. @param {any} state @param {any} one */
export function dueText(state, one) {
  const at = soonest(state, one);
  if (at === null) return t("later.no_clock");
  return t(Date.parse(at) <= Date.now() ? "later.now" : "later.soonest", { at: when(at) });
}

/** @param {any} state */
const waitsForStart = (state) =>
  state.completed && state.outstanding.some((/** @type {any} */ one) => clockFrom(state, one) === null);

/** Later work has a procedure of its own; a handbook from before that goes through the whole work again.
 * @param {Phone} phone @param {any} state */
export const laterWork = (phone, state) =>
  phone.handbook.get(phone.handbook.current.value)?.procedures?.[`${state.method}_check`] ? "check" : state.work;

/** @param {string} name */
const panelOf = (name) => `later.${name}`;

/** @param {Phone} phone @param {string} id @param {any} state @param {string} name @param {any} own */
function acts(phone, id, state, name, own) {
  const panel = panelOf(name);
  const open = phone.panel.value === panel;
  const key = draftKey(id, panel);
  const note = phone.drafts.get(key).note ?? "";
  return html`<div class="words">
      <button class="word" aria-expanded=${open ? "true" : "false"} @click=${() => (phone.panel.value = open ? "" : panel)}>${t("later.do")}</button>
      ${own ? nothing : html`<a class="word" href=${`#/start/${state.position}/${laterWork(phone, state)}/${id}/${name}`}>${t("later.job")}</a>`}</div>
    ${open ? plain({ id: "panel-text", label: t("later.note"), value: note, long: true, set: (now) => void phone.drafts.patch(key, { note: now }), problem: phone.asked.value === panel && !note.trim() ? t("panel.missing") : "" }) : nothing}`;
}

/** The machine ran after hand-back: no step of the job could say so. @param {Phone} phone @param {string} id */
function startAct(phone, id) {
  const panel = panelOf(STARTED);
  const open = phone.panel.value === panel;
  const key = draftKey(id, panel);
  const typed = phone.drafts.get(key).started ?? "";
  return html`<div class="words"><button class="word" aria-expanded=${open ? "true" : "false"} @click=${() => (phone.panel.value = open ? "" : panel)}>${t("later.started")}</button></div>
    ${open ? html`<div class="field"><label for="panel-text">${t("later.started_when")}</label><p class="help" id="started-help">${t("later.started_help")}</p>
      <input id="panel-text" type="datetime-local" aria-describedby="started-help" max=${local(new Date())} .value=${typed || local(new Date())} @input=${(/** @type {any} */ event) => void phone.drafts.patch(key, { started: event.target.value })}>
      ${phone.asked.value === panel ? html`<p class="wrong" role="alert">${t("later.started_missing")}</p>` : nothing}</div>` : nothing}`;
}

/** A moment as the browser's own field writes it: here and now, without a zone. @param {Date} at */
const local = (at) => new Date(at.getTime() - at.getTimezoneOffset() * 60_000).toISOString().slice(0, 16);

/** Saving what is open is the act at the thumb. @param {Phone} phone @param {Job} job */
export function laterFoot(phone, { id, state }) {
  const panel = phone.panel.value;
  if (!phone.people.acting) return null;
  const one = state.outstanding.find((/** @type {any} */ other) => panelOf(other.follow_up) === panel);
  const starting = panel === panelOf(STARTED);
  if (!one && !starting) return null;
  const key = draftKey(id, panel);
  const missing = () => {
    phone.asked.value = panel;
    document.getElementById("panel-text")?.focus();
  };
  const save = () =>
    phone.doing(async () => {
      if (starting) {
        const at = new Date(phone.drafts.get(key).started || local(new Date()));
        if (!(at.getTime() <= Date.now())) return missing();
        await write(phone, "machine_started", id, { at: at.toISOString() }, { drafts: [key] });
      } else {
        const note = phone.drafts.get(key).note?.trim();
        if (!note) return missing();
        await write(phone, "follow_up_done", id, { follow_up: one.follow_up, note }, { drafts: [key] });
      }
      phone.asked.value = "";
      phone.panel.value = "";
    });
  return html`<button class="primary" ?disabled=${phone.busy.value} @click=${save}>${t(starting ? "later.started_save" : "later.save")}</button>
    <button class="word" @click=${() => (phone.panel.value = "")}>${t("panel.close")}</button>`;
}
