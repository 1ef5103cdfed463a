// Whether two programs are the same to a parser: reads `[a, b]` pairs as JSON from standard input, answers the numbers of those that differ.
import ts from "typescript";

/** @param {string} text */
function printed(text) {
  const file = ts.createSourceFile("x.js", text, ts.ScriptTarget.ES2022, false, ts.ScriptKind.JS);
  const faults = /** @type {any} */ (file).parseDiagnostics;
  if (faults.length) return `does not parse: ${ts.flattenDiagnosticMessageText(faults[0].messageText, " ")}`;
  return tree(file, file);
}

/** Every node with its kind, and every leaf with its text. @param {any} node @param {any} file @returns {any} */
function tree(node, file) {
  /** @type {any[]} */
  const inside = [];
  ts.forEachChild(node, (one) => {
    inside.push(tree(one, file));
  });
  const text = inside.length ? (node.operator ?? node.operatorToken?.kind ?? "") : (node.rawText ?? node.text ?? "");
  return [node.kind, node.flags & (ts.NodeFlags.Let | ts.NodeFlags.Const), text, inside];
}

let given = "";
for await (const part of process.stdin) given += part;
const pairs = JSON.parse(given);
const differ = pairs
  .map((/** @type {[string, string]} */ [a, b], /** @type {number} */ at) => {
    const [one, two] = [JSON.stringify(printed(a)), JSON.stringify(printed(b))];
    return one === two && !one.includes("does not parse") ? -1 : at;
  })
  .filter((/** @type {number} */ at) => at >= 0);
process.stdout.write(JSON.stringify(differ));
