// Machines and their positions: find one, make one on the spot, start a job on one.
import { html, nothing } from "lit-html";
import { keyed } from "lit-html/directives/keyed.js";
import { describePosition, startJob } from "../acts.js";
import { isOpen, jobsHere, laterOf, makerLevels } from "../job.js";
import { answered, asks, factProblems, sheetsWithMaker, slipsOfFacts, unanswered } from "../judge.js";
import { t, words } from "../text/say.js";
import { askCard } from "./ask.js";
import { field, plain } from "./fields.js";
import { goOn, jobTitles, opening } from "./job.js";
import { dueText, forWhat, laterWork } from "./later.js";
import { makersView } from "./makers.js";
import { CAUTIONS } from "./more.js";
import { pad } from "./pad.js";
import { mend, pairs, plantOwn, screen, signal, told } from "./parts.js";
import { makerFields } from "./reading.js";
import { uuid7 } from "../events.js";

/** @typedef {import("../app.js").Phone} Phone */

/** @param {Phone} phone @returns {{id: string, state: any}[]} */
function all(phone) {
  return phone.journal
    .ids("position")
    .map((id) => ({ id, state: phone.journal.position(id) }))
    .filter((one) => !one.state.retired)
    .sort((a, b) => `${a.state.machine.name} ${a.state.name}`.localeCompare(`${b.state.machine.name} ${b.state.name}`));
}

/** @param {Phone} phone */
export function positionsScreen(phone) {
  const find = phone.find.value.toLowerCase().split(/\s+/).filter(Boolean);
  const every = all(phone);
  const list = every.filter(({ state }) => {
    const text = `${state.machine.name} ${state.machine.area ?? ""} ${state.name}`.toLowerCase();
    return find.every((word) => text.includes(word));
  });
  const bundle = phone.handbook.get(phone.handbook.current.value);
  const page = html`<a class="second" href="#/scan">${t("scan.title")}</a>
    <div class="field"><label for="find">${t("positions.find")}</label>
      <input id="find" type="search" autocomplete="off" .value=${phone.find.value} @input=${(/** @type {Event} */ event) => (phone.find.value = /** @type {HTMLInputElement} */ (event.target).value)} /></div>
    <p class="hidden" role="status">${t("positions.found", { n: list.length })}</p>
    ${list.length ? html`<ul class="cards">${list.slice(0, 60).map(({ id, state }) => html`<li><a class="card" href=${`#/position/${id}`}><b>${state.machine.name}, ${state.name}</b><span>${words(bundle?.methods?.[state.facts?.locking_method?.word]?.title)}</span>${state.machine.area ? html`<span class="small soft">${state.machine.area}</span>` : nothing}</a></li>`)}</ul>${list.length > 60 ? html`<p>${t("positions.more", { n: list.length - 60 })}</p>` : nothing}` : html`<p class="empty">${every.length ? t("positions.none_found") : t("positions.none")}</p>`}`;
  const on = goOn(phone);
  return screen(phone, {
    title: t("positions.title"),
    back: "",
    page,
    foot: html`${on}<a class=${on ? "second" : "primary"} href="#/new">${t("positions.new")}</a>`,
  });
}

/** @param {Phone} phone @param {string} id */
export function positionScreen(phone, id) {
  const state = phone.journal.position(id);
  const bundle = phone.handbook.get(phone.handbook.current.value);
  if (!state || !bundle)
    return screen(phone, {
      title: t("positions.title"),
      back: "positions",
      page: html`<p>${t(state ? "job.no_handbook" : "positions.gone")}</p>`,
    });
  const method = state.facts?.locking_method?.word;
  const jobs = jobsHere(phone).filter((job) => job.state.position === id);
  const running = jobs.filter((job) => isOpen(job.state) || laterOf(jobs, job).some((/** @type {any} */ one) => one.due && !one.own));
  const can = (/** @type {string} */ work) => bundle.procedures[`${method}_${work}`];
  const own = Object.values(bundle.procedures).filter((/** @type {any} */ one) => one.plant && one.method === method);
  const rows = bundle.facts
    .filter((/** @type {any} */ fact) => state.facts?.[fact.name] !== undefined)
    .map((/** @type {any} */ fact) => [words(fact.label), phone.entryText(bundle.calc, state.facts[fact.name], fact)]);
  const page = html`
    ${running.map((job) => html`<a class="card" href=${`#/job/${job.id}`}><b>${t(isOpen(job.state) ? "position.open_job" : "later.due")}</b><span>${jobTitles(job.state, phone.handbook.get(job.state.bundle))[1]}</span><span>${forWhat(phone, job.state.parent_job, job.state.follow_up)}</span></a>`)}
    ${pairs(rows)}
    ${Object.entries(state.maker ?? {}).length ? html`<h2>${t("maker.title")}</h2>${pairs(Object.entries(state.maker).map(([line, one]) => [phone.lineName(bundle, line), html`${phone.entryText(bundle.calc, one)} · ${one.document} ${one.revision ?? ""}`]))}` : nothing}
    ${own.length && phone.people.acting ? html`<h2>${t("plant.procedures")}</h2>${own.map((/** @type {any} */ one) => html`<a class="card" href=${`#/start/${id}/${one.procedure}`}><b>${words(one.title)}</b><span>${plantOwn(bundle)}</span></a>`)}` : nothing}
    ${method ? sheetsWithMaker(bundle, method).map((sheet) => makersView(phone, bundle.calc, sheet, null, makerLevels({ state: { facts: state.facts }, plant: phone.journal.plantValues(), program: bundle.calc }, sheet))) : nothing}
    <div class="words">${phone.people.acting && can("check") ? html`<a class="word" href=${`#/start/${id}/check`}>${t("position.start_check")}</a>` : nothing}
      <a class="word" href=${`#/edit/${id}`}>${t("position.change")}</a></div>`;
  const work = /** @type {const} */ (["mount", "remove"]);
  const foot = phone.people.acting
    ? work
        .filter(can)
        .map(
          (one, at) =>
            html`<a class=${at ? "second" : "primary"} href=${`#/start/${id}/${one}`}>${t(`position.start_${one}`)}</a>`,
        )
    : null;
  return screen(phone, {
    title: `${state.machine.name}, ${state.name}`,
    under: words(bundle.methods?.[method]?.title),
    back: "positions",
    page,
    foot: foot?.length ? foot : null,
  });
}

/** Cautions and deference first; then the start. @param {Phone} phone @param {string} id @param {string} work
 * @param {string} [parent] the job that this one follows @param {string} [followUp] its later work that this one is for */
export function startScreen(phone, id, work, parent, followUp) {
  const back = parent ? `job/${parent}` : `position/${id}`;
  const state = phone.journal.position(id);
  const bundle = phone.handbook.get(phone.handbook.current.value);
  // our two procedures of a method go by their work, a plant's own by its name
  const method = state?.facts?.locking_method?.word;
  const procedureId = bundle?.procedures?.[work]?.method === method ? work : `${method}_${work}`;
  const procedure = bundle?.procedures?.[procedureId];
  if (!procedure)
    return screen(phone, { title: t("job.title"), back, page: html`<p>${t("job.no_handbook")}</p>` });
  const jobs = jobsHere(phone).filter((job) => job.state.position === id);
  const open = jobs.flatMap((job) => laterOf(jobs, job)).filter(({ due, own, state }) => due && !own && state.method === method && work === laterWork(phone, state));
  const page = html`<p class="strong">${forWhat(phone, parent, followUp)}</p>
    ${!parent && open.length ? html`<section class="told stack"><h2>${t("later.does")}</h2>${open.map(({ id: job, state, one }) => html`<a class="card" href=${`#/start/${id}/${work}/${job}/${one.follow_up}`}><b>${words(one.title)}</b><span>${dueText(state, one)}</span></a>`)}</section>` : nothing}${opening(procedure)}
    <p class="small soft">${words(procedure.title)} · ${procedure.source?.text ? words(procedure.source.text) : ""}</p>`;
  const start = () =>
    phone.doing(async () => {
      const job = await startJob(phone, { id, state }, procedureId, procedure, parent, followUp);
      const [first] = procedure.steps;
      phone.route.go(`job/${job}/step/${first.step}`, true);
    });
  return screen(phone, {
    title: `${state.machine.name}, ${state.name}`,
    under: t(`work.${procedure.work}`),
    back,
    page,
    must: CAUTIONS,
    foot: html`<button class="primary" ?disabled=${phone.busy.value} @click=${start}>${t("job.start")}</button>`,
  });
}

/** The form of a position, made from the handbook's facts. @param {Phone} phone @param {string | null} id */
export function positionForm(phone, id) {
  const bundle = phone.handbook.get(phone.handbook.current.value);
  const back = id ? `position/${id}` : "positions";
  if (!bundle) return screen(phone, { title: t("position.new"), back, page: html`<p>${t("job.no_handbook")}</p>` });
  const key = `position/${id ?? "new"}`;
  const known = id ? phone.journal.position(id) : null;
  const draft = {
    machine: known?.machine?.name ?? "",
    area: known?.machine?.area ?? "",
    name: known?.name ?? "",
    facts: known?.facts ?? {},
    maker: known?.maker ?? {},
    ...phone.drafts.get(key),
  };
  const method = draft.facts.locking_method?.word;
  const wanted = bundle.facts.filter((/** @type {any} */ fact) => asks(fact, method, bundle, draft.facts));
  const tried = phone.asked.value === key;
  const machines = [...new Set(all(phone).map((one) => one.state.machine.name))];
  const set = (/** @type {any} */ change) => void phone.drafts.patch(key, change);
  /** @param {any} fact @returns {{message: string | null, meant?: string}} */
  const problem = (fact) => {
    const entry = draft.facts[fact.name];
    if (entry === undefined) return { message: tried && !fact.optional ? t("field.missing") : null };
    return factProblems(bundle, fact, draft.facts)[0] ?? { message: null };
  };
  const sheets = method ? sheetsWithMaker(bundle, method) : [];
  const page = html`
    ${plain({ id: "machine", label: t("position.machine"), help: machines.length ? t("position.machine_help") : "", value: draft.machine, set: (text) => set({ machine: text }), problem: tried && !draft.machine.trim() ? t("field.missing") : "" })}
    ${plain({ id: "area", label: `${t("position.area")} ${t("field.optional")}`, value: draft.area, set: (text) => set({ area: text }) })}
    ${plain({ id: "name", label: t("position.name"), help: t("position.name_help"), value: draft.name, set: (text) => set({ name: text }), problem: tried && !draft.name.trim() ? t("field.missing") : "" })}
    ${wanted.map((/** @type {any} */ fact) =>
      field(phone, {
        id: `fact-${fact.name}`,
        spec: fact,
        entry: draft.facts[fact.name],
        program: bundle.calc,
        problem: problem(fact).message,
        meant: problem(fact).meant,
        set: (/** @type {any} */ entry) => {
          const facts = { ...draft.facts };
          if (entry === undefined) delete facts[fact.name];
          else facts[fact.name] = entry;
          set({ facts });
        },
      }),
    )}
    ${
      sheets.length
        ? html`<details ?open=${Object.keys(draft.maker).length > 0}><summary>${t("maker.add")}</summary>${sheets.map(
            (sheet) => html`<div class="stack">
      <h2>${words(bundle.calc.sheets[sheet].title)}</h2>${makerFields(phone, { program: bundle.calc, sheet, maker: draft.maker, id: `m-${sheet}`, set: (maker) => set({ maker }) })}</div>`,
          )}</details>`
        : nothing
    }`;
  const slips = slipsOfFacts(bundle, Object.fromEntries(wanted.map((/** @type {any} */ fact) => [fact.name, draft.facts[fact.name]])));
  const [asking] = unanswered(slips, draft.as_typed);
  const save = () =>
    phone.doing(async () => {
      const bad =
        !draft.machine.trim() ||
        !draft.name.trim() ||
        wanted.some((/** @type {any} */ fact) =>
          draft.facts[fact.name] === undefined
            ? !fact.optional
            : factProblems(bundle, fact, draft.facts).length,
        ) ||
        Object.values(draft.maker).some((/** @type {any} */ one) => !one.document?.trim());
      if (bad) {
        mend(phone, key);
        return;
      }
      const twin = all(phone).find(
        (one) => one.state.machine.name.toLowerCase() === draft.machine.trim().toLowerCase(),
      );
      const facts = Object.fromEntries(
        wanted
          .map((/** @type {any} */ fact) => [fact.name, draft.facts[fact.name]])
          .filter((/** @type {[string, any]} */ [, entry]) => entry !== undefined),
      );
      const machine =
        known?.machine?.name === draft.machine.trim()
          ? { ...known.machine, area: draft.area.trim() }
          : { id: twin?.state.machine.id ?? uuid7(), name: draft.machine.trim(), area: draft.area.trim() };
      const record = await describePosition(
        phone,
        {
          machine,
          name: draft.name.trim(),
          facts,
          maker: draft.maker,
          ...(slips.length ? { as_typed: slips.map(answered) } : {}),
        },
        id,
        [key],
      );
      phone.asked.value = "";
      phone.route.go(`position/${record}`, true);
    });
  return keyed(
    key,
    screen(phone, {
      title: t(id ? "position.change" : "position.new"),
      back,
      page,
      foot:
        pad(phone) ??
        (asking
          ? askCard(bundle.calc, asking, {
              change: () =>
                set({ facts: { ...draft.facts, [asking.input]: { ...draft.facts[asking.input], unit: asking.meant_unit } } }),
              keep: () => set({ as_typed: [...(draft.as_typed ?? []), answered(asking)] }),
            })
          : null) ??
        html`<button class="primary" ?disabled=${phone.busy.value} @click=${save}>${t("position.save")}</button>`,
    }),
  );
}

export { signal, told };
