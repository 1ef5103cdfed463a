// When later work is due, on the phone: the same cases as in tests/records/test_due.py.
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { test } from "node:test";
import { clockFrom, soonest } from "../../web/due.js";

const CASES = JSON.parse(readFileSync(new URL("../records/due_cases.json", import.meta.url), "utf8"));

for (const one of CASES)
  test(`due: ${one.what}`, () => {
    const state = { completed: { at: one.completed }, steps: one.steps, machine_started: one.machine_started };
    const later = { after: one.after, ...(one.counts_from ? { counts_from: one.counts_from } : {}) };
    assert.equal(clockFrom(state, later), one.from);
    assert.equal(soonest(state, later), one.soonest);
  });
