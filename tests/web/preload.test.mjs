import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { join } from "node:path";
import test from "node:test";
import { reached, withPreloads } from "./preload.mjs";
import { WEB } from "./vendor_rules.mjs";

test("index.html preloads exactly the modules that the start reaches", () => {
  const html = readFileSync(join(WEB, "index.html"), "utf8");
  assert.equal(html, withPreloads(html, reached(WEB)), "run node tests/web/preload.mjs");
});

test("the page has no inline style, handler or script but the import map", () => {
  const html = readFileSync(join(WEB, "index.html"), "utf8");
  assert.doesNotMatch(html, /\sstyle=|<style|\son\w+=/);
  assert.deepEqual(
    [...html.matchAll(/<script([^>]*)>/g)].map((hit) => /** @type {string} */ (hit[1]).trim()),
    ['type="importmap"', 'type="module" src="/phone/boot.js"'],
  );
});
