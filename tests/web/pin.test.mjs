import assert from "node:assert/strict";
import { pbkdf2Sync } from "node:crypto";
import test from "node:test";
import { People } from "../../web/people.js";
import { reducePerson } from "../../web/person.js";
import { makePin, pinMatches, pinProblem, secondsLeft } from "../../web/pin.js";
import { phone } from "./phone_kit.mjs";

const ROUNDS = 1000;

test("what may not be a PIN: other than six digits, all equal, a run up or down", () => {
  for (const bad of ["12345", "1234567", "12345a", "", "٣٤٥٦٧٨"]) assert.equal(pinProblem(bad), "length", bad);
  for (const bad of ["000000", "777777"]) assert.equal(pinProblem(bad), "equal");
  for (const bad of ["123456", "456789", "654321", "987654"]) assert.equal(pinProblem(bad), "run");
  for (const good of ["123457", "135791", "890123", "121212", "271828"]) assert.equal(pinProblem(good), null, good);
});

test("the hash is PBKDF2 with SHA-256 as Node's own library computes it, salted anew each time", async () => {
  const kept = await makePin("271828", ROUNDS);
  assert.equal(kept.hash, pbkdf2Sync("271828", Buffer.from(kept.salt, "hex"), ROUNDS, 32, "sha256").toString("hex"));
  assert.notEqual((await makePin("271828", ROUNDS)).salt, kept.salt);
  assert.ok(await pinMatches("271828", kept));
  assert.ok(!(await pinMatches("271829", kept)));
  // RFC 7914, section 11: PBKDF2-HMAC-SHA-256 of "passwd", "salt", 1 round; its first 32 bytes.
  assert.ok(
    await pinMatches("passwd", {
      alg: "PBKDF2-SHA-256",
      rounds: 1,
      salt: Buffer.from("salt").toString("hex"),
      hash: "55ac046e56e3089fec1691c22544b605f94185216dde0465e68b9d57c20dacbc",
    }),
  );
});

test("the wait grows with the wrong tries, and a clock set back does not lengthen it", () => {
  const waits = [1, 2, 3, 4].map((wrong) => secondsLeft({ wrong, last: 1000 }, 1000));
  assert.deepEqual([...waits].sort((a, b) => a - b), waits);
  assert.ok(new Set(waits).size === 4 && /** @type {number} */ (waits[0]) > 0);
  assert.equal(secondsLeft({ wrong: 4, last: 1000 }, -1e9), waits[3]);
  assert.equal(secondsLeft({ wrong: 4, last: 1000 }, 1e9), 0);
  assert.equal(secondsLeft(undefined, 0), 0);
});

/** @param {string} name @param {(id: string) => any} [standing] */
async function withPerson(name, standing) {
  const one = await phone(name);
  const pin = await makePin("271828", ROUNDS);
  await one.store.setMeta("people", [
    { id: "a", name: "Ann", login: "ann", roles: ["technician"], pin },
    { id: "b", name: "Bo", login: "bo", roles: ["planner"] },
  ]);
  const people = new People(one.store, standing);
  await people.load();
  return { one, people };
}

/** The wait is over. @param {any} one */
const waited = (one) =>
  one.store.change("people", [], (/** @type {any[]} */ list) =>
    list.map((person) => (person.tries ? { ...person, tries: { ...person.tries, last: 0 } } : person)),
  );

test("five wrong tries lock the PIN, over kills, until the password has been given", async () => {
  const { one, people } = await withPerson("pin-lock");
  assert.deepEqual(await people.prove("a", "271828"), { ok: true });
  assert.deepEqual(await people.prove("b", "271828"), { ok: false, why: "none", n: 0 });
  for (const n of [4, 3, 2, 1]) {
    assert.deepEqual(await people.prove("a", "000001"), { ok: false, why: "wrong", n });
    // Killed and opened again: the count and the wait are still there, and the right PIN waits too.
    const again = new People(one.store);
    await again.load();
    assert.equal(/** @type {any} */ (await again.prove("a", "271828")).why, "wait");
    await waited(one);
  }
  assert.equal(/** @type {any} */ (await people.prove("a", "000001")).why, "locked");
  await waited(one);
  assert.equal(/** @type {any} */ (await people.prove("a", "271828")).why, "locked");
  const real = globalThis.fetch;
  Object.defineProperty(globalThis, "navigator", { value: { userAgent: "" }, configurable: true });
  globalThis.fetch = /** @type {any} */ (
    async (/** @type {string} */ _path, /** @type {any} */ how) => {
      assert.ok(!how.body.includes("271828"), "a PIN never leaves the phone");
      return new Response(JSON.stringify({ person: { id: "a", name: "Ann", roles: ["technician"] } }));
    }
  );
  try {
    await people.signIn("ann", "a long password", false);
  } finally {
    globalThis.fetch = real;
  }
  assert.equal(people.actingId.value, null, "a second person's sign-in does not change who acts");
  assert.deepEqual(await people.prove("a", "271828"), { ok: true });
});

test("a try is counted before it is looked at, so tries at once all count", async () => {
  const { people } = await withPerson("pin-race");
  const said = await Promise.all(["000001", "000002", "000003", "271828"].map((pin) => people.prove("a", pin)));
  assert.equal(said.filter((one) => !one.ok && one.why === "wrong").length, 1);
  assert.equal(said.filter((one) => !one.ok && one.why === "wait").length, 3);
});

test("left idle, who acts shows it again; a clock set back locks too; without a PIN nobody is locked out", async () => {
  const { one, people } = await withPerson("pin-idle");
  await people.act("a");
  people.lockIfIdle(30);
  assert.equal(people.locked.value, false);
  for (const away of [-31, 31]) {
    await one.store.setMeta("touched", Date.now() + away * 60_000);
    const again = new People(one.store);
    await again.load();
    again.lockIfIdle(30);
    assert.equal(again.locked.value, true);
    await again.touch(true);
    assert.notEqual(Math.abs((await one.store.meta("touched")) - Date.now()) < 1000, true, "a touch opens nothing");
  }
  await people.act("b");
  people.touched = 0;
  people.lockIfIdle(30);
  assert.equal(people.locked.value, false);
});

const event = (/** @type {string} */ id, /** @type {string} */ kind, /** @type {any} */ body, /** @type {string[]} */ parents) => ({
  hash: id.repeat(64).slice(0, 64),
  event: /** @type {any} */ ({ id, record: "a", kind, body, parents, actor: "x", device: "d", seq: 1, previous: null, wall: `2026-01-01T00:00:0${id}.000Z` }),
});

test("who is shut out or lost the role can be neither second nor actor", async () => {
  const added = event("1", "person_added", { name: "Ann", roles: ["technician"] }, []);
  const planner = event("2", "roles_changed", { roles: ["planner"] }, [added.hash]);
  const out = event("3", "person_disabled", { reason: "" }, [planner.hash]);
  const back = event("4", "person_enabled", {}, [out.hash]);
  assert.deepEqual(reducePerson([added]), { name: "Ann", roles: ["technician"], disabled: false });
  const cases = /** @type {const} */ ([
    [[added], true, true],
    [[planner, added], true, false],
    [[out, added, planner], false, false],
    [[back, out, added, planner], true, false],
  ]);
  for (const [kept, act, confirm] of cases) {
    const { people } = await withPerson(`pin-roles-${kept.length}`, () => reducePerson([...kept]));
    const ann = /** @type {any} */ (people.here.value[0]);
    assert.equal(people.mayAct(ann), act);
    assert.equal(people.mayConfirm(ann), confirm);
    assert.equal((await people.prove("a", "271828")).ok, act);
  }
  const { people } = await withPerson("pin-planner");
  assert.equal(people.mayConfirm(/** @type {any} */ (people.here.value[1])), false, "a planner is no second person");
});
