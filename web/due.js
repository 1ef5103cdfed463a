// When work that comes later is due, from a job's state alone; twin of records/due.py.
// Running hours count from the first start that the record knows, not from hand-back; without one no clock runs.

// A job of its own closes the later work it was begun for when its technician completes it; returned or stopped, it opens it again.

const HOUR = 3_600_000;

/** Since when a follow-up counts; null while the machine has not run. @param {any} state @param {any} one @returns {string | null} */
export function clockFrom(state, one) {
  if (one.counts_from === undefined || one.after?.running_h === undefined) return state.completed?.at ?? null;
  const starts = state.machine_started
    .filter((/** @type {any} */ held) => !held.claimed)
    .map((/** @type {any} */ held) => held.started);
  const step = state.steps[one.counts_from];
  if (step?.status === "done") starts.push(step.afterwards ?? step.at);
  starts.sort((/** @type {string} */ a, /** @type {string} */ b) => Date.parse(a) - Date.parse(b));
  return starts[0] ?? null;
}

/** The soonest moment it is due, ISO UTC; null where no clock runs. @param {any} state @param {any} one @returns {string | null} */
export function soonest(state, one) {
  const start = clockFrom(state, one);
  const hours = one.after?.running_h ?? one.after?.hours;
  const days = one.after?.days ?? 0;
  if (start === null || (typeof hours !== "number" && !days)) return null;
  return new Date(Date.parse(start) + (hours ?? 0) * HOUR + days * 24 * HOUR).toISOString();
}

/** When a job closed the later work it was begun for; null before that, and where its completion is only claimed. @param {any} state @returns {string | null} */
export const closedAt = ({ completed, status }) =>
  completed && !completed.claimed && status !== "stopped" ? completed.at : null;

/** Of the jobs begun for one follow-up the one that speaks for it: the first that closed it, else the last that goes on.
 * @param {{id: string, state: any}[]} jobs @returns {{id: string, state: any} | undefined} */
export function standing(jobs) {
  const going = jobs.filter(({ state }) => state.status !== "stopped");
  const closed = going.filter(({ state }) => closedAt(state));
  const key = (/** @type {{id: string, state: any}} */ { id, state }) => (closedAt(state) ?? state.started.at) + id;
  const list = (closed.length ? closed : going).sort((a, b) => (key(a) < key(b) ? -1 : 1));
  return list[closed.length ? 0 : list.length - 1];
}
