// What a gloved hand must never need, and what it must find: no double tap, long press or drag; keys at the thumb; a lit screen.
import assert from "node:assert/strict";
import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import test from "node:test";
import { awake } from "../../web/awake.js";
import { WEB } from "./vendor_rules.mjs";

/** @type {any} */ (globalThis).document ??= { createTreeWalker: () => ({}), createComment: () => ({}) };
const { keysFor } = await import("../../web/views/pad.js");

/** @param {string} folder @returns {string[]} */
const scripts = (folder) =>
  readdirSync(folder, { withFileTypes: true }).flatMap((one) =>
    one.isDirectory() ? (one.name === "vendor" ? [] : scripts(join(folder, one.name))) : one.name.endsWith(".js") ? [join(folder, one.name)] : [],
  );

/** Events that only a double tap, a long press, a drag or a path can make. */
const HARD = /["'@](dblclick|contextmenu|pointermove|mousemove|touch(?:start|move|end)|drag\w*|drop)\b|draggable|type="range"|setPointerCapture/;

test("no screen listens to a double tap, a long press, a drag or a slide", () => {
  assert.match("<a @dblclick=", HARD);
  assert.match('addEventListener("pointermove", x)', HARD);
  const files = scripts(WEB);
  assert.ok(files.length > 50);
  assert.deepEqual(
    files.filter((file) => HARD.test(readFileSync(file, "utf8"))),
    [],
  );
});

test("back, dash, bar and unit stand at the thumb of the hand that holds the phone", () => {
  assert.deepEqual(keysFor("right").slice(0, 4), ["1", "2", "3", "back"]);
  assert.deepEqual(keysFor("left").slice(0, 4), ["back", "1", "2", "3"]);
  assert.deepEqual([...keysFor("left")].sort(), [...keysFor("right")].sort());
});

test("the screen stays lit while a job is open, let go when hidden, asked for again when seen", async () => {
  /** @type {string[]} */
  const told = [];
  const request = async () => {
    told.push("asked");
    return { release: () => told.push("released") };
  };
  const navigator = { wakeLock: { request } };
  /** @type {(() => void)[]} */
  const heard = [];
  const page = { hidden: false, addEventListener: (/** @type {string} */ _, /** @type {() => void} */ act) => void heard.push(act) };
  const seen = async (/** @type {boolean} */ hidden) => {
    page.hidden = hidden;
    for (const act of heard) act();
    await null;
    await null;
  };
  const lit = awake(navigator, page);
  await seen(false);
  assert.deepEqual(told, [], "nothing is asked before a job is open");
  lit(true);
  lit(true);
  await null;
  assert.deepEqual(told, ["asked"]);
  await seen(true);
  assert.deepEqual(told, ["asked", "released"]);
  await seen(false);
  assert.deepEqual(told, ["asked", "released", "asked"]);
  lit(false);
  await seen(true);
  await seen(false);
  assert.deepEqual(told, ["asked", "released", "asked", "released"]);
});

test("a phone without a wake lock, or one that refuses, works all the same", async () => {
  const page = { hidden: false, addEventListener: () => {} };
  awake({}, page)(true);
  const lit = awake({ wakeLock: { request: () => Promise.reject(new Error("no")) } }, page);
  lit(true);
  await null;
  lit(false);
  await null;
});
