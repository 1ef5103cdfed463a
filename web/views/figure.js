// The drawing a step names, fed from the job, and the same in words under it.
import { html, nothing } from "lit-html";
import { draftKey } from "../acts.js";
import { counted, readingNow, resultOf } from "../job.js";
import { parts, sayValue } from "../judge.js";
import { specOf } from "../showing.js";
import { t, words } from "../text/say.js";
import { bolts, collars, crosswise, screws } from "./drawings/lock.js";
import { feeler, growthScale, nextTab, nutTurn } from "./drawings/seat.js";

/** @typedef {import("../app.js").Phone} Phone @typedef {import("../job.js").Job} Job */

/** What a sheet worked out, nearest to this step: being typed, recorded here, or recorded before.
 * @param {Job} job @param {any} step @param {any} draft @param {string} sheet @param {string} [with_] a value it must hold @returns {Record<string, any>} */
export function valuesNear(job, step, draft, sheet, with_) {
  const here = job.steps.indexOf(step);
  for (const one of [step, ...job.steps.slice(0, here).reverse()])
    for (const reading of one.readings ?? [])
      if (reading.sheet === sheet) {
        const last = counted(job.state, one.id, reading.reading);
        const now = one === step ? readingNow(job, reading, draft) : null;
        const result = (now?.started && now.result) || (last && resultOf(last)) || now?.result;
        if (result?.values && (!with_ || result.values[with_])) return result.values;
      }
  return {};
}

/** Lines of a sheet in its own words, those that are known. @param {Phone} phone @param {any} program @param {string} sheet @param {Record<string, any>} values @param {string[]} names @returns {string[]} */
const said = (phone, program, sheet, values, names) =>
  names
    .filter((name) => values[name] !== undefined && values[name] !== null)
    .map((name) => `${words(specOf(program, sheet, name)?.label)}: ${sayValue(program, sheet, name, values[name], phone.settings.all.value.units)}`);

/** @param {any} drawn @param {string[]} lines @param {any} [act] */
const figure = (drawn, lines, act = nothing) =>
  html`<figure class="shown">${drawn}<figcaption>${lines.map((line) => html`<p>${line}</p>`)}</figcaption>${act}</figure>`;

/** @param {Phone} phone @param {Job} job @param {any} step @param {any} draft */
export function stepFigure(phone, job, step, draft) {
  const name = step.drawing ?? "";
  const near = (/** @type {string} */ sheet) => valuesNear(job, step, draft, sheet);
  if (name.startsWith("turn_to_")) return turnFigure(phone, job, near("cam_direction"), name);
  if (/^(screw|clamp)_/.test(name)) return screwFigure(job, step, name);
  if (name.endsWith("bolts")) return boltFigure(phone, job, step, draft);
  if (name === "feeler") return figure(feeler(), ["rest", "hang", "rows", "slide"].map((one) => t(`draw.feeler.${one}`)));
  if (name === "next_tab") {
    const { slots = 4, tabs = 11, ...values } = near("taper_drive_up");
    return figure(nextTab(slots ?? 4, tabs ?? 11), [t("draw.tab"), ...said(phone, job.program, "taper_drive_up", values, ["tab_step"])]);
  }
  return name === "free_end" ? growthFigure(phone, job, near("free_end")) : nothing;
}

/** @param {Phone} phone @param {Job} job @param {Record<string, any>} v @param {string} act turn_to_lock | turn_to_release */
function turnFigure(phone, job, v, act) {
  const seen = ["", "second_"]
    .filter((which) => /clockwise$/.test(v[which + act] ?? ""))
    .map((which, at) => ({
      way: v[which + act],
      shaft: v[`${which}turn_to_lock`], // locked with the shaft, so the shaft runs that way
      hidden: v[`${which}collar_is`] === "behind_bearing",
      mark: v[`second_${act}`] ? String(at + 1) : undefined,
    }));
  if (!seen.length) return nothing;
  const names = [act, "turn_to_lock", "turn_to_release", "collar_is"].flatMap((name) => [name, `second_${name}`]);
  const unless = act === "turn_to_release" ? [t("draw.unless")] : [];
  return figure(collars(seen), [...said(phone, job.program, "cam_direction", v, [...new Set(names)]), ...unless]);
}

/** @type {Record<string, string>} */
const SIGNS = { hand: "", half: "½", three_quarters: "¾", target: "1", again: "↻", first: "30", second: "70", whole: "100" };

/** The steps that share a drawing are its order. @param {Job} job @param {any} step @param {string} family @returns {any[]} */
function orderOf(job, step, family) {
  const all = job.steps.filter((one) => one.drawing?.startsWith(family));
  const here = all.indexOf(step);
  return all.map((one, at) => {
    const line = one.number?.line ?? "hand";
    const again = all.some((other, before) => before < at && other.drawing === one.drawing && other.number?.line === line);
    const past = one.told.status === "done" || one.told.status === "not_applicable";
    return { letter: one.drawing.split("_").pop().toUpperCase(), line: again || one.step === "bolts_round" ? "again" : line, state: past ? "done" : at === here ? "now" : "to_come" };
  });
}

/** @param {any[]} order @param {(one: any) => string} name @returns {string[]} */
const orderSaid = (order, name) =>
  ["now", "to_come", "done"]
    .map((state) => [state, order.filter((one) => one.state === state).map(name).join(", ")])
    .filter(([, list]) => list)
    .map(([state, list]) => t(`draw.${state}`, { list: list ?? "" }));

/** @param {Job} job @param {any} step @param {string} name */
function screwFigure(job, step, name) {
  const family = name.replace(/_.*/, "_");
  const order = orderOf(job, step, family);
  const here = order[job.steps.filter((one) => one.drawing?.startsWith(family)).indexOf(step)];
  const now = [...new Set(order.flatMap((one) => [...one.letter]))].sort().map((letter) => ({
    name: letter,
    state: here.letter.includes(letter) ? here.state : (order.find((one) => one.letter.includes(letter) && one.line === here.line)?.state ?? "done"),
  }));
  const passes = order.map((one) => ({ name: one.letter + SIGNS[one.line], state: one.state }));
  return figure(screws(name.startsWith("clamp") ? "clamp" : "set", now, passes), orderSaid(order, (one) => `${[...one.letter].join(" + ")} ${t(`draw.pass.${one.line}`)}`));
}

/** @param {any} step */
const isCap = (step) => step.drawing === "cap_bolts";

/** The bolts of a pass in their order and how many have had it: counted in the draft, the record keeps the pass.
 * @param {Job} job @param {any} step @param {any} draft */
function boltPass(job, step, draft) {
  const said = isCap(step) ? counted(job.state, "cap_on", "cap_count")?.body.value.word : valuesNear(job, step, draft, "housing_bolt_torque", "bolts").bolts;
  const count = said === "two" ? 2 : 4;
  return { count, turn: crosswise(count), done: step.told.status === "done" ? count : Math.min(count, draft.bolt ?? 0) };
}

/** @param {Phone} phone @param {Job} job @param {any} step @param {number} bolt how many have had the pass */
const setBolt = (phone, job, step, bolt) => () =>
  phone.doing(async () => {
    await phone.drafts.patch(draftKey(job.id, step.id), { bolt });
    phone.deafUntil = performance.now() + 400; // a second tap is not a second bolt
  });

/** The bolt whose turn it is; null where none is left. A pass is over only when each bolt has had it.
 * @param {Phone} phone @param {Job} job @param {any} step @param {any} draft @returns {{label: string, act: () => void} | null} */
export function boltNow(phone, job, step, draft) {
  if (!step.drawing?.endsWith("bolts") || step.readings?.some((/** @type {any} */ one) => counted(job.state, step.id, one.reading))) return null;
  const { count, turn, done } = boltPass(job, step, draft);
  return done < count ? { label: t("draw.bolt_done", { bolt: String(turn[done]) }), act: setBolt(phone, job, step, done + 1) } : null;
}

/** Which way to turn, in the headline. @param {Phone} phone @param {Job} job @param {any} step @param {any} draft */
export function turnSaid(phone, job, step, draft) {
  if (!step.drawing?.startsWith("turn_to_")) return nothing;
  const v = valuesNear(job, step, draft, "cam_direction");
  return said(phone, job.program, "cam_direction", v, [step.drawing, `second_${step.drawing}`]).map((line) => html`<p class="big"><b class="said">${line}</b></p>`);
}

/** @param {Phone} phone @param {Job} job @param {any} step @param {any} draft */
function boltFigure(phone, job, step, draft) {
  const { count, turn, done } = boltPass(job, step, draft);
  const order = (isCap(step) ? [] : orderOf(job, step, "bolts")).map((one) => ({ ...one, line: one.line === "target" ? "whole" : one.line }));
  const over = step.told.status !== "open";
  const passes = order.map((one) => ({ name: SIGNS[one.line] ?? "", state: one.state }));
  const act = over || !done || !phone.canWork(job.state) ? nothing : html`<button class="word" @click=${setBolt(phone, job, step, 0)}>${t("draw.bolts_again")}</button>`;
  const lines = over ? [] : [done < count ? t("draw.bolt_now", { bolt: String(turn[done]), order: turn.join(", ") }) : t("draw.bolts_all")];
  return figure(bolts(count, over && !done ? -1 : done, passes, isCap(step)), [...lines, ...orderSaid(order, (one) => t(`draw.pass.${one.line}`))], act);
}

/** @param {Phone} phone @param {Job} job @param {Record<string, any>} v */
function growthFigure(phone, job, v) {
  if (![v.reach, v.margin_kept, v.set_taken, v.hot_place].every((one) => typeof one === "number")) return nothing;
  const units = phone.settings.all.value.units;
  const say = (/** @type {string} */ name) => sayValue(job.program, "free_end", name, v[name], units);
  const drawn = growthScale(
    { reach: v.reach, margin: v.margin_kept, cold: -v.set_taken, hot: v.hot_place },
    { cold: t("draw.cold", { x: say("set_taken") }), hot: t("draw.hot", { x: say("hot_place") }), growth: say("growth"), travel: t("draw.travel", { x: say("travel") }) },
  );
  return figure(drawn, [t("draw.growth"), ...said(phone, job.program, "free_end", v, ["set_taken", "growth", "hot_place", "left_cold", "left_hot", "margin_kept", "travel"])]);
}

const DEG = Math.PI / 180;

/** The nut's turn with its window, where the sheet knows one. @param {Phone} phone @param {any} program @param {Record<string, any>} v */
export function nutFigure(phone, program, v) {
  if (typeof v.angle_least !== "number" || typeof v.angle_most !== "number" || v.bearing_type === "self_aligning_ball") return nothing;
  const say = (/** @type {string} */ name) => `${parts(program, "taper_drive_up", name, v[name], phone.settings.all.value.units).text}°`;
  const now = typeof v.angle_now === "number" ? v.angle_now / DEG : null;
  return figure(
    nutTurn({ least: v.angle_least / DEG, most: v.angle_most / DEG, now, slots: v.slots ?? 4 }, { least: say("angle_least"), most: say("angle_most") }),
    [t("draw.nut"), ...said(phone, program, "taper_drive_up", v, ["angle_least", "angle_most", "angle_now"])],
  );
}
