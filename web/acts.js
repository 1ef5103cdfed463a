// What a person can do to a job, as events. Each returns when it is durable on this phone.
import { counted, isRequired, readingNow, resultOf, standsAlone } from "./job.js";
import { uuid7 } from "./events.js";
import { outstanding } from "./outstanding.js";
import { makePhoto } from "./photo.js";
import { seenIn } from "./seen.js";

/** @typedef {import("./app.js").Phone} Phone @typedef {import("./job.js").Job} Job */

/** @param {string} job @param {string} step */
export const draftKey = (job, step) => `job/${job}/${step}`;

/** @param {Phone} phone @param {string} kind @param {string} record @param {Record<string, any>} body @param {{drafts?: string[], actor?: string}} [more] */
export async function write(phone, kind, record, body, { drafts = [], actor } = {}) {
  const who = actor ?? phone.people.acting?.id;
  if (!who) throw new Error("nobody is acting");
  await phone.drafts.last;
  const kept = await phone.journal.write({ kind, record, body: { ...seenIn(phone, record, body), ...body }, actor: who, drafts });
  for (const key of drafts) phone.drafts.ended(key);
  phone.saved();
  return kept;
}

/** @param {Phone} phone */
const units = (phone) => ({ units: phone.settings.all.value.units });

/** @param {Phone} phone @param {{id: string, state: any}} position @param {string} procedureId @param {any} procedure
 * @param {string} [parent] the job before @param {string} [follow_up] its later work that this one is for */
export async function startJob(phone, position, procedureId, procedure, parent, follow_up) {
  const record = uuid7();
  const { state } = position;
  await write(phone, "job_started", record, {
    position: position.id,
    machine: state.machine,
    position_name: state.name,
    procedure: procedureId,
    method: procedure.method,
    work: procedure.work,
    bundle: phone.handbook.current.value,
    facts: state.facts ?? {},
    maker: ofBearing(state),
    ...(parent ? { parent_job: parent } : {}),
    ...(follow_up && { follow_up }),
  });
  return record;
}

/** The bearing's own maker's values, each with who entered it and when. @param {any} state */
function ofBearing({ maker = {}, described = [] }) {
  const { by, at } = described[described.length - 1] ?? {};
  return Object.fromEntries(
    Object.entries(maker).map(([line, value]) => [line, { ...(by ? { by, at } : {}), ...value, origin: "bearing" }]),
  );
}

/** @param {Phone} phone @param {any} body @param {string | null} id null = a new position @param {string[]} drafts */
export async function describePosition(phone, body, id, drafts) {
  const record = id ?? uuid7();
  await write(phone, "position_described", record, body, { drafts });
  return record;
}

/** Record the readings of a step that are filled in. @param {Phone} phone @param {Job} job @param {any} step
 * @returns {Promise<{wrong: string[], alone: boolean}>} wrong: readings with something to mend, nothing of those was written */
export async function recordReadings(phone, job, step) {
  const key = draftKey(job.id, step.id);
  const draft = phone.drafts.get(key);
  const readings = (step.readings ?? []).map((/** @type {any} */ reading) => readingNow(job, reading, draft));
  const wrong = readings
    .filter((/** @type {any} */ now) =>
      now.started
        ? now.empty.length || now.problems.length || now.asks.length
        : isRequired(now.reading) && !counted(job.state, step.id, now.reading.reading),
    )
    .map((/** @type {any} */ now) => now.reading.reading);
  // A maker's value without its document is a rumour.
  for (const [line, value] of Object.entries(draft.maker ?? {}))
    if (!(/** @type {any} */ (value).document?.trim())) wrong.push(line);
  if (wrong.length) return { wrong, alone: false };
  let alone = true;
  for (const now of readings) {
    if (!now.started) {
      const before = counted(job.state, step.id, now.reading.reading);
      if (before && !standsAlone(resultOf(before))) alone = false;
      continue;
    }
    if (!standsAlone(now.result)) alone = false;
    await writeReading(phone, job, step, now, draft);
  }
  return { wrong: [], alone };
}

/** @param {Phone} phone @param {Job} job @param {any} step @param {any} now @param {any} draft */
async function writeReading(phone, job, step, now, draft) {
  const name = now.reading.reading;
  const key = draftKey(job.id, step.id);
  const tool = phone.drafts.get(`job/${job.id}/instrument`)[now.reading.sheet ?? name];
  const used = tool?.name ? { name: tool.name, ...(tool.calibrated ? { calibrated: tool.calibrated } : {}) } : null;
  await write(phone, "reading_taken", job.id, {
    step: step.id,
    reading: name,
    ...(now.reading.sheet
      ? {
          sheet: now.reading.sheet,
          entries: now.entries,
          ...(Object.keys(now.maker).length ? { maker: now.maker } : {}),
          ...(now.kept.length ? { as_typed: now.kept } : {}),
          result: now.result,
        }
      : { entries: {}, value: now.typed[name] }),
    ...(used ? { instrument: used } : {}),
    bundle: job.state.bundle,
    ...units(phone),
    ...(draft.afterwards ? { afterwards: new Date().toISOString() } : {}),
  });
  // The reading is durable: only now may its half-typed form go.
  const rest = { ...phone.drafts.get(key), fields: { ...phone.drafts.get(key).fields } };
  for (const path of Object.keys(rest.fields)) if (path.startsWith(`${name}/`)) delete rest.fields[path];
  delete rest.as_typed;
  await phone.drafts.set(key, Object.keys(rest.fields).length || rest.note || rest.maker ? rest : null);
}

/** @param {Phone} phone @param {Job} job @param {any} step */
export async function stepDone(phone, job, step) {
  const draft = phone.drafts.get(draftKey(job.id, step.id));
  if (step.undoes_zero_energy) await write(phone, "zero_energy_lost", job.id, { step: step.id, reason: "locks off" });
  await write(
    phone,
    "step_done",
    job.id,
    { step: step.id, ...units(phone), ...(draft.afterwards ? { afterwards: new Date().toISOString() } : {}) },
    { drafts: [draftKey(job.id, step.id)] },
  );
}

/** @param {Phone} phone @param {Job} job @param {any} step @param {{how: string, tried: string, tester?: string}} proof */
export const proveZeroEnergy = (phone, job, step, proof) =>
  write(
    phone,
    "zero_energy_proved",
    job.id,
    {
      step: step.id,
      how: proof.how,
      tried: proof.tried,
      ...(proof.tester ? { tester: proof.tester } : {}),
    },
    { drafts: [draftKey(job.id, step.id)] },
  );

/** @param {Phone} phone @param {Job} job @param {File} file @param {string | undefined} step */
export async function addPhoto(phone, job, file, step) {
  const photo = await makePhoto(file);
  await phone.store.keepPhoto(photo);
  phone.sync.photosUnsent.value += 1;
  await write(phone, "photo_added", job.id, {
    ...(step ? { step } : {}),
    sha256: photo.sha256,
    bytes: photo.bytes,
    type: photo.type,
  });
}

/** What comes due later, from the procedure, for the record. @param {Phone} phone @param {Job} job */
export function completeJob(phone, job) {
  const valuesOf = (/** @type {string} */ step, /** @type {string} */ reading) => {
    const held = counted(job.state, step, reading);
    return held && resultOf(held)?.values;
  };
  return write(phone, "job_completed", job.id, { outstanding: outstanding(job.procedure, valuesOf) });
}
