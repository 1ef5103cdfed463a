// What a module shows and takes: reads texts as JSON from standard input, answers its exported names and imported paths for each.
import ts from "typescript";

/** @param {string} text */
function faces(text) {
  const file = ts.createSourceFile("x.js", text, ts.ScriptTarget.ES2022, true, ts.ScriptKind.JS);
  const faults = /** @type {any} */ (file).parseDiagnostics;
  if (faults.length) return { fault: ts.flattenDiagnosticMessageText(faults[0].messageText, " ") };
  /** @type {string[]} */
  const shows = [];
  /** @type {string[]} */
  const takes = [];
  const visit = (/** @type {any} */ node) => {
    if (ts.isImportDeclaration(node) || (ts.isExportDeclaration(node) && node.moduleSpecifier))
      takes.push(/** @type {any} */ (node.moduleSpecifier).text);
    if (ts.isCallExpression(node) && node.expression.kind === ts.SyntaxKind.ImportKeyword)
      takes.push(/** @type {any} */ (node.arguments[0]).text);
    if (ts.isExportDeclaration(node) && node.exportClause && ts.isNamedExports(node.exportClause))
      shows.push(...node.exportClause.elements.map((one) => one.name.text));
    if (node.modifiers?.some((/** @type {any} */ one) => one.kind === ts.SyntaxKind.ExportKeyword)) {
      const named = ts.isVariableStatement(node) ? node.declarationList.declarations : [node];
      shows.push(...named.map((/** @type {any} */ one) => one.name.text));
    }
    ts.forEachChild(node, visit);
  };
  visit(file);
  return { shows: shows.sort(), takes: takes.sort() };
}

let given = "";
for await (const part of process.stdin) given += part;
console.log(JSON.stringify(JSON.parse(given).map(faces)));
