// Reads {program, cases: [{sheet, entries, makers}], lang} on stdin, writes what the phone's side says of each.
import { readFileSync } from "node:fs";
import { evaluate } from "../../web/calc.js";
import { readInputs, readMakers } from "../../web/inputs.js";
import { asks, saidAsks } from "../../web/slips.js";
import { overWorking, sayCheck, sayRefusal, working } from "../../web/working.js";

const { program, cases, lang = "en" } = JSON.parse(readFileSync(0, "utf8"));
const out = cases.map((/** @type {any} */ { sheet, entries, makers, system }) => {
  const read = readInputs(program, sheet, entries, lang, system);
  const made = readMakers(program, sheet, makers, lang, system);
  const result = evaluate(program, sheet, read.values, made.values);
  const found = read.problems.length ? [] : asks(program, sheet, entries, read.values, made.values, result, makers);
  return {
    values: read.values,
    problems: [...read.problems, ...made.problems],
    result,
    refusal: sayRefusal(program, sheet, result, entries, lang, system),
    checks: result.checks.map((/** @type {any} */ one) => sayCheck(program, sheet, one.name, result, entries, lang, system)),
    working: working(program, sheet, result, entries, lang, system),
    over: overWorking(program, sheet, result, lang, system),
    asks: saidAsks(program, sheet, found, lang).map((one) => one.say),
  };
});
process.stdout.write(JSON.stringify(out));
