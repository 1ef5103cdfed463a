import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { join } from "node:path";
import test from "node:test";
import { en } from "../../web/text/en.js";
import { filesBelow, WEB } from "./vendor_rules.mjs";

const sources = filesBelow(WEB).filter(
  (path) => path.endsWith(".js") && !path.startsWith("vendor/") && !path.startsWith("text/"),
);
const used = new Set();
/** @type {RegExp[]} */
const made = [];
for (const path of sources) {
  const source = readFileSync(join(WEB, path), "utf8");
  for (const hit of source.matchAll(/\bt\(\s*"([\w.]+)"/g)) used.add(hit[1]);
  for (const hit of source.matchAll(/"([a-z_]+\.[a-z_.]+)"/g)) used.add(hit[1]);
  for (const hit of source.matchAll(/\bt\(\s*`([^`]+)`/g))
    made.push(
      new RegExp(
        `^${/** @type {string} */ (hit[1]).replaceAll(".", "\\.").replace(/\$\{[^}]*(?:\}[^`]*)?\}/g, ".+")}$`,
      ),
    );
}
const known = (/** @type {string} */ key) => key in en || `${key}.other` in en;

test("every sentence asked for by name is in the catalogue", () => {
  for (const path of sources)
    for (const hit of readFileSync(join(WEB, path), "utf8").matchAll(/\bt\(\s*"([\w.]+)"/g))
      assert.ok(known(/** @type {string} */ (hit[1])), `${path}: ${hit[1]}`);
});

test("no sentence stands in the catalogue unused", () => {
  const idle = Object.keys(en).filter((key) => {
    const name = key.replace(/\.(one|other)$/, "");
    return !used.has(name) && !used.has(key) && !made.some((pattern) => pattern.test(name) || pattern.test(key));
  });
  assert.deepEqual(idle, []);
});

test("no sentence calls a machine safe", () => {
  for (const [key, text] of Object.entries(en)) assert.doesNotMatch(text, /\bsafe\b(?<!Make safe)/i, key);
});

test("nothing sets markup or style from a string", () => {
  for (const path of sources)
    assert.doesNotMatch(
      readFileSync(join(WEB, path), "utf8"),
      /innerHTML|outerHTML|insertAdjacentHTML|unsafeHTML|style="|eval\(|new Function/,
      path,
    );
});
