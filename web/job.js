// A job as the screens need it: state, its own handbook, progress, and the entries a sheet needs. No screen, no storage.
import { closedAt, standing } from "./due.js";
import { answered, factValues, judgeSheet, singleProblems, unanswered } from "./judge.js";
import { thatHold } from "./plant_values.js";
import { progress } from "./progress.js";

/**
 * @typedef {{id: string, state: any, bundle: any, plant: any[], program: any, procedure: any, progress: any, steps: any[]}} Job
 */

/** @param {{journal: any, handbook: any}} phone @param {string} id @returns {Job | null} null = the job or its handbook is not here */
export function openJob(phone, id) {
  const state = phone.journal.job(id);
  if (!state?.started) return null;
  const bundle = phone.handbook.get(state.bundle);
  const procedure = bundle?.procedures?.[state.procedure];
  if (!procedure) return null;
  const told = progress(procedure, factValues(bundle, state.facts ?? {}), state);
  const by = new Map(told.steps.map((/** @type {any} */ step) => [step.id, step]));
  const steps = procedure.steps
    .map((/** @type {any} */ step) => ({ ...step, id: step.step, told: by.get(step.step) }))
    .filter((/** @type {any} */ step) => step.told && step.told.status !== "does_not_apply");
  const plant = phone.journal.plantValues();
  return { id, state, bundle, plant, program: bundle.calc, procedure, progress: told, steps };
}

/** Where work goes on: the first open step behind `from`, else the first open one, else the job itself. The one place that
 * says which step is next; read anew, since what was just recorded opens and closes steps.
 * @param {{journal: any, handbook: any}} phone @param {string} id @param {string} [from] the step that is left @returns {string} */
export function nextPath(phone, id, from) {
  const job = openJob(phone, id);
  const steps = job?.steps ?? [];
  const here = steps.findIndex((one) => one.id === from);
  const open = steps.filter((one) => (one.told.status === "open" || one.told.waits) && one.id !== from && !waits(job, one));
  const next = open.find((one) => steps.indexOf(one) > here) ?? open[0];
  return next ? `job/${id}/step/${next.id}` : `job/${id}`;
}

/** Whether the lead has a deviation at this step still to decide. @param {any} job @param {any} step @returns {boolean} */
export const waits = (job, step) => job.state.deviations.some((/** @type {any} */ one) => one.step === step.id && one.decision === null);

/** Whether zero energy stands proved, by what this job's handbook asks of a proof. @param {Job} job */
export const isProved = (job) => job.state.zero_energy.proved && !job.steps.some((one) => one.proves_zero_energy && one.told.status !== "done");

/** Whether work on a job goes on. @param {any} state */
export const isOpen = (state) => state.status === "open" || state.status === "returned";

/** Every job on this phone. @param {{journal: any}} phone @returns {{id: string, state: any}[]} */
export const jobsHere = ({ journal }) =>
  journal
    .ids("job")
    .map((/** @type {string} */ id) => ({ id, state: journal.job(id) }))
    .filter((/** @type {any} */ job) => job.state.started);

/** What comes due after a job. said: by hand to be done; own: the job of its own that speaks for it; due: still to be done.
 * @param {{id: string, state: any}[]} jobs @param {{id: string, state: any}} job */
export const laterOf = (jobs, { id, state }) =>
  state.outstanding.map((/** @type {any} */ one) => {
    const said = state.follow_ups_done.filter((/** @type {any} */ done) => done.follow_up === one.follow_up);
    const own = standing(
      jobs.filter((job) => job.state.parent_job === id && job.state.follow_up === one.follow_up && job.state.position === state.position),
    );
    const closed = own && closedAt(own.state);
    return { id, state, one, said, own, closed, due: !said.length && !closed };
  });

/** Every reading of one place of a step, oldest first. @param {any} state @param {string} step @param {string} reading @returns {any[]} */
export function taken(state, step, reading) {
  return state.readings?.[`${step}/${reading}`]?.all ?? [];
}

/** The reading that counts now, or undefined. @param {any} state @param {string} step @param {string} reading @returns {any} */
export function counted(state, step, reading) {
  const place = state.readings?.[`${step}/${reading}`];
  if (!place) return undefined;
  const id = typeof place.current === "object" && place.current ? place.current.event : place.current;
  return place.all.find((/** @type {any} */ one) => one.event === id) ?? place.all[place.all.length - 1];
}

/** What the procedure takes for a sheet from elsewhere: facts of the position, fixed words, earlier readings.
 * @param {Job} job @param {Record<string, any>} take
 * @returns {{entries: Record<string, any>, missing: string[]}} missing: inputs whose source has nothing yet */
export function takeEntries(job, take) {
  /** @type {Record<string, any>} */
  const entries = {};
  const missing = [];
  for (const [input, from] of Object.entries(take ?? {})) {
    let entry;
    if (from.fact !== undefined) entry = job.state.facts?.[from.fact];
    else if (from.reading !== undefined) {
      const [step, reading] = splitReading(job, from.reading);
      const body = counted(job.state, step, reading)?.body;
      entry = from.input ? (body?.entries?.[from.input] ?? body?.value) : body?.value;
    } else entry = from;
    if (entry === undefined || entry === null) missing.push(input);
    else entries[input] = entry;
  }
  return { entries, missing };
}

/** `step/reading`, or a reading's name alone where only one step has it. @param {Job} job @param {string} name @returns {[string, string]} */
function splitReading(job, name) {
  if (name.includes("/")) return /** @type {[string, string]} */ (name.split("/"));
  const step = job.procedure.steps.find((/** @type {any} */ one) =>
    one.readings?.some((/** @type {any} */ reading) => reading.reading === name),
  );
  return [step?.step ?? "", name];
}

/** @param {any} program @param {string} sheet @param {string} input */
export function inputSpec(program, sheet, input) {
  return program.sheets[sheet]?.inputs.find((/** @type {any} */ one) => one.name === input);
}

/** The fields one reading asks for: its own, and every taken value that turned out not to be there.
 * @param {Job} job @param {any} reading @returns {any[]} input specs, `required` where the procedure asks for them */
export function asked(job, reading) {
  if (!reading.sheet)
    return [
      {
        name: reading.reading,
        label: reading.label,
        help: reading.help,
        kind: reading.kind,
        unit: reading.unit,
        choices: reading.choices,
        list: reading.list,
        optional: !isRequired(reading),
      },
    ];
  const { missing } = takeEntries(job, reading.take);
  const may = reading.may ?? [];
  const names = [
    ...(reading.ask ?? []),
    ...missing.filter(
      (name) => !(reading.ask ?? []).includes(name) && !inputSpec(job.program, reading.sheet, name)?.optional,
    ),
    ...may,
  ];
  return names
    .map((name) => {
      const spec = inputSpec(job.program, reading.sheet, name);
      // A resolution and other helpers stay optional; what the step asks for is wanted unless the sheet uses it only to judge finer.
      return spec ? { ...spec, optional: spec.optional && (may.includes(name) || isHelper(job.program, reading.sheet, name)) } : null;
    })
    .filter(Boolean);
}

/** @param {any} reading */
export const isRequired = (reading) => reading.required !== false;

/** An input that only says how fine an instrument is. @param {any} program @param {string} sheet @param {string} name */
function isHelper(program, sheet, name) {
  const all = program.sheets[sheet];
  return (
    all.inputs.some((/** @type {any} */ one) => one.resolution === name) ||
    all.windows?.some((/** @type {any} */ one) => one.resolution === name) ||
    /_step$|pitch$/.test(name)
  );
}

/** The maker's values for a sheet in this job, by line, the one that rules first: entered for this record, then for the
 * bearing in its place, then for the plant. @param {{state: any, plant: any[], program: any}} job @param {string} sheet @param {Record<string, any>} [here]
 * @returns {{levels: Record<string, any[]>, unclear: string[]}} */
export function makerLevels(job, sheet, here = {}) {
  const { used, unclear } = thatHold(job.program, job.plant, sheet, job.state.facts ?? {});
  /** @type {Record<string, any[]>} */
  const levels = Object.fromEntries(Object.entries(used).map(([line, value]) => [line, [value]]));
  const put = (/** @type {string} */ path, /** @type {any} */ value) => {
    const [of, line = ""] = path.includes(".") ? path.split(".") : [sheet, path];
    if (of === sheet)
      levels[line] = [value, ...(levels[line] ?? []).filter((/** @type {any} */ one) => one.origin !== value.origin)];
  };
  const bearing = job.state.maker ?? {};
  for (const [path, value] of Object.entries(bearing)) put(path, { ...value, origin: "bearing" });
  for (const place of Object.values(job.state.readings ?? {}))
    for (const one of /** @type {any} */ (place).all)
      for (const [line, value] of Object.entries(one.body?.maker ?? {})) {
        // What a reading only copied from above is no value of this record; without an origin it is an older app's copy.
        const origin = value.origin ?? (bearing[`${one.body.sheet}.${line}`] ? "bearing" : "record");
        if (one.body.sheet === sheet && origin === "record") put(line, { by: one.by, at: one.at, ...value, origin });
      }
  for (const [path, value] of Object.entries(here)) put(path, { ...value, origin: "record" });
  return { levels, unclear };
}

/** The values that rule, by line. @param {{levels: Record<string, any[]>}} makers @returns {Record<string, any>} */
export const makerFor = ({ levels }) =>
  Object.fromEntries(Object.entries(levels).map(([line, all]) => [line, all[0]]));

/** The draft's entries of one reading. @param {any} draft @param {string} reading */
export function draftEntries(draft, reading) {
  /** @type {Record<string, any>} */
  const entries = {};
  for (const [path, entry] of Object.entries(draft.fields ?? {})) {
    const [of, input] = path.split("/");
    if (of === reading && input !== undefined) entries[input] = entry;
  }
  return entries;
}

/** Everything one reading on the screen needs: entries, judgement, what is still empty, whether it may be recorded.
 * @param {Job} job @param {any} reading @param {any} draft */
export function readingNow(job, reading, draft) {
  const fields = asked(job, reading);
  const typed = draftEntries(draft, reading.reading);
  const empty = fields.filter((spec) => !spec.optional && typed[spec.name] === undefined).map((spec) => spec.name);
  const started = Object.keys(typed).length > 0;
  if (!reading.sheet) {
    const problems = started ? singleProblems(job.program, fields[0], typed[reading.reading]) : [];
    return { reading, fields, typed, empty, started, problems, result: null, entries: {}, maker: {}, makers: null, asks: [], kept: [] };
  }
  const entries = { ...takeEntries(job, reading.take).entries, ...typed };
  const makers = makerLevels(job, reading.sheet, draft.maker);
  const maker = makerFor(makers);
  const judged = judgeSheet(job.program, reading.sheet, entries, maker);
  // What came from elsewhere cannot be changed here, so only what was typed here is asked about.
  const here = judged.asks.filter((one) => typed[one.input] || draft.maker?.[`${reading.sheet}.${one.input}`]);
  const open = unanswered(here, draft.as_typed);
  const kept = here.filter((one) => !open.includes(one)).map(answered);
  const asks = started && !empty.length && !judged.problems.length ? open : [];
  return { reading, fields, typed, empty, started, problems: judged.problems, result: judged.result, entries, maker, makers, asks, kept };
}

/** What a recorded reading is worth: the server's word where it differs. @param {any} one */
export const resultOf = (one) => one.result ?? one.body.result;

/** Whether a reading may stand without a lead. @param {any} result */
export function standsAlone(result) {
  if (!result) return true;
  if (result.verdict === "inside" || result.verdict === "none") return true;
  return result.verdict === "caution" && !(result.checks ?? []).some((/** @type {any} */ check) => check.lead_accepts);
}
