import assert from "node:assert/strict";
import test from "node:test";
import fc from "fast-check";

// Nothing is rendered here: the templates themselves are read, so lit-html needs no more than this of a page.
/** @type {any} */ (globalThis).document ??= { createTreeWalker: () => ({}), createComment: () => ({}) };
const { arc, discHatch, place } = await import("../../web/views/drawings/lines.js");
const { boltStates, crosswise, sweep } = await import("../../web/views/drawings/lock.js");
const { layGrowth } = await import("../../web/views/drawings/seat.js");
const { boltNow, stepFigure } = await import("../../web/views/figure.js");

/** The text a template would show, without a page. @param {any} part @returns {string} */
function flat(part) {
  if (Array.isArray(part)) return part.map(flat).join(" ");
  if (part?.strings) return part.strings.map((/** @type {string} */ text, /** @type {number} */ at) => text + flat(part.values[at] ?? "")).join("");
  return typeof part === "string" || typeof part === "number" ? String(part) : "";
}
/** What stands under the drawing. @param {any} part */
const caption = (part) => [...flat(part).matchAll(/<p>(.*?)<\/p>/g)].map((one) => one[1]);

test("angles run clockwise from the top, as on a clock", () => {
  assert.deepEqual(place(0, 0, 10, 0), [0, -10]);
  assert.deepEqual(place(0, 0, 10, 90), [10, 0]);
  assert.deepEqual(place(0, 0, 10, 180), [0, 10]);
  assert.deepEqual(place(0, 0, 10, 270), [-10, 0]);
});

test("an arc goes the way it is told and takes the long way only past half a turn", () => {
  assert.equal(arc(0, 0, 10, 0, 90), "M0,-10A10 10 0 0 1 10,0");
  assert.equal(arc(0, 0, 10, 90, 0), "M10,0A10 10 0 0 0 0,-10");
  assert.match(arc(0, 0, 10, 0, 270), /A10 10 0 1 1/);
  assert.match(arc(0, 0, 10, 0, 400), /A10 10 0 1 1/);
  const [clockwise, other] = [sweep("clockwise"), sweep("counter_clockwise")];
  assert.ok(clockwise[0] < clockwise[1]);
  assert.ok(other[0] > other[1]);
});

test("the hatch of a shaft stays inside it", () => {
  for (const hit of discHatch(50, 50, 20).matchAll(/[ML](-?[\d.]+) (-?[\d.]+)/g)) {
    const far = Math.hypot(Number(hit[1]) - 50, Number(hit[2]) - 50);
    assert.ok(far <= 20.05, String(far));
  }
});

test("four bolts go 1, 3, 2, 4; one is now, those before it are done", () => {
  assert.deepEqual(crosswise(4), [1, 3, 2, 4]);
  assert.deepEqual(boltStates(4, 0), ["now", "to_come", "to_come", "to_come"]);
  assert.deepEqual(boltStates(4, 1), ["done", "to_come", "now", "to_come"]);
  assert.deepEqual(boltStates(4, 2), ["done", "now", "done", "to_come"]);
  assert.deepEqual(boltStates(4, 4), ["done", "done", "done", "done"]);
  assert.deepEqual(boltStates(2, 1), ["done", "now"]);
});

test("growth is drawn to scale; what runs out of travel is said", () => {
  fc.assert(
    fc.property(fc.double({ min: 1e-4, max: 0.1, noNaN: true }), fc.double({ min: -1, max: 1, noNaN: true }), fc.double({ min: -1, max: 1, noNaN: true }), (reach, a, b) => {
      const laid = layGrowth({ reach, margin: reach / 5, cold: a * reach, hot: b * reach });
      assert.ok(Math.abs(laid.cold - (180 + 140 * a)) < 0.02);
      assert.ok(Math.abs(laid.hot - laid.cold - 140 * (b - a)) < 0.03);
      assert.ok(Math.abs(laid.kept - 28) < 1e-6);
      assert.equal(laid.out, false);
    }),
  );
  assert.equal(layGrowth({ reach: 0.002, margin: 0, cold: 0, hot: 0.003 }).out, true);
});

/** @param {[string, string, string, string?][]} list id, drawing, status, line of its number */
const jobOf = (list) =>
  /** @type {any} */ ({
    id: "j",
    state: { status: "open", readings: {} },
    program: { sheets: {}, units: {} },
    steps: list.map(([id, drawing, status, line]) => ({ id, step: id, drawing, told: { status }, number: line ? { line } : undefined, readings: [] })),
  });
const phone = /** @type {any} */ ({ settings: { all: { value: { units: "metric" } } }, canWork: () => true, drafts: {} });

test("the words under the screws say what the drawing shows", () => {
  const job = jobOf([
    ["a1", "screw_a", "done", "half"],
    ["b1", "screw_b", "open", "half"],
    ["a2", "screw_a", "open", "target"],
    ["a3", "screw_a", "open", "target"],
  ]);
  assert.deepEqual(caption(stepFigure(phone, job, job.steps[1], {})), ["Now: B to half.", "Then: A to full, A again.", "Done: A to half."]);
});

test("four screws are all drawn, C and D lit together; one clamp screw has one slit, two have two halves", () => {
  const job = jobOf([
    ["a1", "screw_a", "done", "target"],
    ["b1", "screw_b", "done", "target"],
    ["cd", "screw_cd", "open", "target"],
  ]);
  const drawn = stepFigure(phone, job, job.steps[2], {});
  assert.deepEqual(caption(drawn), ["Now: C + D to full.", "Done: A to full, B to full."]);
  const lit = (/** @type {any} */ shown) => [...flat(shown).matchAll(/class="on-now"[^>]*>([A-D])</g)].map((hit) => hit[1]);
  assert.deepEqual(lit(drawn), ["C", "D"]);
  const drawnScrews = (/** @type {any} */ shown) => flat(shown).match(/class="screw"/g)?.length;
  assert.equal(drawnScrews(drawn), 4);
  assert.equal(drawnScrews(stepFigure(phone, job, job.steps[0], {})), 4, "the other pair stands in the drawing from the first step on");
  const pair = jobOf([
    ["a", "screw_a", "open", "half"],
    ["b", "screw_b", "open", "half"],
  ]);
  assert.equal(drawnScrews(stepFigure(phone, pair, pair.steps[0], {})), 2);
  const joints = (/** @type {any} */ list) => {
    const clamp = jobOf(list);
    return flat(stepFigure(phone, clamp, clamp.steps[0], {})).match(/M262 /g)?.length ?? 0;
  };
  assert.equal(joints([["a", "clamp_a", "open", "half"]]), 0);
  assert.equal(
    joints([
      ["a", "clamp_a", "open", "half"],
      ["b", "clamp_b", "open", "half"],
    ]),
    2, // two lines of the second joint
  );
});

test("the words under the bolts name the bolt and the pass", () => {
  const job = jobOf([
    ["bolts_first", "bolts", "done", "first"],
    ["bolts_second", "bolts", "open", "second"],
    ["bolts_full", "bolts", "open", "target"],
    ["bolts_round", "bolts", "open"],
  ]);
  assert.deepEqual(caption(stepFigure(phone, job, job.steps[1], { bolt: 1 })), ["Bolt 3 now. Order: 1, 3, 2, 4.", "Now: 70 %.", "Then: 100 %, again.", "Done: 30 %."]);
  assert.match(flat(stepFigure(phone, job, job.steps[1], { bolt: 1 })), /Go round again/);
  // The act at the thumb: each bolt by its turn, then none, so that the pass can be recorded.
  assert.deepEqual([0, 1, 2, 3, 4].map((bolt) => boltNow(phone, job, job.steps[1], { bolt })?.label ?? null), [
    "Bolt 1 is at this torque",
    "Bolt 3 is at this torque",
    "Bolt 2 is at this torque",
    "Bolt 4 is at this torque",
    null,
  ]);
});

test("a cap is drawn with the bolts that were counted, by turns, and no passes", () => {
  for (const [word, order] of [["two", "1, 2"], ["four", "1, 3, 2, 4"]]) {
    const job = jobOf([["cap_on", "", "done"], ["cap_bolts", "cap_bolts", "open"]]);
    job.state.readings["cap_on/cap_count"] = { all: [{ event: 1, body: { value: { word } } }], current: 1 };
    const drawn = stepFigure(phone, job, job.steps[1], {});
    assert.deepEqual(caption(drawn), [`Bolt 1 now. Order: ${order}.`]);
    assert.match(flat(drawn), /class="dash" d="M140 8/, "the shaft under the cap");
    assert.equal(boltNow(phone, job, job.steps[1], { bolt: 1 })?.label, `Bolt ${word === "two" ? 2 : 3} is at this torque`);
  }
});

test("a collar says its turn in the sheet's words, with the hidden side drawn hidden", () => {
  const way = [
    { word: "clockwise", label: { en: "clockwise" } },
    { word: "counter_clockwise", label: { en: "counter-clockwise" } },
  ];
  const lines = [
    { name: "turn_to_lock", label: { en: "Lock" }, choices: way },
    { name: "turn_to_release", label: { en: "Release" }, choices: way },
    { name: "collar_is", label: { en: "It is" }, choices: [{ word: "behind_bearing", label: { en: "behind" } }] },
  ];
  const job = jobOf([
    ["which", "", "done"],
    ["drive", "turn_to_lock", "open"],
  ]);
  assert.equal(flat(stepFigure(phone, job, job.steps[1], {})), "", "nothing is drawn before the direction is known");
  job.program.sheets.cam_direction = { inputs: [], lines };
  job.steps[0].readings = [{ reading: "direction", sheet: "cam_direction" }];
  const values = { turn_to_lock: "counter_clockwise", turn_to_release: "clockwise", collar_is: "behind_bearing" };
  job.state.readings["which/direction"] = { all: [{ event: 1, body: { result: { values } } }], current: 1 };
  const drawn = stepFigure(phone, job, job.steps[1], {});
  assert.deepEqual(caption(drawn), ["Lock: counter-clockwise", "Release: clockwise", "It is: behind"]);
  assert.match(flat(drawn), /class=dash/);
});
