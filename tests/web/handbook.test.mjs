// A handbook this app's evaluator can run comes in; a newer one does not, and nothing of it is kept.
import assert from "node:assert/strict";
import { test } from "node:test";
import { EVALUATOR } from "../../web/calc.js";
import { Handbook } from "../../web/handbook.js";

/** @param {any} data */
const sent = (data) => new Response(JSON.stringify(data));

test("a bundle of a newer evaluator is refused whole; of this one or an older one it is kept", async () => {
  /** @type {string[]} */
  const kept = [];
  const store = /** @type {any} */ ({
    keepBundle: async (/** @type {any} */ one) => void kept.push(one.hash),
    setMeta: async () => {},
  });
  const book = new Handbook(store);
  const newer = sent({ format: 1, calc: { evaluator: EVALUATOR + 1 } });
  await assert.rejects(() => book.take(newer, null, true), /newer than this app/);
  assert.deepEqual(kept, []);
  assert.equal(book.current.value, null);
  for (const evaluator of [1, EVALUATOR]) await book.take(sent({ format: 1, calc: { evaluator } }), null, true);
  assert.equal(kept.length, 2);
  assert.equal(book.current.value, kept[1]);
});
