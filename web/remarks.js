// What every sort of record has in common: which events count, who said so, and what the server remarked on them.
// The twin of records/remarks.py.

import { causal } from "./causal.js";

/** @typedef {import("./events.js").Kept} Kept */
/** @typedef {import("./causal.js").Node} Node */
/** @typedef {Record<string, any>} State */
/** @typedef {{ refused: any[], struck: string[], verdicts: Map<string, any>, effective: Node[], claimed: Set<string> }} Marks */

const KNOWN_KINDS = new Set(
  `position_described position_retired job_started step_done step_confirmed step_not_applicable
  step_reopened reading_taken zero_energy_proved zero_energy_lost row_added row_ended row_checked note_added photo_added
  deviation_raised deviation_decided reading_accepted reading_chosen not_applicable_agreed
  job_completed job_returned job_signed follow_up_done machine_started failure_reported event_refused actor_claimed
  claim_answered verdict_differs person_added roles_changed person_disabled person_enabled plant_value_set
  plant_value_withdrawn`.split(/\s+/),
);

/** What the server's remarks say about other events, and which events count at all.
 * @param {Node[]} nodes @returns {Marks} */
function marksOf(nodes) {
  /** @type {any[]} */
  const refused = [];
  /** @type {string[]} */
  const struck = [];
  const verdicts = new Map();
  const gone = new Set();
  const claims = new Set();
  const mine = new Set();
  // from the last back, so that a refusal of a forged refusal is known before the forgery
  for (const node of [...nodes].reverse()) {
    if (gone.has(node.id)) continue;
    const { body } = node;
    if (node.kind === "event_refused") {
      gone.add(body.event);
      refused.unshift({ event: body.event, code: body.code, reason: body.reason });
    } else if (node.kind === "claim_answered") {
      if (body.mine) mine.add(body.event);
      else {
        gone.add(body.event);
        struck.unshift(body.event);
      }
    } else if (node.kind === "actor_claimed") claims.add(body.event);
    else if (node.kind === "verdict_differs" && !verdicts.has(body.event)) verdicts.set(body.event, body);
  }
  const effective = nodes.filter((node) => !gone.has(node.id));
  const claimed = new Set(
    effective.map((node) => node.id).filter((id) => claims.has(id) && !mine.has(id)),
  );
  return { refused, struck, verdicts, effective, claimed };
}

/** @param {Node} node @param {Marks} marks */
export const who = (node, marks) => ({
  event: node.id,
  by: node.event.actor,
  at: node.event.wall,
  claimed: marks.claimed.has(node.id),
});

/** @param {Marks} marks @param {string[]} kinds */
export const of = (marks, ...kinds) => marks.effective.filter((node) => kinds.includes(node.kind));

/** @template T @param {T[]} list @returns {T | undefined} */
export const last = (list) => list[list.length - 1];

/** What every sort of record has in common. @param {Kept[]} kept @param {string} kind */
export function read(kept, kind) {
  const order = causal(kept);
  const marks = marksOf(order.nodes);
  /** @type {State} */
  const state = {
    [kind]: order.nodes[0]?.event.record ?? null,
    claimed: marks.effective.map((node) => node.id).filter((id) => marks.claimed.has(id)),
    refused: marks.refused,
    struck: marks.struck,
    waiting: order.nodes.filter((node) => node.missing).map((node) => node.id),
    unknown: marks.effective.filter((node) => !KNOWN_KINDS.has(node.kind)).map((node) => node.id),
    notes: of(marks, "note_added").map((node) => ({
      ...who(node, marks),
      step: node.body.step ?? null,
      text: node.body.text,
    })),
    photos: of(marks, "photo_added").map((node) => ({
      ...who(node, marks),
      step: node.body.step ?? null,
      sha256: node.body.sha256,
      type: node.body.type ?? null,
      bytes: node.body.bytes ?? null,
    })),
    heads: order.heads,
    count: order.nodes.length,
  };
  return { order, marks, state };
}
