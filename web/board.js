// The board of a job's control of energy: rows added, checked, ended; twin of records/board.py.
// A claimed end ends nothing, but any lock off loses the proof of zero energy, as do a shift change and a test run.
import { of, who } from "./remarks.js";

/** @typedef {import("./causal.js").Node} Node @typedef {Record<string, any>} Dict */

const LOST_BY_ADDING = ["handover", "test_run"];
const LOST_BY_ENDING = ["lock"];
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
  const ends = of(marks, "row_ended");
  const checks = of(marks, "row_checked");
  return of(marks, "row_added").map((node) => {
    const last = ends.find((one) => one.body.row === node.id && !marks.claimed.has(one.id));
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
          }
        : null,
    };
  });
}

/** What a step of the board still lacks. @param {Dict} step @param {Dict} must by list: true, or the field that decides @param {Dict} state @returns {Dict[]} */
export function rowProblems(step, must, state) {
  /** @type {Dict[]} */
  const found = [];
  const held = standing(state);
  if (step.rows !== undefined) {
    const where = { code: "row_missing", step: step.step, list: step.rows };
    if (!held.some((one) => one.list === step.rows && one.step === step.step)) found.push(where);
    if (step.covers) {
      const covering = held.filter((one) => step.covers.includes(one.list));
      for (const source of held)
        if (source.list === "source" && !covering.some((one) => one.of.includes(source.event)))
          found.push({ ...where, of: source.event });
    }
  }
  if (step.ends !== undefined) found.push(...stillOn(must, state, step.step).filter((one) => one.list === step.ends));
  return found;
}

/** Rows that were not a mistake. @param {Dict} state @returns {Dict[]} */
export const standing = (state) => state.board.filter((/** @type {Dict} */ one) => !one.ended?.mistake);

/** Every row that must end and has not. @param {Dict} must @param {Dict} state @param {string | null} [step] @returns {Dict[]} */
export const stillOn = (must, state, step = null) =>
  standing(state)
    .filter((one) => one.ended === null && mustEnd(one, must[one.list] ?? false))
    .map((one) => ({ code: "row_on", step, list: one.list, row: one.event }));

/** A field left open counts as yes. @param {Dict} row @param {boolean | string} must */
export const mustEnd = (row, must) => (typeof must === "string" ? row.fields[must]?.yes !== false : must);
