// The board of a job's control of energy: rows added, checked, ended; twin of records/board.py.
// A claimed end ends nothing, but any lock off loses the proof of zero energy, as do a shift change and a test run.
import { of, who } from "./remarks.js";

/** @typedef {import("./causal.js").Node} Node @typedef {Record<string, any>} Dict */

const LOST_BY_ADDING = ["handover", "test_run"];
const LOST_BY_ENDING = ["lock"];
const PARTS = ["member", "in_charge", "coordinator"]; // the order in which their locks come off the group box
/** @type {Record<string, string>} */
const WHY = { lock: "lock off", handover: "shift change", test_run: "test run" };

/** Whether an event takes the proof of zero energy away. @param {Node} node */
export function loses(node) {
  if (node.kind === "row_added") return LOST_BY_ADDING.includes(node.body.list);
  return node.kind !== "row_ended" || LOST_BY_ENDING.includes(node.body.list);
}

/** The reason that stands in the record. @param {Node} node @returns {string} */
export const whyLost = (node) => node.body.reason || WHY[node.body.list] || "";

/** Every row in order, with its checks and its end or null. @param {import("./remarks.js").Marks} marks */
export function rows(marks) {
  const ends = of(marks, "row_ended").filter((node) => !marks.claimed.has(node.id));
  const box = of(marks, "row_added").filter((node) => node.body.list === "member");
  const checks = of(marks, "row_checked");
  return of(marks, "row_added").map((node) => {
    const mine = ends.filter((one) => one.body.row === node.id);
    const last = mine.find((one) => !early(node, one, box, ends).length) ?? mine[0];
    return {
      ...who(node, marks),
      list: node.body.list,
      step: node.body.step ?? null,
      of: node.body.of ?? [],
      fields: node.body.fields,
      afterwards: node.body.afterwards ?? null,
      checks: checks
        .filter((one) => one.body.row === node.id)
        .map((one) => ({ ...who(one, marks), showed: one.body.showed })),
      ended: last
        ? {
            ...who(last, marks),
            by_owner: last.body.by_owner ?? true,
            exception: last.body.exception ?? {},
            mistake: last.body.mistake ?? false,
            note: last.body.note ?? "",
            afterwards: last.body.afterwards ?? null,
            early: early(node, last, box, ends),
          }
        : null,
    };
  });
}

/** Locks still on the group box, as far as an end knew, when one whose part goes after them took theirs off.
 * @param {Node} row @param {Node} end @param {Node[]} box @param {Node[]} ends @returns {string[]} */
function early(row, end, box, ends) {
  if (end.body.mistake || !box.includes(row)) return [];
  const off = (/** @type {Node} */ one) => ends.some((over) => over.body.row === one.id && (end.after(over) || over.body.mistake));
  const on = box.filter((one) => one !== row && !one.after(end) && !off(one));
  return first(row.body, on.map((one) => ({ ...one.body, event: one.id }))).map((one) => one.event);
}

/** Which of these come off the group box before `row`; none where another of its part stays on. @param {Dict} row @param {Dict[]} on @returns {Dict[]} */
export function first(row, on) {
  const rank = (/** @type {Dict} */ one) => Math.max(0, PARTS.indexOf(word(one, "part")));
  return on.some((one) => rank(one) === rank(row)) ? [] : on.filter((one) => rank(one) < rank(row));
}

/** The last hand-overs among these entries where none of them has had the proof of who comes.
 * @param {import("./remarks.js").Marks} marks @param {Node[]} proofs @param {(node: Node) => boolean} seen @returns {Dict[]} */
export function awaits(marks, proofs, seen) {
  const stands = (/** @type {Node} */ node) => seen(node) && !marks.claimed.has(node.id);
  const ended = of(marks, "row_ended").filter(stands).map((node) => node.body.row);
  const over = of(marks, "row_added").filter((node) => node.body.list === "handover" && seen(node) && !ended.includes(node.id));
  const last = over.filter((node) => !over.some((other) => other.after(node)));
  const out = last.map((node) => ({ row: node.id, comer: node.body.comer ?? null, goer: node.event.actor }));
  return last.some((node, at) => proofs.some((proof) => stands(proof) && proof.after(node) && comes(proof.event.actor, out[at]))) ? [] : out;
}

/** Whether a person is the one who comes; where nobody is named, anybody but who wrote the hand-over. @param {string | undefined} person @param {Dict | undefined} one */
export const comes = (person, one) => (one?.comer ? person === one.comer : person !== one?.goer);

/** What stands between a proof of zero energy and those who see only these entries. @param {import("./remarks.js").Marks} marks @param {Node[]} lost @param {(node: Node) => boolean} seen @returns {Dict[]} */
export function lacks(marks, lost, seen) {
  const over = of(marks, "row_ended").filter(seen);
  const ids = (/** @type {Node[]} */ nodes) => new Set(nodes.map((node) => node.body.row));
  const gone = ids(over); // claimed or not: the less favourable reading
  const mistakes = ids(over.filter((node) => !marks.claimed.has(node.id)));
  const losses = lost.filter(seen);
  const added = of(marks, "row_added").filter(seen);
  const live = (/** @type {string} */ list, ended = gone) => added.filter((node) => node.body.list === list && !ended.has(node.id));
  const about = (/** @type {Node[]} */ nodes) => new Set(nodes.flatMap((node) => node.body.of ?? []));
  const locks = live("lock");
  const given = about(live("handover", mistakes));
  const handed = about(added.filter((node) => given.has(node.id)));
  const mine = about(locks.filter((node) => !given.has(node.id)));
  const held = about(live("hold"));
  const tested = about(live("test").filter((node) => losses.every((loss) => node.after(loss))));
  /** @type {Dict[]} */
  const found = locks.filter((node) => given.has(node.id)).map((node) => ({ code: "row_on", list: "lock", row: node.id }));
  for (const { id } of live("source", mistakes)) {
    const missing = (/** @type {string} */ list) => found.push({ code: "row_missing", list, of: id });
    if (!mine.has(id) && (handed.has(id) || !held.has(id))) missing("lock");
    if (!tested.has(id)) missing("test");
  }
  return found;
}

/** The sources that stand: a claimed mistake takes none away. @param {import("./remarks.js").Marks} marks */
export function sources(marks) {
  const ended = new Set(of(marks, "row_ended").filter((node) => !marks.claimed.has(node.id)).map((node) => node.body.row));
  return of(marks, "row_added").filter((node) => node.body.list === "source" && !ended.has(node.id));
}

/** What a step of the board still lacks. @param {Dict} step @param {Dict} must by list: true, or the field that decides @param {Dict} state @param {boolean} order @returns {Dict[]} */
export function rowProblems(step, must, state, order) {
  /** @type {Dict[]} */
  const found = [];
  const held = standing(state);
  if (step.rows !== undefined) {
    const where = { code: "row_missing", step: step.step, list: step.rows };
    const own = held.filter((one) => one.list === step.rows);
    const { kinds } = step;
    if (!kinds && !own.some((one) => one.step === step.step && fits(one, step.only))) found.push(where);
    for (const reading of step.readings ?? [])
      if (reading.row && saidThere(reading, step.step, state) && !rowFor(own, reading)) found.push({ ...where, reading: reading.reading });
    if (step.covers) {
      const covering = held.filter((one) => step.covers.includes(one.list));
      for (const source of held)
        if (source.list === "source" && (!kinds || [undefined, ...kinds].includes(word(source, "type"))) && !covering.some((one) => one.of.includes(source.event)))
          found.push({ ...where, of: source.event });
    }
  }
  if (step.ends !== undefined) found.push(...stillOn(must, state, step.step, order).filter((one) => one.list === step.ends));
  return found;
}

/** @param {Dict} row @param {string} field */
const word = (row, field) => row.fields[field]?.word;

/** @param {Dict} row @param {Dict} [only] */
const fits = (row, only = {}) => Object.entries(only).every(([field, words]) => words.includes(word(row, field)));

/** The row that a reading which says `there` wants. @param {Dict[]} rows @param {Dict} reading @returns {Dict | undefined} */
export const rowFor = (rows, { row }) => rows.find((one) => one.list === row.list && word(one, row.field) === row.word);

/** One of the readings that count says so: where two disagree, the source is there. @param {Dict} reading @param {string} step @param {Dict} state */
function saidThere(reading, step, state) {
  const held = state.readings[`${step}/${reading.reading}`];
  const count = held?.conflict ?? [held?.current];
  return !!held?.all.some((/** @type {Dict} */ one) => count.includes(one.event) && one.body.value?.word === "there");
}

/** Rows that were not a mistake. @param {Dict} state @returns {Dict[]} */
export const standing = (state) => state.board.filter((/** @type {Dict} */ one) => !one.ended?.mistake);

/** Every row that must end and has not. @param {Dict} must @param {Dict} state @param {string | null} step @param {boolean} order or came off the group box before its turn @returns {Dict[]} */
export const stillOn = (must, state, step, order) =>
  standing(state)
    .filter((one) => (one.ended === null || (order && one.ended.early.length)) && mustEnd(one, must[one.list] ?? false))
    .map((one) => ({ code: "row_on", step, list: one.list, row: one.event }));

/** A field left open counts as yes. @param {Dict} row @param {boolean | string} must */
const mustEnd = (row, must) => (typeof must === "string" ? row.fields[must]?.yes !== false : must);
