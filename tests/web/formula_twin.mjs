// Reads {program, cases: [{sheet, expr, system, values}]} on stdin, writes the phone's set formula of each.
import { readFileSync } from "node:fs";
import { typeset } from "../../web/mathml.js";

const { program, cases } = JSON.parse(readFileSync(0, "utf8"));
const out = cases.map((/** @type {any} */ { sheet, expr, system, values }) =>
  typeset(program, sheet, expr, "en", system, values),
);
process.stdout.write(JSON.stringify(out));
