// Reads {bundle, cases: [entries]} on stdin and writes, by case, the facts that the form of a position refuses beside the others.
import { readFileSync } from "node:fs";
import { asks, factProblems } from "../../web/judge.js";

const { bundle, cases } = JSON.parse(readFileSync(0, "utf8"));
const found = (/** @type {any} */ entries) =>
  bundle.facts
    .filter((/** @type {any} */ fact) => fact.wrong && asks(fact, entries.locking_method?.word, bundle, entries))
    .flatMap((/** @type {any} */ fact) => factProblems(bundle, fact, entries).map(({ input, message }) => [input, message]));
process.stdout.write(JSON.stringify(cases.map(found)));
