import assert from "node:assert/strict";
import test from "node:test";
import fc from "fast-check";
import { hatch, layClearance, layWindow, spread } from "../../web/views/geometry.js";

test("a reading inside its limits is drawn between the posts, outside it beyond them", () => {
  fc.assert(
    fc.property(
      fc.double({ min: -1e3, max: 1e3, noNaN: true }),
      fc.double({ min: 1e-6, max: 1e3, noNaN: true }),
      fc.double({ min: -3, max: 4, noNaN: true }),
      (low, wide, share) => {
        const high = low + wide;
        const value = low + share * wide;
        const place = layWindow({ low, high, value });
        const [a, x, b] = [
          /** @type {number} */ (place.low),
          /** @type {number} */ (place.value),
          /** @type {number} */ (place.high),
        ];
        assert.ok(a < b);
        if (share < 0) assert.ok(x <= a + 1e-6);
        else if (share > 1) assert.ok(x >= b - 1e-6);
        else assert.ok(x >= a - 1e-6 && x <= b + 1e-6);
        assert.ok(x >= 24 && x <= 336);
        if (place.beyond === null) assert.ok(Math.abs((x - a) / (b - a) - share) < 1e-6);
      },
    ),
  );
});

test("a reading on the good side of its one limit is drawn there, not as a pointer", () => {
  for (const window of [
    { high: 0.05, value: 0 },
    { high: 0.05, value: 0.02 },
    { high: 13, value: 12.9 },
    { low: 35, value: 35.1 },
    { low: 35, value: 900 },
  ]) {
    const place = layWindow(window);
    assert.equal(place.beyond, null, JSON.stringify(window));
    const x = /** @type {number} */ (place.value);
    assert.ok(place.low === null ? x < /** @type {number} */ (place.high) : x > place.low);
  }
  assert.equal(layWindow({ high: 0.05, value: 1 }).beyond, "right");
});

test("one limit, no limit, one number for both", () => {
  assert.equal(layWindow({ low: 5, value: 7 }).high, null);
  assert.equal(layWindow({ high: 5, value: 7 }).low, null);
  assert.deepEqual(layWindow({ value: 7 }), { low: null, high: null, value: null, beyond: null, never: [], blur: 0 });
  const same = layWindow({ low: 4, high: 4, value: 4 });
  assert.equal(same.low, same.high);
  assert.equal(same.value, same.low);
});

test("never is drawn on its own side of its limit only", () => {
  const [zone] = layWindow({ low: 10, high: 20, neverBelow: 10 }).never;
  assert.equal(zone?.from, 24);
  assert.equal(zone?.to, layWindow({ low: 10, high: 20 }).low);
});

test("labels never cover each other and keep their order", () => {
  fc.assert(
    fc.property(
      fc.array(fc.record({ at: fc.integer({ min: 0, max: 360 }), size: fc.integer({ min: 5, max: 50 }) }), {
        maxLength: 6,
      }),
      (labels) => {
        const places = spread(labels, 0, 360);
        const order = labels
          .map((_, index) => index)
          .sort((a, b) => /** @type {any} */ (labels[a]).at - /** @type {any} */ (labels[b]).at);
        for (let n = 1; n < order.length; n += 1) {
          const [before, after] = [/** @type {number} */ (order[n - 1]), /** @type {number} */ (order[n])];
          assert.ok(
            /** @type {number} */ (places[after]) - /** @type {number} */ (places[before]) >=
              /** @type {any} */ ((labels[before]).size + /** @type {any} */ (labels[after]).size) / 2 - 1e-9,
          );
        }
      },
    ),
  );
});

test("the standing gauge falls from before to never", () => {
  const at = layClearance({ before: 95, now: 58, high: 50, low: 35, never: 35 });
  const down = [at.before, at.now, at.high, at.low, at.never].map((y) => /** @type {number} */ (y));
  for (let n = 1; n < down.length; n += 1)
    assert.ok(/** @type {number} */ (down[n]) >= /** @type {number} */ (down[n - 1]));
  assert.ok(/** @type {number} */ (at.never) < 290, "there is room below for the hatch");
});

test("hatch stays in its box", () => {
  for (const [, x, y] of hatch(10, 40, 5, 25).matchAll(/([\d.]+) ([\d.]+)/g)) {
    assert.ok(Number(x) >= 10 && Number(x) <= 40);
    assert.ok(Number(y) >= 5 && Number(y) <= 25);
  }
});
