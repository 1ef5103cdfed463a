// Work that comes due after a job: said to be done with a note, or started as a job of its own.
import { html, nothing } from "lit-html";
import { draftKey, write } from "../acts.js";
import { t, when, words } from "../text/say.js";
import { plain } from "./fields.js";

/** @typedef {import("../app.js").Phone} Phone @typedef {import("../job.js").Job} Job */

/** What comes due later; it does not hold this job up. @param {Phone} phone @param {Job} job */
export function later(phone, { id, state, procedure }) {
  if (!state.outstanding.length) return nothing;
  return html`<section class="told stack"><h2>${t("job.outstanding")}</h2>
    ${state.outstanding.map((/** @type {any} */ one) => {
      const done = state.follow_ups_done.filter((/** @type {any} */ other) => other.follow_up === one.follow_up);
      const why = procedure.follow_ups?.find((/** @type {any} */ other) => other.follow_up === one.follow_up)?.why;
      return html`<div class="stack"><p class="strong">${words(one.title)}, ${t("job.after_running", { n: one.after?.running_h ?? 0 })}</p>
        <p>${words(why)}</p>
        ${done.map((/** @type {any} */ other) => html`<p>${t("later.done", { who: phone.nameOf(other.by), at: when(other.at), note: other.note })}</p>`)}
        ${done.length || !phone.people.acting ? nothing : acts(phone, id, state, one.follow_up)}</div>`;
    })}</section>`;
}

/** @param {string} name */
const panelOf = (name) => `later.${name}`;

/** @param {Phone} phone @param {string} id @param {any} state @param {string} name */
function acts(phone, id, state, name) {
  const panel = panelOf(name);
  const open = phone.panel.value === panel;
  const key = draftKey(id, panel);
  const note = phone.drafts.get(key).note ?? "";
  return html`<div class="words">
      <button class="word" aria-expanded=${open ? "true" : "false"} @click=${() => (phone.panel.value = open ? "" : panel)}>${t("later.do")}</button>
      <a class="word" href=${`#/start/${state.position}/${state.work}/${id}`}>${t("later.job")}</a></div>
    ${open ? plain({ id: "panel-text", label: t("later.note"), value: note, long: true, set: (now) => void phone.drafts.patch(key, { note: now }), problem: phone.asked.value === panel && !note.trim() ? t("panel.missing") : "" }) : nothing}`;
}

/** Saving the open note is the act at the thumb. @param {Phone} phone @param {Job} job */
export function laterFoot(phone, { id, state }) {
  const panel = phone.panel.value;
  const one = state.outstanding.find((/** @type {any} */ other) => panelOf(other.follow_up) === panel);
  if (!one || !phone.people.acting) return null;
  const key = draftKey(id, panel);
  const save = () =>
    phone.doing(async () => {
      const note = phone.drafts.get(key).note?.trim();
      if (!note) {
        phone.asked.value = panel;
        document.getElementById("panel-text")?.focus();
        return;
      }
      await write(phone, "follow_up_done", id, { follow_up: one.follow_up, note }, { drafts: [key] });
      phone.panel.value = "";
    });
  return html`<button class="primary" ?disabled=${phone.busy.value} @click=${save}>${t("later.save")}</button>
    <button class="word" @click=${() => (phone.panel.value = "")}>${t("panel.close")}</button>`;
}
