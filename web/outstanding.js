// What comes due after a job, from its procedure and what it measured. No screen, no storage, no other module.

const HOUR = 3600;

/** Each follow-up with its running hours; one whose hours a reading gives comes only where that reading was taken.
 * @param {any} procedure @param {(step: string, reading: string) => Record<string, any> | undefined} valuesOf SI values of the reading that counts
 * @returns {any[]} as they go into the record */
export function outstanding(procedure, valuesOf) {
  const runs = procedure.steps.find((/** @type {any} */ step) => step.starts_running);
  const out = [];
  for (const { follow_up, title, after } of procedure.follow_ups ?? []) {
    const [step = "", reading = ""] = after?.reading?.split("/") ?? [];
    const seconds = step && valuesOf(step, reading)?.[after.line];
    if (step && typeof seconds !== "number") continue;
    const due = step ? { running_h: Math.max(1, Math.floor(seconds / HOUR)) } : after;
    out.push({ follow_up, title, after: due, ...(runs ? { counts_from: runs.step } : {}) });
  }
  return out;
}
