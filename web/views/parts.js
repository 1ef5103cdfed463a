// Small shared pieces of screen: the frame, signal words, verdicts, notices.
import { html, nothing, svg } from "lit-html";
import { line, source, t, words } from "../text/say.js";
import { footOf } from "./more.js";
import { windowSign } from "./window.js";

/** @typedef {import("../app.js").Phone} Phone */

/** The frame of every screen. `foot` is at the thumb, once what `must` selects has been on the screen.
 * @param {Phone} phone
 * @param {{title: string, under?: string, back?: string | null, bar?: any, page: any, foot?: any, heading?: boolean, must?: string}} what */
export function screen(phone, { title, under = "", back = "", bar = nothing, page, foot = null, heading = true, must = "" }) {
  phone.must = foot ? must : "";
  return html`<a class="skip" href="#main" @click=${skip}>${t("frame.skip")}</a>
    <div class=${foot ? "screen" : "screen footless"}>
      <header class="head">
        ${back === null ? nothing : html`<a class="back" href=${`#/${back}`} aria-label=${t("frame.back")}><svg viewBox="0 0 20 32" aria-hidden="true"><path d="M16 3L4 16L16 29" fill="none" stroke="currentColor" stroke-width="4"></path></svg></a>`}
        <div class="titles">${heading ? html`<h1 class="head-title" tabindex="-1">${title}</h1>` : html`<b>${title}</b>`}${under ? html`<span>${under}</span>` : nothing}</div>
        ${unsent(phone)}
      </header>
      ${bar}
      <main class="page" id="main" tabindex="-1">${banner(phone)}${page}</main>
      ${foot ? html`<section class="foot" aria-label=${t("frame.act")}>${footOf(phone, foot)}</section>` : nothing}
    </div>
    <div class="hidden" role="status" aria-live="polite">${phone.said.value}</div>`;
}

/** @param {Event} event */
function skip(event) {
  event.preventDefault();
  document.getElementById("main")?.focus();
}

/** @param {Phone} phone */
function unsent(phone) {
  const n = phone.journal.unsent.value + phone.sync.photosUnsent.value;
  return html`<a class=${n ? "unsent some" : "unsent"} href="#/sending">${n ? t("unsent.short", { n }) : t("unsent.none")}</a>`;
}

/** What the person must know now, wherever they are. @param {Phone} phone */
function banner(phone) {
  const trouble = phone.trouble.value;
  return trouble
    ? html`<div class="told halt" role="alert"><p class="strong">${trouble}</p>
      <button class="word" @click=${() => (phone.trouble.value = "")}>${t("frame.understood")}</button></div>`
    : nothing;
}

/** Whose words these are, where they are not the handbook's own. @param {any} bundle */
export const plantOwn = (bundle) => t("plant.own", { plant: words(bundle.plant?.title) });

/** A caution in its standard colours. @param {{signal: string, text: any}} caution */
export function signal(caution) {
  const triangle =
    caution.signal === "NOTICE"
      ? nothing
      : svg`<svg viewBox="0 0 28 25" aria-hidden="true"><path d="M14 1.5L26.5 23.5H1.5Z" fill="currentColor"></path><path d="M14 9V16M14 18.5V21" class="bang"></path></svg>`;
  return html`<div class=${`signal ${caution.signal}`}>
    <p class="panel">${triangle}<span>${t(`signal.${caution.signal}`)}</span></p><p class="say">${words(caution.text)}</p>${below(source(caution.text), "say")}</div>`;
}

/** The English below a safety line whose translation nobody of the trade has read. @param {string} english */
export const below = (english, more = "") =>
  english ? html`<p class=${`small ${more}`} lang="en">${english}</p>` : nothing;

/** A safety line of the app itself. @param {string} key */
export const safety = (key) => html`<p>${t(key)}</p>${below(source(line(key)))}`;

/** What a judgement says: a line, and the English where it is a safety line nobody has read. @param {import("../judge.js").Line} said */
export const spokenLine = ({ text, english }) =>
  html`${text}${english ? html`<br /><span class="small" lang="en">${english}</span>` : nothing}`;

/** Word, shape, colour, in that order of weight.
 * @param {import("./window.js").Verdict} verdict @param {any} lines what else to say */
export function verdictCard(verdict, lines) {
  if (verdict === "none" && !lines?.length) return nothing;
  return html`<div class=${`verdict is-${verdict}`}>${verdict === "none" ? nothing : windowSign(verdict)}
    <div>${verdict === "none" ? nothing : html`<b>${t(`verdict.${verdict}`)}</b>`}${(lines ?? []).map((/** @type {import("../judge.js").Line} */ one) => html`<p>${spokenLine(one)}</p>`)}</div></div>`;
}

/** What cannot be saved yet is marked, said, and has the cursor. @param {Phone} phone @param {string} asked */
export function mend(phone, asked) {
  phone.asked.value = asked;
  phone.say(t("reading.mend"));
  requestAnimationFrame(() => /** @type {HTMLElement | null} */ (document.querySelector(".bad input, .bad select, .bad textarea"))?.focus());
}

/** @param {[string, any][]} rows */
export function pairs(rows) {
  return html`<dl>${rows
    .filter(([, value]) => value !== "" && value !== null && value !== undefined)
    .map(
      ([name, value]) => html`<div class="pair"><dt>${name}</dt>
    <dd>${value}</dd></div>`,
    )}</dl>`;
}

/** @param {any} text @param {"care"|"halt"|""} [kind] */
export const told = (text, kind = "") => html`<p class=${`told ${kind}`}>${text}</p>`;

/** The verdict in one line, for above the number pad. @param {import("./window.js").Verdict} verdict */
export const verdictStrip = (verdict) =>
  verdict === "none"
    ? nothing
    : html`<p class=${`verdict strip is-${verdict}`}>${windowSign(verdict)}<b>${t(`verdict.${verdict}`)}</b></p>`;
