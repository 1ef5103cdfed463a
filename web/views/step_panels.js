// The words under a step: note, photo, not applicable, cannot do this, do it again, a second person.
import { html, nothing } from "lit-html";
import { addPhoto, draftKey, write } from "../acts.js";
import { t, when } from "../text/say.js";
import { plain } from "./fields.js";
import { told } from "./parts.js";
import { asks } from "./pin.js";

/** @typedef {import("../app.js").Phone} Phone @typedef {import("../job.js").Job} Job */

/** @param {Phone} phone @param {Job} job @param {any} step @param {any} draft */
export function panels(phone, job, step, draft) {
  const { state } = job;
  const mine = (/** @type {any[]} */ list) => (list ?? []).filter((one) => (one.step ?? one.body?.step) === step.id);
  const photos = mine(state.photos);
  return html`${step.hold === "second_person" && !step.told.waits ? second(phone, job, step) : nothing}
    ${mine(state.notes).map((note) => told(`${note.text ?? note.body?.text} · ${phone.nameOf(note.by)}, ${when(note.at)}`))}
    ${mine(state.deviations).map((one) => told(`${t("deviation.raised")} ${one.text ?? one.body?.text} · ${one.decision ? t(`deviation.${one.decision.decision ?? one.decision}`) : t("deviation.undecided")}`, "care"))}
    ${
      photos.length
        ? html`<ul class="thumbs">${photos.map(
            (photo) => html`<li><a href=${`#/photo/${photo.sha256 ?? photo.body?.sha256}`}>
      <img alt=${t("photo.of", { at: when(photo.at) })} src=${phone.photoUrl(photo.sha256 ?? photo.body?.sha256)} /></a></li>`,
          )}</ul>`
        : nothing
    }
    ${phone.canWork(state) ? words(phone, job, step, draft) : nothing}`;
}

/** @param {Phone} phone @param {Job} job @param {any} step @param {any} draft */
function words(phone, job, step, draft) {
  const key = draftKey(job.id, step.id);
  const word = (/** @type {string} */ name, /** @type {string} */ label) =>
    html`<button class="word" aria-expanded=${phone.panel.value === name ? "true" : "false"} @click=${() => (phone.panel.value = phone.panel.value === name ? "" : name)}>${label}</button>`;
  const open = step.told.status === "open" || step.told.status === "closed";
  const may = step.not_applicable !== "never" && !step.proves_zero_energy;
  return html`<div class="words thumb">
      ${word("note", t("step.note"))}
      <label class="word" for="camera">${t("step.photo")}</label>
        <input class="hidden" id="camera" type="file" accept="image/*" capture="environment" @change=${(
          /** @type {Event} */ event,
        ) => {
          const input = /** @type {HTMLInputElement} */ (event.target);
          const [file] = input.files ?? [];
          input.value = "";
          if (file) void phone.doing(() => addPhoto(phone, job, file, step.id), true);
        }} />
      ${open && may ? word("not_applicable", t("step.not_applicable")) : nothing}
      ${word("deviation", t("step.cannot"))}
      ${open ? nothing : word("reopen", t("step.again"))}
      ${open ? html`<button class="word" aria-pressed=${draft.afterwards ? "true" : "false"} @click=${() => void phone.drafts.patch(key, { afterwards: !draft.afterwards })}>${t(draft.afterwards ? "step.afterwards_on" : "step.afterwards")}</button>` : nothing}
    </div>
    ${box(phone, job, step, draft)}`;
}

/** @type {Record<string, {kind: string, field: string}>} */
const ACTS = {
  note: { kind: "note_added", field: "text" },
  not_applicable: { kind: "step_not_applicable", field: "reason" },
  deviation: { kind: "deviation_raised", field: "text" },
  reopen: { kind: "step_reopened", field: "reason" },
};

/** @param {Phone} phone @param {Job} job @param {any} step @param {any} draft */
function box(phone, job, step, draft) {
  const panel = phone.panel.value;
  const act = ACTS[panel];
  if (!act) return nothing;
  const key = draftKey(job.id, step.id);
  const text = draft.panel?.[panel] ?? "";
  return html`<div class="stack card">
    ${plain({ id: "panel-text", label: t(`panel.${panel}`), help: t(`panel.${panel}_help${panel === "not_applicable" && step.not_applicable === "lead" ? "_lead" : ""}`), value: text, long: true, set: (now) => void phone.drafts.patch(key, { panel: { ...draft.panel, [panel]: now } }), problem: phone.asked.value === `panel-${panel}` && !text.trim() ? t("panel.missing") : "" })}</div>`;
}

/** Saving the open panel is then the act at the thumb. @param {Phone} phone @param {Job} job @param {any} step @param {any} draft */
export function panelFoot(phone, job, step, draft) {
  const panel = phone.panel.value;
  const act = ACTS[panel];
  if (!act || !phone.canWork(job.state)) return null;
  const key = draftKey(job.id, step.id);
  const text = draft.panel?.[panel] ?? "";
  const save = () =>
    phone.doing(async () => {
      if (!text.trim()) {
        phone.asked.value = `panel-${panel}`;
        document.getElementById("panel-text")?.focus();
        return;
      }
      await write(phone, act.kind, job.id, { step: step.id, [act.field]: text.trim() });
      const rest = { ...phone.drafts.get(key), panel: {} };
      await phone.drafts.set(key, rest);
      phone.panel.value = "";
      phone.asked.value = "";
    });
  return html`<button class="primary" ?disabled=${phone.busy.value} @click=${save}>${t(`panel.${panel}_save`)}</button>
    <button class="word" @click=${() => (phone.panel.value = "")}>${t("panel.close")}</button>`;
}

/** @param {Phone} phone @param {any} one */
function saidHow(phone, { by, confirmed_by: how }) {
  const who = phone.nameOf(by);
  return how ? t(`second.by_${how}`, { who }) : t("second.confirmed", { who });
}

/** Who may be the second person here. @param {Phone} phone @param {Job} job @param {any} step */
export const others = (phone, job, step) =>
  phone.people.here.value.filter((person) => person.id !== job.state.steps[step.id]?.by && phone.people.mayConfirm(person));

/** The second person: another one who has signed in on this phone. @param {Phone} phone @param {Job} job @param {any} step */
export function second(phone, job, step) {
  const state = job.state.steps?.[step.id];
  const confirmed = state?.confirmed ?? [];
  if (confirmed.length)
    return told(
      confirmed.map((/** @type {any} */ one) => saidHow(phone, one)).join(" "),
    );
  if (step.told.status !== "done") return told(t("second.will"), "care");
  const confirm = (/** @type {string} */ actor) => (/** @type {string} */ confirmed_by) =>
    write(phone, "step_confirmed", job.id, { step: step.id, confirmed_by }, { actor });
  return html`<div id="second" class="told care stack"><p class="strong">${t("second.needed")}</p><p>${t("second.help")}</p>
    ${others(phone, job, step).map((person) => asks(phone, { person, place: `second/${step.id}`, label: t("second.as", { who: person.name }), proved: confirm(person.id) }))}
    <a class="word" href="#/people">${t("second.sign_in")}</a>${step.told.waits ? html`<p>${t("second.nobody")}</p>` : nothing}</div>`;
}
