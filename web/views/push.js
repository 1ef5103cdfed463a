// Driving up a taper: what to do next, how far, what is reached and left, what agrees, and every push so far. All of it from the sheet.
import { html, nothing } from "lit-html";
import { resultOf } from "../job.js";
import { gauges, parts, sayValue } from "../judge.js";
import { specOf } from "../showing.js";
import { t, words } from "../text/say.js";
import { nutFigure } from "./figure.js";
import { windowGauge, windowSign } from "./window.js";

/** @typedef {import("../app.js").Phone} Phone */

const SHEET = "taper_drive_up";

/** Whether a reading is one push of many. @param {any} reading */
export const isPush = (reading) => reading.sheet === SHEET && reading.repeat;

/** At arm's length: the next act, and how far. @param {Phone} phone @param {any} program @param {any} result */
export function pushNow(phone, program, result) {
  const v = result?.values;
  if (!v?.next) return nothing;
  const units = phone.settings.all.value.units;
  const far = v.next === "push_on" ? ["travel_to_go", "angle_to_go"].filter((name) => typeof v[name] === "number") : [];
  return html`<div class=${`verdict next is-${result.verdict}`} aria-live="polite">${windowSign(result.verdict)}
    <div><b>${sayValue(program, SHEET, "next", v.next, units)}</b></div></div>
    ${far.map((name) => {
      const shown = parts(program, SHEET, name, v[name], units);
      return html`<div><p class="strong">${words(specOf(program, SHEET, name).label)}</p><p class="big"><b class="long">${shown.text}</b><span>${shown.unit}</span></p></div>`;
    })}`;
}

/** The same in a line, for above the button. @param {Phone} phone @param {any} program @param {any} result */
export function pushLeft(phone, program, { values: v }) {
  const units = phone.settings.all.value.units;
  const far = ["travel_to_go", "angle_to_go"].filter((name) => typeof v[name] === "number");
  const say = (/** @type {string} */ name) => html`${words(specOf(program, SHEET, name).label)} <b>${sayValue(program, SHEET, name, v[name], units)}</b>. `;
  return html`<p class="told care">${far.length ? far.map(say) : sayValue(program, SHEET, "next", v.next, units)}</p>`;
}

/** The windows, the nut, and which readings agree. @param {Phone} phone @param {any} program @param {any} result @param {Record<string, any>} entries */
export function pushMore(phone, program, result, entries) {
  const v = result?.values;
  if (!v) return nothing;
  const units = phone.settings.all.value.units;
  const say = (/** @type {string} */ name) => (typeof v[name] === "number" ? parts(program, SHEET, name, v[name], units).text : undefined);
  const label = (/** @type {string} */ name) => words(specOf(program, SHEET, name).label);
  const read = gauges(program, SHEET, result, entries, units).filter((one) => one.name === "reduction" || one.name === "left");
  const agree = ["travel_agrees", "angle_agrees", "turn_agrees"].filter((name) => typeof v[name] === "boolean");
  return html`${read.map((one) => html`<figure><figcaption><span class="strong">${one.label} ${one.shown.value}</span> · ${one.words}</figcaption>${windowGauge(one.window, one.shown, one.verdict)}</figure>`)}
    ${
      v.travel_now && v.travel_least && v.travel_most
        ? html`<figure><figcaption><span class="strong">${label("travel_now")} ${say("travel_now")}</span> · ${t("gauge.window", { low: say("travel_least") ?? "", high: sayValue(program, SHEET, "travel_most", v.travel_most, units) })}</figcaption>${windowGauge({ low: v.travel_least, high: v.travel_most, value: v.travel_now }, { low: say("travel_least"), high: say("travel_most"), value: say("travel_now") }, "none")}</figure>`
        : nothing
    }
    ${nutFigure(phone, program, v)}
    ${agree.length ? html`<ul class="agree">${agree.map((name) => html`<li><b aria-hidden="true">${v[name] ? "✓" : "✗"}</b><span>${label(name)} <b>${t(v[name] ? "field.yes" : "field.no")}</b></span></li>`)}</ul>` : nothing}`;
}

/** Every push so far, in one line each. @param {Phone} phone @param {any} program @param {any[]} all oldest first */
export function pushes(phone, program, all) {
  const units = phone.settings.all.value.units;
  const rows = all.map(resultOf).filter((result) => typeof result?.values?.reached === "number");
  if (!rows.length) return nothing;
  const one = (/** @type {any} */ result, /** @type {string} */ name) =>
    html`<span>${words(specOf(program, SHEET, name).label)} <b>${sayValue(program, SHEET, name, result.values[name], units)}</b></span>`;
  return html`<section class="stack"><h3>${t("push.title")}</h3><ol class="pushes">${rows.map((result) => html`<li>${one(result, "clearance_now")} ${one(result, "reached")} <span>${t(`verdict.${result.verdict}`)}</span></li>`)}</ol></section>`;
}
