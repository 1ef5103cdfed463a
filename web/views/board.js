// The board of the control of energy: sources, locks, what holds, tests, who is in; each row taken off again by its owner.
import { html, nothing } from "lit-html";
import { live } from "lit-html/directives/live.js";
import { draftKey, write } from "../acts.js";
import { first, rowFor, standing } from "../board.js";
import { counted, isProved, nextPath } from "../job.js";
import { singleProblems } from "../judge.js";
import { IN_ORDER } from "../progress.js";
import { t, when, words } from "../text/say.js";
import { field } from "./fields.js";
import { pad } from "./pad.js";
import { mend, screen, told } from "./parts.js";

/** @typedef {import("../app.js").Phone} Phone @typedef {import("../job.js").Job} Job @typedef {Record<string, any>} Dict */

const MINUTE = 60_000;

/** @param {Job} job @returns {Dict} */
const lists = (job) => job.bundle.board?.lists ?? {};

/** @param {Job} job @param {string} list */
const rowKey = (job, list) => draftKey(job.id, `row.${list}`);

/** One line that tells a row apart. @param {Phone} phone @param {Job} job @param {Dict} row */
export function rowText(phone, job, row) {
  const { fields } = lists(job)[row.list] ?? { fields: [] };
  return fields
    .filter((/** @type {Dict} */ one) => row.fields[one.name] !== undefined && one.kind !== "yesno" && one.kind !== "count")
    .map((/** @type {Dict} */ one) => {
      const text = phone.entryText(job.program, row.fields[one.name], one);
      return one.kind === "word" ? text.split(":")[0] : text; // what stands behind the colon explains the choice
    })
    .join(" · ");
}

/** The rows of a step, what is still missing there, and the form for the next. @param {Phone} phone @param {Job} job @param {any} step */
export function stepBoard(phone, job, step) {
  if (step.proves_zero_energy) return proofBoard(phone, job, step);
  const name = step.rows ?? step.ends;
  if (!name || !lists(job)[name] || step.told.status === "closed") return nothing;
  return html`${missing(phone, job, step)}${listOf(phone, job, name, step)}
    ${step.rows && phone.canWork(job.state) && !wanted(phone, job, step)?.reading ? form(phone, job, name, step) : nothing}
    <p><a class="word" href=${`#/job/${job.id}/energy/${step.id}`}>${t("board.whole")}</a></p>`;
}

/** The rows that a proof of zero energy still lacks, and the form for the first of them. @param {Phone} phone @param {Job} job @param {any} step */
function proofBoard(phone, job, step) {
  const { rows } = step.told;
  if (!rows.length) return nothing;
  const one = wanted(phone, job, step);
  const on = rows.filter((/** @type {Dict} */ row) => row.code === "row_on");
  return html`<div class="told care"><p class="strong">${t("proof.lacks")}</p><ul>${rows.map(
    (/** @type {Dict} */ row) => html`<li>${t(`proof.no_${row.row ? "off" : row.list}`, { what: rowText(phone, job, sourceOf(job, row.of ?? row.row)) })}</li>`,
  )}</ul></div>
  ${on.map((/** @type {Dict} */ row) => card(phone, job, sourceOf(job, row.row), step))}
  ${one && phone.canWork(job.state) ? (one.list === "test" ? ["test"] : [one.list, one.list === "lock" ? "hold" : "lock"]).map((name) => form(phone, job, name, step)) : nothing}`;
}

/** Under a reading that says a source is there: its rows, or the form for the first. @param {Phone} phone @param {Job} job @param {any} step @param {any} reading */
export function readingBoard(phone, job, step, reading) {
  if (!reading.row || step.told.status === "closed") return nothing;
  return wanted(phone, job, step)?.reading === reading.reading ? form(phone, job, reading.row.list, step) : nothing;
}

/** What a step wants a row for first: a source that is there, one not covered, its own; null where it wants none.
 * @param {Phone} phone @param {Job} job @param {any} step @returns {{list: string, of?: string, reading?: string, fields?: Dict} | null} */
function wanted(phone, job, step) {
  if (step?.told.status !== "open") return null;
  const typed = phone.drafts.get(draftKey(job.id, step.id)).fields ?? {};
  const asking = (step.readings ?? []).filter((/** @type {Dict} */ one) => one.row);
  const said = (/** @type {Dict} */ { reading }) =>
    (typed[`${reading}/${reading}`] ?? counted(job.state, step.id, reading)?.body.value)?.word;
  for (const { reading, row } of asking)
    if (said({ reading }) === "there" && !rowFor(standing(job.state), { row }))
      return { list: row.list, reading, fields: { [row.field]: { word: row.word } } };
  const one = step.told.rows.find((/** @type {Dict} */ row) => row.code === "row_missing" && !row.reading);
  if (!one || !asking.every(said)) return null;
  // A source that had a lock wants one again; one that was held wants its hold.
  const held = step.proves_zero_energy && one.list === "lock" && !job.state.board.some((/** @type {Dict} */ row) => row.list === "lock" && row.of.includes(one.of));
  return { list: held ? "hold" : one.list, of: one.of };
}

/** The rows a new one can be about: sources, or what has an owner. @param {Job} job @param {Dict} def @param {string} name @param {any} step @returns {Dict[]} */
function candidates(job, def, name, step) {
  const kinds = step?.rows === name && name === "test" ? step.kinds : null;
  return standing(job.state).filter((row) =>
    row.ended !== null ? false : def.of === "source" ? row.list === "source" && (!kinds || kinds.includes(row.fields.type?.word)) : lists(job)[row.list].owner,
  );
}

/** A new row as it stands on the screen: what is typed, and what was said before and is not asked again.
 * @param {Phone} phone @param {Job} job @param {string} name @param {any} step @returns {{want: Dict | null, may: Dict[], of: string[], fields: Dict}} */
function rowNow(phone, job, name, step) {
  const def = lists(job)[name];
  const draft = phone.drafts.get(rowKey(job, name));
  const first = wanted(phone, job, step);
  const want = first?.list === name ? first : null;
  const may = def.of ? candidates(job, def, name, step) : [];
  const of = draft.of ?? (want?.of ? [want.of] : may.length === 1 ? [may[0]?.event] : []);
  const fields = { ...want?.fields, ...draft.fields };
  for (const { name: field, take } of def.fields) {
    const said = take && may.filter((row) => of.includes(row.event)).map((row) => (row.fields[take] ?? row.fields[lists(job)[row.list].owner])?.text);
    if (said?.length && !fields[field]) fields[field] = { text: [...new Set(said)].join(", ") };
  }
  return { want, may, of, fields };
}

/** @param {Phone} phone @param {Job} job @param {any} step */
function missing(phone, job, step) {
  const open = step.told.rows.filter((/** @type {Dict} */ one) => one.of);
  if (!open.length) return nothing;
  return html`<div class="told care"><p class="strong">${t(`board.missing.${step.rows}`)}</p><ul>${open.map(
    (/** @type {Dict} */ one) => html`<li>${rowText(phone, job, sourceOf(job, one.of))}</li>`,
  )}</ul></div>`;
}

/** @param {Job} job @param {string} id @returns {Dict} */
const sourceOf = (job, id) =>
  job.state.board.find((/** @type {Dict} */ row) => row.event === id) ?? { list: "source", fields: {} };

/** @param {Phone} phone @param {Job} job @param {string} name @param {any} [step] */
function listOf(phone, job, name, step) {
  const held = standing(job.state).filter((row) => row.list === name);
  if (!held.length) return nothing;
  return html`<section class="stack"><h2>${words(lists(job)[name].title)}</h2>
    <ul class="cards">${held.map((row) => html`<li>${card(phone, job, row, step)}</li>`)}</ul></section>`;
}

/** @param {Phone} phone @param {Job} job @param {Dict} row @param {any} [step] */
function card(phone, job, row, step) {
  const def = lists(job)[row.list];
  const on = job.progress.blockers.some((/** @type {Dict} */ one) => one.row === row.event) && phone.canWork(job.state);
  const last = job.procedure.rules >= IN_ORDER && row.list === "member" && first(row, standing(job.state).filter((one) => one !== row && one.list === "member" && !one.ended)).length;
  const panel = `end.${row.event}`;
  const overdue = dueAgain(row);
  return html`<div class=${`card board ${row.ended ? "over" : ""}`}><b>${rowText(phone, job, row)}</b>
    ${row.of.length ? html`<span>${row.of.map((/** @type {string} */ id) => rowText(phone, job, sourceOf(job, id))).join("; ")}</span>` : nothing}
    <span class="small soft">${t("reading.by", { who: phone.nameOf(row.by), at: when(row.at) })}${row.claimed ? ` · ${t("reading.claimed")}` : ""}</span>
    ${row.checks.map((/** @type {Dict} */ one) => html`<span class="small">${t("board.checked", { who: phone.nameOf(one.by), at: when(one.at), what: one.showed })}</span>`)}
    ${row.ended ? html`<span class="strong">${endText(phone, row)}</span>` : nothing}
    ${overdue && !row.ended ? html`<span class=${overdue.late ? "strong care-word" : "small"}>${t(overdue.late ? "board.check_late" : "board.check_by", { at: when(overdue.at) })}</span>` : nothing}
    <div class="words">${overdue && !row.ended && phone.canWork(job.state) ? wordButton(phone, `check.${row.event}`, t("board.check")) : nothing}
    ${on ? (last ? html`<span>${t("board.on_first")}</span>` : wordButton(phone, panel, words(def.end))) : nothing}
    ${row.ended === null && phone.canWork(job.state) && !step?.ends ? wordButton(phone, `mistake.${row.event}`, t("board.mistake")) : nothing}</div>
    ${endForm(phone, job, row)}</div>`;
}

/** @param {Phone} phone @param {string} panel @param {string} label */
const wordButton = (phone, panel, label) =>
  html`<button class="word" aria-expanded=${phone.panel.value === panel ? "true" : "false"} @click=${() => (phone.panel.value = phone.panel.value === panel ? "" : panel)}>${label}</button>`;

/** @param {Phone} phone @param {Dict} row */
function endText(phone, row) {
  const { ended } = row;
  const said = { who: phone.nameOf(ended.by), at: when(ended.at) };
  return ended.by_owner ? t("board.ended", said) : t("board.ended_for", said);
}

/** When a thing that can come back is to be looked at again. @param {Dict} row */
function dueAgain(row) {
  const every = Number(row.fields.every?.typed);
  if (!every || row.fields.returns?.yes === false) return null;
  const last = row.checks.at(-1)?.at ?? row.at;
  const at = new Date(Date.parse(last) + every * MINUTE);
  return { at: at.toISOString(), late: at.getTime() < Date.now() };
}

/** A new row: closed behind its button until somebody wants one. @param {Phone} phone @param {Job} job @param {string} name @param {any} step */
function form(phone, job, name, step) {
  const def = lists(job)[name];
  const key = rowKey(job, name);
  const draft = phone.drafts.get(key);
  const panel = `row.${name}`;
  const { want, may, of, fields } = rowNow(phone, job, name, step);
  const open = phone.panel.value === panel || draft.fields || (want && phone.panel.value === "");
  if (!open) return html`<button class="second" @click=${() => (phone.panel.value = panel)}>${words(def.add)}</button>`;
  const bad = phone.asked.value === panel;
  const set = (/** @type {string} */ field) => (/** @type {any} */ entry) => {
    const fields = { ...phone.drafts.get(key).fields };
    if (entry === undefined && !def.fields.find((/** @type {Dict} */ one) => one.name === field).take) delete fields[field];
    else fields[field] = entry ?? { text: "" };
    void phone.drafts.patch(key, { fields: Object.keys(fields).length ? fields : undefined });
  };
  const only = (step?.rows === name && step.only) || {};
  const spec = (/** @type {Dict} */ one) => /** @type {any} */ ({ ...one, short: true, ...(only[one.name] ? { choices: one.choices.filter((/** @type {Dict} */ choice) => only[one.name].includes(choice.word)) } : {}) });
  return html`<fieldset class="stack opened"><legend>${words(def.add)}</legend>${def.help ? html`<p class="help">${words(def.help)}</p>` : nothing}
    ${def.of ? about(phone, job, def.of, key, may, of, bad) : nothing}
    ${def.fields.filter((/** @type {Dict} */ one) => !want?.fields?.[one.name]).map((/** @type {Dict} */ one) => html`${field(phone, { id: `r-${name}-${one.name}`, spec: spec(one), entry: fields[one.name], program: job.program, set: set(one.name), problem: bad ? problemOf(job, one, fields[one.name]) : null })}
      ${def.owner === one.name && !fields[one.name] ? html`<button type="button" class="word" @click=${() => set(one.name)({ text: phone.people.acting?.name ?? "" })}>${t("board.mine", { who: phone.people.acting?.name ?? "" })}</button>` : nothing}`)}</fieldset>`;
}

/** Which rows a row is about: sources, or the locks that change hands. @param {Phone} phone @param {Job} job @param {string} of @param {string} key @param {Dict[]} may @param {string[]} chosen @param {boolean} bad */
function about(phone, job, of, key, may, chosen, bad) {
  const flip = (/** @type {string} */ id) =>
    void phone.drafts.patch(key, { of: chosen.includes(id) ? chosen.filter((one) => one !== id) : [...chosen, id] });
  return html`<fieldset class=${bad && !chosen.length ? "field bad" : "field"}><legend>${t(of === "source" ? "board.about" : "board.about_lock")}</legend>
    <div class="stack">${may.map((row) => html`<label class="tick"><input type="checkbox" .checked=${live(chosen.includes(row.event))} @change=${() => flip(row.event)} /><span>${rowText(phone, job, row)}</span></label>`)}</div>
    ${bad && !chosen.length ? html`<p class="wrong" role="alert">${t("board.about_missing")}</p>` : nothing}</fieldset>`;
}

/** @param {Job} job @param {Dict} spec @param {any} entry @returns {string | null} */
function problemOf(job, spec, entry) {
  if (entry === undefined || (entry.text !== undefined && !entry.text.trim())) return spec.optional ? null : t("field.missing");
  return singleProblems(job.program, spec, entry)[0]?.message ?? null;
}

/** Saving the open form is the act at the thumb; null where none is open. @param {Phone} phone @param {Job} job @param {any} step */
export function boardFoot(phone, job, step) {
  if (!phone.canWork(job.state)) return null;
  const [act, id] = phone.panel.value.split(/\.(.*)/);
  const row = job.state.board.find((/** @type {Dict} */ one) => one.event === id);
  if (row && act && ["end", "check", "mistake"].includes(act))
    return saving(phone, t(`board.save_${act}`), () => saveEnd(phone, job, row, act, step));
  const want = wanted(phone, job, step);
  const name = act === "row" && id ? id : (want?.list ?? step?.rows);
  const def = name ? lists(job)[name] : null;
  if (!def || !(phone.panel.value === `row.${name}` || phone.drafts.get(rowKey(job, name)).fields || want)) return null;
  return saving(phone, t("board.save"), () => saveRow(phone, job, name, def, step));
}

/** @param {Phone} phone @param {string} label @param {() => Promise<void>} act */
const saving = (phone, label, act) => html`<button class="primary" ?disabled=${phone.busy.value} @click=${() => phone.doing(act)}>${label}</button>
  ${phone.panel.value ? html`<button class="word" @click=${() => (phone.panel.value = "")}>${t("panel.close")}</button>` : nothing}`;

/** @param {Phone} phone @param {Job} job @param {string} name @param {Dict} def @param {any} step */
async function saveRow(phone, job, name, def, step) {
  const key = rowKey(job, name);
  const { may, of, fields } = rowNow(phone, job, name, step);
  const wrong = def.fields.some((/** @type {Dict} */ one) => problemOf(job, one, fields[one.name]));
  if (wrong || (may.length && !of.length)) {
    mend(phone, `row.${name}`);
    return;
  }
  const body = { list: name, fields, ...(def.of ? { of } : {}), ...(step?.rows === name ? { step: step.id } : {}), ...(name === "handover" ? { comer: idOf(phone, fields.to.text) } : {}) };
  await write(phone, "row_added", job.id, body, { drafts: [key] });
  phone.asked.value = "";
  phone.panel.value = "";
  if (name === "handover") await takeOver(phone, job, of, fields);
}

/** The person on this phone whose name fits: who comes proves zero energy next. @param {Phone} phone @param {string} to */
const idOf = (phone, to) => phone.people.here.value.find(({ name }) => name.toLowerCase().includes(to.trim().toLowerCase()))?.id ?? null;

/** The comer's lock for each lock that changes hands; then the goer's is asked for. @param {Phone} phone @param {Job} job @param {string[]} of @param {Dict} fields */
async function takeOver(phone, job, of, fields) {
  const numbers = fields.incoming_lock.text.split(/[,;]/);
  for (const [at, id] of of.entries()) {
    const { list, of: about, step, fields: old } = sourceOf(job, id);
    const { tag, ...kept } = old;
    const lock = { text: (numbers.length === of.length ? numbers[at] : fields.incoming_lock.text).trim() };
    await write(phone, "row_added", job.id, { list, of: about, fields: { ...kept, lock, [lists(job)[list].owner]: fields.to }, ...(step ? { step } : {}) });
  }
  askGoer(phone, job, of);
}

/** The next lock of the one who goes, or on to what is open. @param {Phone} phone @param {Job} job @param {string[]} given */
function askGoer(phone, job, given) {
  const now = standing(phone.journal.job(job.id));
  const row = now.find((one) => given.includes(one.event) && one.ended === null);
  if (!row) return phone.route.go(nextPath(phone, job.id));
  phone.panel.value = `end.${row.event}`;
  requestAnimationFrame(() => document.querySelector(".opened")?.scrollIntoView({ block: "center" }));
}

/** @param {Phone} phone @param {Job} job @param {Dict} row */
function endForm(phone, job, row) {
  const [act, id] = phone.panel.value.split(/\.(.*)/);
  if (id !== row.event || act === "row") return nothing;
  const key = draftKey(job.id, phone.panel.value);
  const draft = phone.drafts.get(key);
  const bad = phone.asked.value === phone.panel.value;
  const def = lists(job)[row.list];
  const text = (/** @type {string} */ name, /** @type {string} */ label) =>
    field(phone, { id: `e-${name}`, spec: /** @type {any} */ ({ name, label: { en: label }, kind: "text", short: true }), entry: draft[name], program: job.program, set: (entry) => void phone.drafts.patch(key, { [name]: entry }), problem: bad && !draft[name]?.text?.trim() ? t("panel.missing") : null });
  if (act === "check") return text("note", t("board.check_what"));
  if (act === "mistake") return text("note", t("board.mistake_why"));
  if (!def.owner) return html`${def.end_help ? html`<p class="help">${words(def.end_help)}</p>` : nothing}${cannotEnd(job, row) ? told(t("board.prove_first"), "care") : text("note", t("board.end_note"))}`;
  const owner = row.fields[def.owner]?.text ?? "";
  const yes = draft.by_owner;
  return html`<fieldset class=${bad && yes === undefined ? "field opened bad" : "field opened"}><legend>${t("board.owner")}</legend><div class="choices">
    ${[true, false].map((one) => html`<label><input type="radio" name="by-owner" .checked=${live(yes === one)} @change=${() => void phone.drafts.patch(key, { by_owner: one })} /><span>${t(one ? "board.owner_did" : "board.owner_away", { who: owner })}</span></label>`)}</div>
    ${bad && yes === undefined ? html`<p class="wrong" role="alert">${t("field.missing")}</p>` : nothing}</fieldset>
    ${yes === false ? html`${told(t("board.exception"), "halt")}${job.bundle.board.exception.map((/** @type {Dict} */ one) => field(phone, { id: `x-${one.name}`, spec: /** @type {any} */ ({ ...one, short: true }), entry: draft.exception?.[one.name], program: job.program, set: (entry) => void phone.drafts.patch(key, { exception: { ...phone.drafts.get(key).exception, [one.name]: entry } }), problem: bad && !draft.exception?.[one.name]?.text?.trim() ? t("field.missing") : null }))}` : nothing}`;
}

/** A test run is over only when zero energy is proved again. @param {Job} job @param {Dict} row */
const cannotEnd = (job, row) => row.list === "test_run" && !isProved(job);

/** The step a row comes off in: the one on the screen, or on the board the one that is open for it. @param {Job} job @param {Dict} row @param {any} step */
const endedIn = (job, row, step) => {
  const at = step ?? job.steps.find((one) => one.told.status === "open" && one.ends === row.list);
  return at?.ends ? { step: at.id } : {};
};

/** @param {Phone} phone @param {Job} job @param {Dict} row @param {string} act @param {any} step */
async function saveEnd(phone, job, row, act, step) {
  const key = draftKey(job.id, phone.panel.value);
  const draft = phone.drafts.get(key);
  const def = lists(job)[row.list];
  const note = draft.note?.text?.trim();
  const away = def.owner && draft.by_owner === false;
  const ready =
    act !== "end" || !def.owner
      ? note && !(act === "end" && cannotEnd(job, row))
      : draft.by_owner === true ||
        (away && job.bundle.board.exception.every((/** @type {Dict} */ one) => draft.exception?.[one.name]?.text?.trim()));
  if (!ready) {
    mend(phone, phone.panel.value);
    return;
  }
  if (act === "check") await write(phone, "row_checked", job.id, { row: row.event, showed: note }, { drafts: [key] });
  else
    await write(
      phone,
      "row_ended",
      job.id,
      { row: row.event, list: row.list, ...endedIn(job, row, step), ...(act === "mistake" ? { mistake: true } : {}), ...(note ? { note } : {}), ...(def.owner && act === "end" ? { by_owner: !away } : {}), ...(away ? { exception: draft.exception } : {}) },
      { drafts: [key] },
    );
  phone.asked.value = "";
  phone.panel.value = "";
  const given = standing(job.state).flatMap((one) => (one.list === "handover" ? one.of : []));
  if (given.includes(row.event) && !step) askGoer(phone, job, given);
}

/** Everything on the board of a job, and what can be added at any time. @param {Phone} phone @param {Job} job @param {any} titles
 * @param {string} [from] the step it was opened from: the way back, and on while that step is open */
export function energyScreen(phone, job, titles, from) {
  const step = job.steps.find((one) => one.id === from);
  const back = `job/${job.id}${step ? `/step/${from}` : ""}`;
  const on = step?.told.status === "open" ? back : nextPath(phone, job.id);
  const go = phone.canWork(job.state) ? html`<a class="primary" href=${`#/${on}`}>${t("job.go_on")}</a>` : null;
  const every = job.bundle.board?.order ?? [];
  const page = html`<p>${t("board.lead")}</p>
    ${every.map((/** @type {string} */ name) => html`${listOf(phone, job, name)}${phone.canWork(job.state) ? form(phone, job, name, null) : nothing}`)}`;
  return screen(phone, { title: t("board.title"), under: titles[0], back, page, foot: phone.pad.value ? pad(phone) : (boardFoot(phone, job, null) ?? go) });
}
