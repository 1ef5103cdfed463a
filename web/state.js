// What a record is, worked out from its events alone; the twin of records/state.py.
// Pure, the same for every order of arrival, without limits or arithmetic.

import { awaits, comes, lacks, loses, rows, sources, whyLost } from "./board.js";
import { covered, latest } from "./causal.js";
import { last, of, read, who } from "./remarks.js";

/** @typedef {import("./events.js").Kept} Kept */
/** @typedef {import("./causal.js").Node} Node */
/** @typedef {import("./remarks.js").State} State */
/** @typedef {import("./remarks.js").Marks} Marks */

const WORK_KINDS = new Set(
  `job_started step_done step_confirmed step_not_applicable step_reopened reading_taken
  zero_energy_proved zero_energy_lost row_added row_ended row_checked job_completed`.split(/\s+/),
);
// what may come after a sign-off without touching what was signed
const AFTER_SIGNING = new Set(["follow_up_done", "machine_started", "event_refused", "actor_claimed", "claim_answered"]);
const WORSE_DECISION = ["stop", "rework", "accept"];

/**
 * The state of one job; `kept` its events with their hashes, in any order, repeated or not.
 * @param {Kept[]} kept
 * @returns {State}
 */
export function reduceJob(kept) {
  const { order, marks, state } = read(kept, "job");
  const first = of(marks, "job_started")[0];
  for (const name of ["position", "machine", "position_name", "procedure", "method", "work", "bundle"]) {
    state[name] = first?.body[name] ?? null;
  }
  state.facts = first?.body.facts ?? {};
  state.maker = first?.body.maker ?? {};
  state.parent_job = first?.body.parent_job ?? null;
  state.follow_up = first?.body.follow_up ?? null;
  state.started = first ? who(first, marks) : null;
  const zero = zeroEnergy(marks);
  state.zero_energy = zero.state;
  state.board = rows(marks);
  state.steps = steps(marks, zero.before);
  state.readings = readings(marks, zero.before);
  state.deviations = deviations(marks);
  state.follow_ups_done = of(marks, "follow_up_done").map((node) => ({
    ...who(node, marks),
    follow_up: node.body.follow_up,
    note: node.body.note ?? "",
  }));
  state.machine_started = of(marks, "machine_started").map((node) => ({ ...who(node, marks), started: node.body.at }));
  const workers = marks.effective.filter((node) => WORK_KINDS.has(node.kind));
  state.workers = [...new Set(workers.map((node) => node.event.actor))].sort();
  return { ...state, ...course(order, marks, state.deviations) };
}

/** Proved only where some proof has seen every loss; seen from now, or from one event. @param {Marks} marks */
function zeroEnergy(marks) {
  const proofs = of(marks, "zero_energy_proved");
  const lost = of(marks, "zero_energy_lost", "row_added", "row_ended").filter(loses);
  /** @param {Node} proof @param {Node[]} losses */
  const stands = (proof, losses) =>
    !marks.claimed.has(proof.id) && losses.every((one) => proof.after(one));
  const listed = sources(marks);
  // What a proof lacked, and whether after a shift change it is by who comes, or that one has proved before it.
  const worth = new Map(proofs.map((proof) => {
    const saw = (/** @type {Node} */ node) => proof.after(node);
    const waits = awaits(marks, proofs, saw);
    return [proof, { lacks: lacks(marks, lost, saw), by_comer: !waits.length || waits.some((one) => comes(proof.event.actor, one)) }];
  }));
  /** Whether the author of an event knew of a proof that nothing he knew of had undone: any, a whole one, and after a shift change by who came.
   * @param {Node} [node] */
  const before = (node) => {
    const knew = (/** @type {number} */ level) =>
      !!node && proofs.some((proof) => node.after(proof) && !(level && worth.get(proof)?.lacks.length) && (level < 2 || worth.get(proof)?.by_comer) &&
        stands(proof, [...lost, ...(level ? listed : [])].filter((one) => node.after(one))));
    return { after_proof: knew(0), after_whole_proof: knew(1), after_comer_proof: knew(2) };
  };
  const state = {
    proved: proofs.some((proof) => stands(proof, lost)),
    proofs: proofs.map((one) => ({
      ...who(one, marks),
      step: one.body.step ?? null,
      how: one.body.how,
      tried: one.body.tried,
      tester: one.body.tester ?? null,
      afterwards: one.body.afterwards ?? null,
      undone: lost.filter((loss) => !one.after(loss)).map((loss) => loss.id),
      unseen: listed.filter((source) => !one.after(source)).map((source) => source.id),
      ...worth.get(one),
    })),
    lost: lost.map((one) => ({ ...who(one, marks), step: one.body.step ?? null, reason: whyLost(one) })),
    lacks: lacks(marks, lost, () => true),
    awaits: awaits(marks, proofs, () => true),
  };
  return { before, state };
}

/** @param {Node[]} nodes @param {(node: Node) => string} key @returns {Map<string, Node[]>} */
function grouped(nodes, key) {
  const groups = new Map();
  for (const node of nodes) groups.set(key(node), [...(groups.get(key(node)) ?? []), node]);
  return groups;
}

/** The language that a step was read in, where it was not English, and whether nobody of the trade had read its translation. @param {any} body */
const seen = ({ lang = "en", unreviewed }) => (lang === "en" ? {} : { lang, unreviewed: unreviewed === true });

/** @param {Marks} marks @param {(node?: Node) => any} before */
function steps(marks, before) {
  const acts = grouped(
    of(marks, "step_done", "step_not_applicable", "step_reopened", "step_confirmed"),
    (node) => node.body.step,
  );
  /** @type {Record<string, any>} */
  const agreed = {};
  for (const node of of(marks, "not_applicable_agreed")) {
    agreed[node.body.event] = { ...who(node, marks), reason: node.body.reason };
  }
  /** @type {Record<string, any>} */
  const out = {};
  for (const [name, nodes] of acts) {
    const reopened = nodes.filter((one) => one.kind === "step_reopened");
    const standing = nodes.filter(
      (one) =>
        (one.kind === "step_done" || one.kind === "step_not_applicable") &&
        reopened.every((back) => one.after(back)),
    );
    const rivals = latest(standing);
    const conflict = new Set(rivals.map((one) => one.kind)).size > 1;
    const spoke = conflict ? undefined : last(rivals);
    out[name] = {
      status: "open",
      by: null,
      at: null,
      event: null,
      reason: last(reopened)?.body.reason ?? null,
      note: null,
      afterwards: null,
      ...before(spoke),
      claimed: false,
      agreed: null,
      conflict,
      reopened: reopened.map((one) => ({ ...who(one, marks), reason: one.body.reason })),
      confirmed: nodes
        .filter((one) => one.kind === "step_confirmed" && reopened.every((back) => one.after(back)))
        .map((one) => ({ ...who(one, marks), name: one.body.name_of_second_person ?? null, confirmed_by: one.body.confirmed_by ?? null })),
    };
    if (spoke) {
      Object.assign(out[name], who(spoke, marks), {
        status: spoke.kind === "step_done" ? "done" : "not_applicable",
        reason: spoke.body.reason ?? null,
        note: spoke.body.note ?? null,
        afterwards: spoke.body.afterwards ?? null,
        ...seen(spoke.body),
        agreed: agreed[spoke.id] ?? null,
      });
    }
  }
  return out;
}

/** @param {Marks} marks @param {(node?: Node) => any} before */
function readings(marks, before) {
  const key = (/** @type {Node} */ node) => `${node.body.step}/${node.body.reading}`;
  const chosen = grouped(of(marks, "reading_chosen"), key);
  /** @type {Record<string, any>} */
  const accepted = {};
  for (const node of of(marks, "reading_accepted")) {
    accepted[node.body.reading] = { ...who(node, marks), reason: node.body.reason };
  }
  /** @type {Record<string, any>} */
  const out = {};
  for (const [name, nodes] of grouped(of(marks, "reading_taken"), key)) {
    const rivals = latest(nodes);
    const choices = latest(chosen.get(name) ?? []);
    let left = rivals.filter(
      (one) => !choices.some((choice) => choice.after(one) && choice.body.chosen !== one.id),
    );
    if (left.length === 0) left = rivals; // two choices at once threw each other's reading out
    out[name] = {
      all: nodes.map((node) => {
        const differs = marks.verdicts.get(node.id);
        const onPhone = node.body.result?.verdict || "none";
        return {
          ...who(node, marks),
          verdict: differs ? differs.verdict : onPhone,
          verdict_on_phone: onPhone,
          differs: differs !== undefined,
          result: differs?.result ?? node.body.result ?? null,
          afterwards: node.body.afterwards ?? null,
          body: node.body,
          ...before(node),
          accepted: accepted[node.id] ?? null,
        };
      }),
      current: left.length === 1 ? /** @type {Node} */ (left[0]).id : null,
      conflict: left.length > 1 ? left.map((one) => one.id) : null,
      chosen: choices.map((one) => ({
        ...who(one, marks),
        chosen: one.body.chosen,
        reason: one.body.reason,
      })),
    };
  }
  return out;
}

/** @param {Marks} marks */
function deviations(marks) {
  const decided = grouped(of(marks, "deviation_decided"), (node) => node.body.deviation);
  return of(marks, "deviation_raised").map((node) => {
    const rank = (/** @type {Node} */ one) => WORSE_DECISION.indexOf(one.body.decision);
    const worst = latest(decided.get(node.id) ?? []).sort((a, b) => rank(a) - rank(b))[0];
    const decision = worst
      ? { ...who(worst, marks), decision: worst.body.decision, reason: worst.body.reason }
      : null;
    return {
      ...who(node, marks),
      step: node.body.step ?? null,
      text: node.body.text,
      decision,
      decided: decision,
    };
  });
}

/** How far the job has come: completed, returned, signed, amended, stopped.
 * @param {ReturnType<typeof import("./causal.js").causal>} order @param {Marks} marks @param {any[]} raised */
function course(order, marks, raised) {
  const returned = of(marks, "job_returned");
  const completions = of(marks, "job_completed");
  const undone = [...returned, ...of(marks, "step_reopened")];
  const complete = last(completions.filter((one) => undone.every((back) => one.after(back))));
  let status = "open";
  if (complete) status = "completed";
  else if (returned.some((back) => !completions.some((one) => one.after(back)))) status = "returned";
  if (raised.some((one) => one.decision?.decision === "stop")) status = "stopped";
  const node = last(of(marks, "job_signed"));
  let signed = null;
  if (node) {
    const seen = covered(order.placed, node.body.heads);
    const beyond = marks.effective
      .filter((one) => one !== node && !seen.has(one.hash) && !AFTER_SIGNING.has(one.kind))
      .map((one) => one.id);
    const { heads, name, role, statement } = node.body;
    signed = { ...who(node, marks), heads, name, role, statement, amended_by: beyond };
    status = beyond.length > 0 ? "amended" : "signed";
  }
  return {
    completed: complete ? who(complete, marks) : null,
    outstanding: complete?.body.outstanding ?? [],
    returned: returned.map((one) => ({ ...who(one, marks), reason: one.body.reason })),
    signed,
    status,
  };
}

/**
 * The state of one position on a machine: the last description, and whether it is retired.
 * @param {Kept[]} kept
 * @returns {State}
 */
export function reducePosition(kept) {
  const { marks, state } = read(kept, "position");
  const described = of(marks, "position_described");
  const rivals = latest(described);
  const body = last(rivals)?.body ?? {};
  state.machine = body.machine ?? null;
  state.name = body.name ?? null;
  state.facts = body.facts ?? {};
  state.maker = body.maker ?? {};
  state.as_typed = body.as_typed ?? [];
  state.described = described.map((one) => who(one, marks));
  state.conflict = rivals.length > 1 ? rivals.map((one) => one.id) : null;
  const retired = last(
    of(marks, "position_retired").filter((one) => !described.some((other) => other.after(one))),
  );
  state.retired = retired ? { ...who(retired, marks), reason: retired.body.reason } : null;
  return state;
}
