// A bundle folded and unfolded is the same bundle, and only what is looked at is understood.
import assert from "node:assert/strict";
import { test } from "node:test";
import fc from "fast-check";
import { fold, unfold } from "../../web/folding.js";

const pieces = fc.dictionary(fc.string({ minLength: 1 }).filter((key) => key !== "__proto__"), fc.jsonValue());
const bundles = fc.record({ drawings: fc.option(pieces, { nil: undefined }), hash: fc.string(), procedures: pieces, calc: fc.record({ sheets: pieces, tables: pieces, units: fc.jsonValue() }) });
const plain = (/** @type {any} */ data) => JSON.parse(JSON.stringify(data));

test("folded and unfolded, a bundle is what it was, whatever was looked at before", () => {
  fc.assert(
    fc.property(bundles, fc.boolean(), (data, touch) => {
      const was = plain(data);
      const { text, folded } = fold(data);
      assert.deepEqual(plain(data), was, "folding changes nothing");
      const again = unfold(text, structuredClone(folded));
      if (touch) for (const one of Object.values(again.procedures)) void one;
      assert.deepEqual(plain(again), was);
      assert.deepEqual(Object.keys(again.calc.sheets), Object.keys(data.calc.sheets));
    }),
  );
});

test("a piece is understood once, when it is looked at, and what is written into it stays", () => {
  const data = unfold(JSON.stringify({ procedures: {}, calc: { sheets: {}, tables: {} } }), [{ good: "{}", torn: "{" }, {}, {}, {}]);
  assert.equal(data.procedures.good, data.procedures.good);
  data.procedures.good.es = "hola";
  assert.equal(data.procedures.good.es, "hola");
  assert.throws(() => data.procedures.torn, SyntaxError);
  data.procedures.torn = { mended: true };
  assert.deepEqual(data.procedures.torn, { mended: true });
});
