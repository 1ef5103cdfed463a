// Answers one JSON line for each JSON line: the phone's side of the records, for the tests.
import { createInterface } from "node:readline";
import { canonical, hashOf, nfc, sha256Hex } from "../../web/canonical.js";
import { closedAt, standing } from "../../web/due.js";
import { progress } from "../../web/progress.js";
import { reducePlantValue, thatHold } from "../../web/plant_values.js";
import { reduceJob, reducePosition } from "../../web/state.js";

const does = {
  canonical: async ([value]) => [canonical(value), await hashOf(value)],
  text: async ([text]) => [canonical(JSON.parse(text)), await sha256Hex(canonical(JSON.parse(text)))],
  number: ([hex]) => {
    const view = new DataView(new ArrayBuffer(8));
    view.setBigUint64(0, BigInt(`0x${hex}`));
    return canonical(view.getFloat64(0));
  },
  nfc: ([value]) => nfc(value),
  job: ([kept]) => reduceJob(kept),
  plantValue: ([kept]) => reducePlantValue(kept),
  thatHold: ([program, states, sheet, facts]) => thatHold(program, states, sheet, facts),
  position: ([kept]) => reducePosition(kept),
  standing: ([jobs]) => [jobs.map(({ state }) => closedAt(state)), standing(jobs)?.id ?? null],
  progress: ([procedure, facts, kept]) => progress(procedure, facts, reduceJob(kept)),
};

for await (const line of createInterface({ input: process.stdin })) {
  const [what, ...given] = JSON.parse(line);
  let out;
  try {
    out = { out: await does[what](given) };
  } catch (problem) {
    out = { error: String(problem) };
  }
  process.stdout.write(`${JSON.stringify(out)}\n`);
}
