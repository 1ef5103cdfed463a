// How this phone shows things; and sending: what is unsent, what the server answered, export.
import { html, nothing } from "lit-html";
import { live } from "lit-html/directives/live.js";
import { languageName, t, when } from "../text/say.js";
import { takeOverCard } from "./handover.js";
import { screen, told } from "./parts.js";

/** @typedef {import("../app.js").Phone} Phone */

/** @param {Phone} phone */
export function settingsScreen(phone) {
  const all = phone.settings.all.value;
  const group = (/** @type {keyof typeof all} */ name, /** @type {string[]} */ values) =>
    html`<fieldset class="field"><legend>${t(`settings.${name}`)}</legend>
      <div class="choices short">${values.map(
        (value) => html`<label>
      <input type="radio" name=${name} .checked=${live(all[name] === value)} @change=${() => void phone.doing(() => choose(phone, name, value), true)} />${name === "lang" ? html`<span lang=${value}>${languageName(value)}</span>` : html`<span>${t(`settings.${name}.${value}`)}</span>`}</label>`,
      )}</div></fieldset>`;
  const page = html`${group("units", ["metric", "inch"])}${group("lang", phone.handbook.languages())}${group("theme", ["auto", "light", "dark", "glare"])}${group("hand", ["right", "left"])}${group("gloves", ["normal", "big", "biggest"])}${group("lock", ["5", "15", "30"])}
    <p class="small soft">${t("settings.about", { version: phone.version_text.value })}</p>`;
  return screen(phone, { title: t("settings.title"), back: "", page });
}

/** @param {Phone} phone @param {string} name @param {string} value */
async function choose(phone, name, value) {
  if (name === "lang") await phone.speak(value);
  await phone.settings.set({ [name]: value });
}

/** @param {Phone} phone */
export function sendingScreen(phone) {
  const n = phone.journal.unsent.value;
  const photos = phone.sync.photosUnsent.value;
  const { state, message, last } = phone.sync.status.value;
  const page = html`<p class="strong">${n ? t("unsent.events", { n }) : t("unsent.nothing")}${photos ? html`<br />${t("unsent.photos", { n: photos })}` : nothing}</p>
    ${told(state === "trouble" ? t("sending.trouble", { message }) : t(`sending.${state}`), state === "trouble" || state === "sign_in" ? "care" : "")}
    ${last ? html`<p class="soft">${t("sending.last", { at: when(last) })}</p>` : nothing}
    ${state === "sign_in" ? html`<a class="second" href="#/people">${t("sending.sign_in_again")}</a>` : nothing}
    ${
      n
        ? html`<button class="second" @click=${() => phone.exportUnsent()}>${t("sending.export")}</button>
      <p class="help">${t("sending.export_help")}</p>`
        : nothing
    }
    ${takeOverCard(phone)}
    ${
      phone.sync.notices.value.length
        ? html`<section class="stack"><h2>${t("notices.title")}</h2>
      <ul class="cards">${phone.sync.notices.value.map(
        (notice) => html`<li class="card">
      <p><b>${t(`notice.${notice.outcome}`)}</b></p>
      <p>${t(`kind.${notice.kind}`)}</p>${notice.reason ? html`<p>${notice.reason}</p>` : nothing}
      <p>${t(`notice.${notice.outcome}_do`)}</p>
      <div class="words">${phone.journal.job(notice.record) ? html`<a class="word" href=${`#/job/${notice.record}`}>${t("notice.open")}</a>` : nothing}
      <button class="word" @click=${() => phone.doing(() => phone.sync.read(notice.id))}>${t("frame.understood")}</button></div></li>`,
      )}</ul></section>`
        : nothing
    }`;
  return screen(phone, {
    title: t("sending.title"),
    back: "",
    page,
    foot: html`<button class="primary" ?disabled=${state === "sending"} @click=${() => void phone.sync.now(true)}>${t(state === "sending" ? "sending.sending" : "sending.now")}</button>`,
  });
}
