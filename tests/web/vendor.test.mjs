import assert from "node:assert/strict";
import { cpSync, mkdtempSync, readFileSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import test from "node:test";
import { importsOf, vendorProblems, WEB } from "./vendor_rules.mjs";

test("everything vendored is what the lock says, and everything imported is here", () => {
  assert.deepEqual(vendorProblems(WEB), []);
});

test("the checker sees an edited file, a stray file, a far import and a lost one", () => {
  const copy = mkdtempSync(join(tmpdir(), "web-"));
  cpSync(WEB, copy, { recursive: true });
  const edited = join(copy, "vendor", "idb", "index.js");
  writeFileSync(edited, `${readFileSync(edited, "utf8")}\n`);
  writeFileSync(join(copy, "vendor", "stray.js"), "");
  writeFileSync(join(copy, "far.js"), 'import "https://esm.sh/x";\nimport { y } from "./lost.js";\n');
  const said = vendorProblems(copy).join("\n");
  for (const word of [
    "idb/index.js: edited",
    "vendor/stray.js: not in the lock",
    "far.js: imports https://esm.sh/x",
    "./lost.js leads nowhere",
  ])
    assert.ok(said.includes(word), said);
});

test("imports are found in every form", () => {
  assert.deepEqual(importsOf('import a from "a";import{b}from"b";\nexport * from "c";import "d";const e=import("e")'), [
    "a",
    "b",
    "c",
    "d",
    "e",
  ]);
});
