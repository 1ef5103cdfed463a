// Reads {program, cases: [{sheet, entries, makers}]} on stdin, writes what the phone's side says of each.
import { readFileSync } from "node:fs";
import { evaluate } from "../../web/calc.js";
import { readInputs, readMakers } from "../../web/inputs.js";
import { overWorking, sayCheck, sayRefusal, working } from "../../web/working.js";

const { program, cases } = JSON.parse(readFileSync(0, "utf8"));
const out = cases.map((/** @type {any} */ { sheet, entries, makers, system }) => {
  const read = readInputs(program, sheet, entries, "en", system);
  const made = readMakers(program, sheet, makers, "en", system);
  const result = evaluate(program, sheet, read.values, made.values);
  return {
    values: read.values,
    problems: [...read.problems, ...made.problems],
    result,
    refusal: sayRefusal(program, sheet, result, entries, "en", system),
    checks: result.checks.map((/** @type {any} */ one) => sayCheck(program, sheet, one.name, result, entries, "en", system)),
    working: working(program, sheet, result, entries, "en", system),
    over: overWorking(program, sheet, result, "en", system),
  };
});
process.stdout.write(JSON.stringify(out));
