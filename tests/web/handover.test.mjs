import assert from "node:assert/strict";
import test from "node:test";
import { hashOf } from "../../web/canonical.js";
import { pack, toPhoto, toText, unpack } from "../../web/handover.js";
import { phone, Server } from "./phone_kit.mjs";

const JOB = "0190f0c0-0000-7000-8000-00000000000a";
const PLACE = "0190f0c0-0000-7000-8000-00000000000b";

/** A phone with a job begun, and the file it makes. @param {string} name */
async function giver(name) {
  const one = await phone(name);
  const write = (/** @type {string} */ kind, /** @type {any} */ body, record = JOB) => one.journal.write({ kind, record, body, actor: "a" });
  await write("position_described", { name: "DE" }, PLACE);
  await write("job_started", { position: PLACE });
  await write("note_added", { text: "half done" });
  const make = async () =>
    JSON.stringify(
      await pack({ device: await one.store.meta("device"), by: "a", job: JOB, position: PLACE, bundle: "f".repeat(64), events: /** @type {any[]} */ ([...one.journal.events(JOB), ...one.journal.events(PLACE)]), photos: [] }),
    );
  return { one, write, make, text: await make() };
}

/** @param {any} two @param {string} text */
async function take(two, text) {
  const found = await unpack(text, { device: await two.store.meta("device"), held: (id) => two.store.event(id) });
  if ("fault" in found) return found.fault;
  await two.store.keepCarried(found.fresh.map((one) => ({ id: one.event.id, record: one.event.record, ...one })));
  await two.journal.takeIn(found.fresh.map((one) => one.event.id));
  return found.fresh.length;
}

test("a file joins without doubling, as often as it is read, and back again with what was added", async () => {
  const { one, write, make, text } = await giver("give-1");
  const two = await phone("take-1");
  assert.equal(await take(two, text), 3);
  assert.equal(await take(two, text), 0);
  assert.equal(two.journal.unsent.value, 3);
  await two.journal.write({ kind: "note_added", record: JOB, body: { text: "gone on" }, actor: "b" });
  await write("note_added", { text: "meanwhile" });
  const back = JSON.stringify(
    await pack({ device: await two.store.meta("device"), by: "b", job: JOB, position: PLACE, bundle: "f".repeat(64), events: /** @type {any[]} */ ([...two.journal.events(JOB), ...two.journal.events(PLACE)]), photos: [] }),
  );
  assert.equal(await take(one, back), 1);
  assert.equal(await take(two, await make()), 1);
  const ids = (/** @type {any} */ phone) => phone.journal.events(JOB).map((/** @type {any} */ kept) => kept.hash).sort();
  assert.deepEqual(ids(one), ids(two));
  two.store.close();
  const again = await phone("take-1");
  assert.deepEqual(ids(again), ids(two), "killed after it: all there");
});

test("carried entries are sent before the phone's own and leave the outbox by their hash, without a notice", async () => {
  const { text } = await giver("give-2");
  const two = await phone("take-2");
  await take(two, text);
  await two.journal.write({ kind: "note_added", record: JOB, body: { text: "mine" }, actor: "b" });
  const sent = await two.store.unsent();
  assert.equal(sent.at(-1)?.event.body.text, "mine");
  const server = new Server();
  server.judge = (event) => (event.device === sent.at(-1)?.event.device ? { outcome: "kept" } : { outcome: "claimed", code: "carried", reason: "r" });
  server.plug();
  assert.ok(await two.sync.now(true));
  assert.equal(two.journal.unsent.value, 0);
  assert.equal(server.log.length, 4);
  assert.deepEqual(two.sync.notices.value, []);
});

test("a damaged, cut, foreign, newer or forged file says which it is and changes nothing", async () => {
  const { text } = await giver("give-3");
  const two = await phone("take-3");
  const change = (/** @type {(file: any) => void} */ how) => {
    const file = JSON.parse(text);
    how(file);
    return JSON.stringify(file);
  };
  /** A lie that is hashed and packed as an honest file is. @param {(events: any[]) => void} how */
  const forge = async (how) => {
    const file = JSON.parse(text);
    how(file.events);
    for (const kept of file.events) kept.hash = await hashOf(kept.event);
    return JSON.stringify({ ...file, ...(await pack(file)) });
  };
  /** @type {[string, string][]} */
  const cases = [
    [text.slice(0, -20), "unreadable"],
    ["[]", "foreign"],
    ['{"events": []}', "foreign"],
    [change((file) => (file.version = 2)), "newer"],
    [change((file) => file.events.pop()), "damaged"],
    [change((file) => (file.events[1].event.body.text = "other")), "damaged"],
    [change((file) => (file.events[0] = null)), "damaged"],
    [change((file) => (file.job = PLACE)), "damaged"],
    [change((file) => (file.events[1].event.body.text = "\ud800")), "damaged"],
    [await forge((events) => (events[1].event.previous = "0".repeat(64))), "chain"],
    [await forge((events) => (events[1].event.seq = events[0].event.seq)), "chain"],
  ];
  for (const [bad, fault] of cases) assert.equal(await take(two, bad), fault);
  assert.equal((await two.store.allEvents()).length, 0);
  await take(two, text);
  const last = /** @type {any} */ (two.journal.events(JOB).at(-1));
  const lie = await forge((events) => (events[1].event.body = { text: "another text under the same number" }));
  assert.equal(await take(two, lie), "forged");
  const mine = await two.store.meta("device");
  const inMyName = await forge((events) => Object.assign(events[1].event, { device: mine, id: "0190f0c0-0000-7000-8000-0000000000ff" }));
  assert.equal(await take(two, inMyName), "forged");
  assert.deepEqual(two.journal.events(JOB).at(-1), last);
  assert.equal((await two.store.allEvents()).length, 3);
});

test("a photo comes back whole, or not at all", async () => {
  const bytes = crypto.getRandomValues(new Uint8Array(60_000));
  const data = await toText(new Blob([bytes]));
  const hex = Buffer.from(await crypto.subtle.digest("SHA-256", bytes)).toString("hex");
  const photo = await toPhoto({ sha256: hex, type: "image/jpeg", data });
  assert.deepEqual(new Uint8Array(/** @type {any} */ (await photo?.blob.arrayBuffer())), bytes);
  assert.equal(await toPhoto({ sha256: hex, type: "text/html", data }), null);
  assert.equal(await toPhoto({ sha256: hex, type: "image/jpeg", data: data.replace(/^.../, "AAA") }), null);
  assert.equal(await toPhoto({ sha256: hex, type: "image/jpeg", data: "*" }), null);
});
