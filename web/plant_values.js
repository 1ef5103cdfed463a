// A plant's own maker's values: what is set and withdrawn, and which of them hold for a sheet and a position.
// The twin of records/plant_values.py.
import { steps } from "./functions.js";
import { latest } from "./causal.js";
import { last, of, read, who } from "./remarks.js";
import { parseNumber } from "./typed.js";

/** @typedef {import("./remarks.js").State} State */

const PARTS = ["line", "value", "document", "revision", "page", "where", "name"];

/** The state of one plant's value. holds: it is set, nobody withdrew it, and nobody set it otherwise at the same time.
 * @param {import("./events.js").Kept[]} kept @returns {State} */
export function reducePlantValue(kept) {
  const { marks, state } = read(kept, "plant_value");
  const sets = of(marks, "plant_value_set");
  const rivals = latest(sets);
  const now = last(rivals);
  const body = now?.body ?? {};
  state.line = body.line ?? null;
  state.value = body.value ?? {};
  for (const name of ["document", "revision", "page", "name"]) state[name] = body[name] ?? "";
  state.where = body.where ?? {};
  state.set = sets.map((one) => ({
    ...who(one, marks),
    ...Object.fromEntries(PARTS.map((part) => [part, one.body[part] ?? null])),
  }));
  state.event = now?.id ?? null;
  state.by = now?.event.actor ?? null;
  state.at = now?.event.wall ?? null;
  state.conflict = rivals.length > 1 ? rivals.map((one) => one.id) : null;
  const gone = last(of(marks, "plant_value_withdrawn").filter((one) => !sets.some((other) => other.after(one))));
  state.withdrawn = gone ? { ...who(gone, marks), reason: gone.body.reason } : null;
  state.holds = rivals.length === 1 && !gone && !marks.claimed.has(state.event);
  return state;
}

/** The value as a reading keeps it: with its document, and who set it when. @param {State} state */
const asMaker = ({ value, document, revision, page, plant_value, event, by, name, at }) => ({
  ...value,
  document,
  revision,
  page,
  origin: "plant",
  plant_value,
  event,
  by,
  name,
  at,
});

/** Whether two entries say the same. @param {any} program @param {any} one @param {any} two */
function same(program, one, two) {
  if (!one || !two) return false;
  for (const key of ["word", "yes"])
    if (one[key] !== undefined || two[key] !== undefined) return one[key] !== undefined && one[key] === two[key];
  const at = inSteps(program, one);
  return at !== null && at === inSteps(program, two);
}

/** @param {any} program @param {any} entry */
function inSteps(program, entry) {
  const unit = program.units[entry.unit];
  const number = typeof entry.typed === "string" ? parseNumber(entry.typed) : null;
  if (!unit || typeof number !== "number") return null;
  const [kind] = unit.kinds;
  return `${kind} ${steps(number * unit.factor + unit.zero, program.kinds[kind].per)}`;
}

/** Whether this handbook has the line, takes a maker's value there, and knows the unit. @param {any} program @param {State} state */
function fits(program, state) {
  const [sheet, name] = (state.line ?? "").split(".");
  const line = program.sheets[sheet]?.lines.find((/** @type {any} */ one) => one.name === name && one.maker);
  if (!line) return false;
  if (state.value.word !== undefined) return line.kind === "word";
  if (state.value.yes !== undefined) return line.kind === "yesno";
  return program.units[state.value.unit]?.kinds.includes(line.kind) ?? false;
}

/** What holds for a sheet, for a position with these facts. The value with the most conditions wins; where two have as
 * many, neither is used. @param {any} program @param {State[]} states @param {string} sheet @param {Record<string, any>} facts
 * @returns {{used: Record<string, any>, unclear: string[]}} maker's value by line, and lines that two values speak for */
export function thatHold(program, states, sheet, facts) {
  /** @type {Map<string, State[]>} */
  const byLine = new Map();
  for (const state of states) {
    if (!state.holds || !state.line?.startsWith(`${sheet}.`) || !fits(program, state)) continue;
    if (!Object.entries(state.where).every(([name, entry]) => same(program, facts[name], entry))) continue;
    const line = state.line.slice(sheet.length + 1);
    byLine.set(line, [...(byLine.get(line) ?? []), state]);
  }
  /** @type {Record<string, any>} */
  const used = {};
  const unclear = [];
  const count = (/** @type {State} */ one) => Object.keys(one.where).length;
  for (const [line, found] of byLine) {
    const best = found.filter((one) => count(one) === Math.max(...found.map(count)));
    if (best.length === 1) used[line] = asMaker(/** @type {State} */ (best[0]));
    else unclear.push(line);
  }
  return { used, unclear: unclear.sort() };
}
