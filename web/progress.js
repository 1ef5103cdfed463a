// How far a job has come through its procedure, and what stands in the way; twin of records/progress.py.

import { rowProblems, stillOn } from "./board.js";
import { truth } from "./calc.js";

/** @typedef {Record<string, any>} Dict */

const GOOD = new Set(["inside", "none"]);
// Procedures with `rules` from here on: a proof that lacks a lock, a hold or a test proves nothing, and what follows a
// second person's step waits for that person. Older bundles said less; their records stand as they were made.
const WHOLE_PROOFS = 2;
// From here on: after a shift change the one who comes proves, and who is in charge goes last from the group box.
export const IN_ORDER = 3;
const AFTER = ["after_proof", "after_whole_proof", "after_comer_proof"];
const STOP_COMPLETION = new Set([
  "step_open",
  "reading_missing",
  "row_missing",
  "row_on",
  "zero_energy_not_proved",
  "second_person_missing",
  "stopped",
]);

/**
 * `{steps, next, can_complete, blockers}` of a job. A condition that cannot be told counts as
 * true: a step is rather done in vain than left out.
 * @param {Dict} procedure of the job's own bundle
 * @param {Dict} facts values of the position's facts (SI numbers, words, yes/no; null unknown)
 * @param {Dict} state of reduceJob
 */
export function progress(procedure, facts, state) {
  /** @type {Dict[]} */
  const steps = procedure.steps;
  const must = procedure.must_end ?? {};
  const proof = steps.find((step) => step.proves_zero_energy)?.step ?? null;
  /** @type {Record<string, string>} */
  const ended = Object.fromEntries(steps.map((step) => [step.step, endOf(step, facts, state)]));
  const zero = state.zero_energy;
  const rules = procedure.rules ?? 1;
  const [strict, order] = [rules >= WHOLE_PROOFS, rules >= IN_ORDER];
  const sound = zero.proofs.filter((/** @type {Dict} */ one) => !one.claimed && !(strict && one.lacks.length) && (one.by_comer || !order));
  const proved = sound.some((/** @type {Dict} */ one) => !one.undone.length && !(strict && one.unseen.length));
  const ever = sound.length > 0;
  const begun = locksComingOff(steps, zero.lost, sound);
  const waits = new Set(steps.filter((step) => strict && waitsForSecond(step, ended, state)).map((step) => step.step));
  const dependent = steps.some(
    (step) => step.step !== proof && !begun.has(step.step) && ended[step.step] === "open" && needs(step).includes(proof),
  );
  const silent = locksOffUnsaid(steps, ended, state);
  if (proof !== null) ended[proof] = (proved && !silent.length) || (ever && !dependent) ? "done" : "open";
  const told = steps.map((step) => {
    const closedBy = needs(step).filter((need) => (ended[need] === "open" || waits.has(need)) && !(need === proof && begun.has(step.step)));
    const open = ended[step.step] === "open" && closedBy.length > 0;
    const status = open ? "closed" : ended[step.step];
    return {
      id: step.step,
      status,
      why_closed: open ? closedBy : [],
      missing: status === "does_not_apply" ? [] : missing(step, state),
      rows: [
        ...(status === "does_not_apply" || status === "not_applicable" ? [] : rowProblems(step, must, state, order)),
        ...(strict && step.step === proof && status === "open" ? zero.lacks.map((/** @type {Dict} */ one) => ({ step: proof, ...one })) : []),
      ],
      waits: waits.has(step.step),
    };
  });
  const blockers = blockersOf(steps, told, state, proof, ever, rules);
  blockers.push(...told.flatMap((one) => one.rows.filter((row) => row.code === "row_missing")), ...stillOn(must, state, null, order));
  for (const step of silent) blockers.push({ code: "zero_energy_loss_missing", step });
  return {
    steps: told,
    next: told.find((one) => one.status === "open" || one.waits)?.id ?? null,
    can_complete: !blockers.some((one) => STOP_COMPLETION.has(one.code)),
    blockers,
  };
}

/** Whether a step is done and its second person has not looked, nor has the lead let that go as a deviation of the step.
 * @param {Dict} step @param {Record<string, string>} ended @param {Dict} state */
const waitsForSecond = (step, ended, state) =>
  step.hold === "second_person" &&
  ended[step.step] === "done" &&
  !confirmed(state.steps[step.step]) &&
  !state.deviations.some((/** @type {Dict} */ one) => one.step === step.step && one.decision?.decision === "accept");

/** Steps that take locks off, where nothing but themselves has undone a proof: its end does not close them.
 * @param {Dict[]} steps @param {Dict[]} lost @param {Dict[]} sound @returns {Set<string>} */
function locksComingOff(steps, lost, sound) {
  const by = new Map(lost.map((one) => [one.event, one.step]));
  const own = (/** @type {string} */ step) => (/** @type {Dict} */ one) =>
    one.undone.length > 0 && one.undone.every((/** @type {string} */ loss) => by.get(loss) === step);
  return new Set(steps.filter((step) => step.undoes_zero_energy && sound.some(own(step.step))).map((step) => step.step));
}

/** Steps that take locks off, done without the loss of zero energy on record: the proof no longer holds.
 * @param {Dict[]} steps @param {Record<string, string>} ended @param {Dict} state @returns {string[]} */
function locksOffUnsaid(steps, ended, state) {
  const said = new Set(state.zero_energy.lost.map((/** @type {Dict} */ one) => one.step));
  return steps
    .filter((step) => step.undoes_zero_energy && ended[step.step] === "done" && !said.has(step.step))
    .map((step) => step.step);
}

/** Whether a reading wants a lead's word. @param {Dict} reading one of state.readings[..].all */
export function needsAcceptance(reading) {
  const checks = reading.result?.checks ?? [];
  if (checks.some((/** @type {Dict} */ check) => check.lead_accepts)) return true;
  return !GOOD.has(reading.verdict) && reading.verdict !== "caution";
}

/** @param {Dict} step @returns {any[]} */
const needs = (step) => step.needs ?? [];

/** @param {Dict} step @param {Dict} facts @param {Dict} state */
function endOf(step, facts, state) {
  if (step.when != null && truth(step.when, facts) === false) return "does_not_apply";
  if (!calledFor(step, state)) return "does_not_apply";
  const held = state.steps[step.step];
  if (held === undefined || held.status === "open") return "open";
  if (held.status === "not_applicable") {
    return step.not_applicable === "never" ? "open" : "not_applicable";
  }
  return "done";
}

/** Whether the reading that calls for a step says so; of two that contradict each other one is enough. @param {Dict} step @param {Dict} state */
function calledFor({ only_after: after }, state) {
  const held = after && state.readings[after.reading];
  const now = held?.all.filter((/** @type {Dict} */ one) => held.current === null || held.current === one.event);
  return !after || !!now?.some((/** @type {Dict} */ one) => one.body.value?.word === after.word);
}

/** @param {Dict} step @param {Dict} state @returns {string[]} */
function missing(step, state) {
  return (step.readings ?? [])
    .filter((/** @type {Dict} */ one) => one.required ?? true)
    .map((/** @type {Dict} */ one) => one.reading)
    .filter((/** @type {string} */ name) => state.readings[`${step.step}/${name}`] === undefined);
}

/** @param {Dict[]} steps @param {Dict[]} told @param {Dict} state @param {string | null} proof @param {boolean} ever @param {number} rules */
function blockersOf(steps, told, state, proof, ever, rules) {
  const strict = rules >= WHOLE_PROOFS;
  const after = /** @type {string} */ (AFTER[Math.min(rules, IN_ORDER) - 1]);
  /** @type {Dict[]} */
  const found = [];
  if (proof !== null && !ever) found.push({ code: "zero_energy_not_proved", step: proof });
  steps.forEach((step, at) => {
    const one = /** @type {Dict} */ (told[at]);
    const name = step.step;
    const held = state.steps[name];
    const open = one.status === "open" || one.status === "closed";
    if (open) found.push({ code: "step_open", step: name });
    if (open || one.status === "done") {
      for (const reading of one.missing) found.push({ code: "reading_missing", step: name, reading });
    }
    if (held === undefined) return;
    if (held.conflict) found.push({ code: "conflict", step: name });
    if (one.status === "done" && (strict ? one.waits : step.hold === "second_person" && !confirmed(held))) {
      found.push({ code: "second_person_missing", step: name });
    }
    if (one.status === "not_applicable" && step.not_applicable === "lead" && !held.agreed) {
      found.push({ code: "lead_agreement_missing", step: name, event: held.event });
    }
    const afterProof = needs(step).includes(proof) && !step.undoes_zero_energy;
    if (one.status === "done" && afterProof && !held[after]) {
      found.push({ code: "before_zero_energy", step: name, event: held.event });
    }
  });
  found.push(...readingBlockers(steps, state, proof, after));
  for (const one of state.deviations) {
    if (one.decision === null) {
      found.push({ code: "deviation_undecided", step: one.step, event: one.event });
    }
  }
  for (const code of ["claimed", "waiting", "unknown"]) {
    for (const event of state[code]) found.push({ code, event });
  }
  if (state.deviations.some((/** @type {Dict} */ one) => one.decision?.decision === "stop")) {
    found.push({ code: "stopped" });
  }
  return found;
}

/** @param {Dict} held */
function confirmed(held) {
  return held.confirmed.some((/** @type {Dict} */ one) => one.by !== held.by || one.name);
}

/** @param {Dict[]} steps @param {Dict} state @param {string | null} proof @param {string} after */
function readingBlockers(steps, state, proof, after) {
  /** @type {Dict[]} */
  const found = [];
  for (const key of Object.keys(state.readings).sort()) {
    const held = state.readings[key];
    const name = key.slice(0, key.indexOf("/"));
    const reading = key.slice(key.indexOf("/") + 1);
    if (held.conflict) {
      found.push({ code: "conflict", step: name, reading });
      continue;
    }
    const one = held.all.find((/** @type {Dict} */ taken) => taken.event === held.current);
    const where = { step: name, reading, event: one.event };
    if (needsAcceptance(one) && one.accepted === null) {
      found.push({ code: "outside_unaccepted", ...where });
    }
    const step = steps.find((other) => other.step === name);
    if (step && needs(step).includes(proof) && !one[after] && !step.undoes_zero_energy) {
      found.push({ code: "before_zero_energy", ...where });
    }
  }
  return found;
}
