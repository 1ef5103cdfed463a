// Whose maker's value rules: entered for the record, then for the bearing, then for the plant; what is under it stays to be seen.
import assert from "node:assert/strict";
import { test } from "node:test";
import { makerFor, makerLevels } from "../../web/job.js";

const program = {
  units: { "N.m": { kinds: ["torque"], factor: 1, zero: 0 } },
  kinds: { torque: { per: 1e6 } },
  sheets: { screws: { lines: [{ name: "target", kind: "torque", maker: true }] } },
};
const value = (typed, more = {}) => ({ typed, unit: "N.m", document: "D", ...more });
const plant = [
  { plant_value: "r", line: "screws.target", value: { typed: "3", unit: "N.m" }, document: "P", revision: "", page: "", name: "Lena", by: "l", at: "t", event: "e", where: {}, holds: true },
];
const job = (maker, readings = []) => ({
  program,
  plant,
  state: { facts: {}, maker, readings: { "a/b": { all: readings.map((made) => ({ by: "m", at: "then", body: { sheet: "screws", maker: { target: made } } })) } } },
});
const rules = (...given) => makerLevels(...given).levels.target.map((one) => [one.typed, one.origin]);

test("record over bearing over plant, and every level is kept", () => {
  const bearing = { "screws.target": value("2") };
  assert.deepEqual(rules(job({}), "screws"), [["3", "plant"]]);
  assert.deepEqual(rules(job(bearing), "screws"), [["2", "bearing"], ["3", "plant"]]);
  assert.deepEqual(rules(job(bearing), "screws", { "screws.target": value("1") }), [["1", "record"], ["2", "bearing"], ["3", "plant"]]);
  assert.equal(makerFor(makerLevels(job(bearing), "screws")).target.typed, "2");
});

test("a value that an earlier reading only copied is no value of the record", () => {
  assert.deepEqual(rules(job({}, [value("9", { origin: "plant" })]), "screws"), [["3", "plant"]]);
  assert.deepEqual(rules(job({}, [value("1", { origin: "record" })]), "screws"), [["1", "record"], ["3", "plant"]]);
  assert.equal(makerLevels(job({}, [value("1", { origin: "record" })]), "screws").levels.target[0].by, "m");
  // an app from before origins: what the bearing had stays the bearing's
  assert.deepEqual(rules(job({ "screws.target": value("2") }, [value("2")]), "screws"), [["2", "bearing"], ["3", "plant"]]);
});

test("a withdrawn value, or one this handbook cannot take, is not there", () => {
  const gone = { ...job({}), plant: [{ ...plant[0], holds: false }] };
  assert.deepEqual(makerLevels(gone, "screws").levels, {});
  const odd = { ...job({}), plant: [{ ...plant[0], value: { typed: "3", unit: "mm" } }] };
  assert.deepEqual(makerLevels(odd, "screws").levels, {});
});
