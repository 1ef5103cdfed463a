// The sheets by the phase of the job, with a search; each opens as a quick guide and has its note.
import { html, nothing } from "lit-html";
import { t, words } from "../text/say.js";
import { screen } from "./parts.js";

/** @typedef {import("../app.js").Phone} Phone */

const GROUPS = ["choose", "shaft", "mount", "tighten", "taper", "after", "other"];

/** @param {Phone} phone */
export function guideScreen(phone) {
  const bundle = phone.handbook.get(phone.handbook.current.value);
  const every = bundle ? Object.values(bundle.calc.sheets) : [];
  const find = phone.findSheet.value.toLowerCase().split(/\s+/).filter(Boolean);
  const found = every.filter((/** @type {any} */ sheet) => {
    const text = `${words(sheet.title)} ${words(sheet.about)} ${t(`group.${sheet.group ?? "other"}`)}`.toLowerCase();
    return find.every((word) => text.includes(word));
  });
  const groups = GROUPS.map((group) => ({
    group,
    sheets: found.filter((/** @type {any} */ sheet) => (sheet.group ?? "other") === group),
  })).filter(({ sheets }) => sheets.length);
  const page = html`<p>${t("guide.about")}</p>
    ${
      every.length
        ? html`<div class="field"><label for="find-sheet">${t("guide.find")}</label>
      <input id="find-sheet" type="search" autocomplete="off" .value=${phone.findSheet.value} @input=${(/** @type {Event} */ event) => (phone.findSheet.value = /** @type {HTMLInputElement} */ (event.target).value)} /></div>
      <p class="hidden" role="status">${find.length ? t("guide.found", { n: found.length }) : ""}</p>`
        : html`<p class="empty">${t("guide.none")}</p>`
    }
    ${every.length && !found.length ? html`<p class="empty">${t("guide.none_found")}</p>` : nothing}
    ${groups.map(
      ({ group, sheets }) => html`<section class="stack"><h2>${t(`group.${group}`)}</h2>
      <ul class="cards">${sheets.map((/** @type {any} */ sheet) => html`<li><a class="card" href=${`#/guide/${sheet.sheet}`}><b>${words(sheet.title)}</b></a></li>`)}</ul></section>`,
    )}`;
  return screen(phone, { title: t("guide.title"), back: "", page });
}
