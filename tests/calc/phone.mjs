// The phone's side of the calculation as a long-lived process: one JSON request a line, one answer a line.
import { createInterface } from "node:readline";
import { build, evaluate, Refuse, runner, warm } from "../../web/calc.js";
import { readInputs, readMakers } from "../../web/inputs.js";
import { parseNumber, splitEntry } from "../../web/typed.js";
import { asks, factAsks, saidAsks } from "../../web/slips.js";
import { show } from "../../web/showing.js";

/** @type {any} */
let program = null;
/** @type {Record<string, (ask: any) => any>} */
const does = {
  program: (ask) => ((program = ask.program), true),
  evaluate: (ask) => evaluate(program, ask.sheet, ask.values, ask.makers ?? {}),
  warm: (ask) => {
    // How often a sheet's last line ran and how often the rows of its tables were gone through, warming it and then once more.
    let ran = 0;
    const run = runner(program, ask.sheet);
    const last = run.lines.findLast((/** @type {any} */ one) => one.walk);
    const walk = last.walk;
    last.walk = (/** @type {any} */ v) => ((ran += 1), walk(v));
    warm(program, ask.sheet);
    last.walk = walk;
    return { ran };
  },
  tables: () => {
    let read = 0;
    const tables = structuredClone(program.tables);
    for (const [name, { rows, ...rest }] of Object.entries(tables))
      tables[name] = { ...rest, get rows() { return (read += 1), rows; } };
    const other = { ...program, tables };
    for (const sheet of Object.keys(program.sheets)) warm(other, sheet);
    return { read, tables: Object.keys(tables).length };
  },
  split: (ask) => splitEntry(program.units, ask.text),
  typed: (ask) => parseNumber(ask.text),
  read: (ask) => readInputs(program, ask.sheet, ask.entries, "en", ask.system).problems,
  asks: (ask) => {
    const { values } = readInputs(program, ask.sheet, ask.entries);
    const makers = readMakers(program, ask.sheet, ask.makers).values;
    const result = evaluate(program, ask.sheet, values, makers);
    return saidAsks(program, ask.sheet, asks(program, ask.sheet, ask.entries, values, makers, result, ask.makers));
  },
  facts: (ask) => factAsks(program, ask.facts),
  show: (ask) => show(program, ask.value, ask.unit, ask.system),
  expr: (ask) => {
    try {
      const got = build(ask.expr, program)(ask.values);
      return typeof got === "number" && !Number.isFinite(got) ? { refused: "not_finite" } : { got };
    } catch (error) {
      if (error instanceof Refuse) return { refused: error.code };
      throw error;
    }
  },
};
for await (const line of createInterface({ input: process.stdin })) {
  const ask = JSON.parse(line);
  process.stdout.write(`${JSON.stringify(does[ask.do]?.(ask))}\n`);
}
