// A photo that the server cannot take holds up neither the entries nor the other photos, and is still counted.
import assert from "node:assert/strict";
import test from "node:test";
import { phone, Server } from "./phone_kit.mjs";

const RECORD = "0190f0c0-0000-7000-8000-000000000009";

/** @param {string} mark */
const picture = (mark) => ({
  sha256: mark.repeat(64),
  bytes: 3,
  type: "image/jpeg",
  blob: new Blob([new Uint8Array([1, 2, 3])]),
  sent: false,
  taken: "2026-11-25T10:00:00.000Z",
});

/** @param {Server} server @param {string} bad sha256 of the photo that meets trouble @param {() => Response} trouble */
function refusing(server, bad, trouble) {
  const plain = server.answer.bind(server);
  server.answer = async (path, how) => (path.endsWith(bad) ? trouble() : plain(path, how));
  server.plug();
}

const no = (/** @type {number} */ status) => () =>
  new Response(JSON.stringify({ error: { code: "not_a_picture", message: "That is not a picture." } }), { status });

test("a refused photo lets entries and other photos through", async () => {
  const one = await phone();
  const server = new Server();
  refusing(server, "a".repeat(64), no(422));
  for (const mark of ["a", "b"]) await one.store.keepPhoto(/** @type {any} */ (picture(mark)));
  await one.journal.write({ kind: "note_added", record: RECORD, body: { text: "measured" }, actor: "a" });
  assert.equal(await one.sync.now(true), false);
  assert.equal(server.log.length, 1);
  assert.equal(one.journal.unsent.value, 0);
  assert.deepEqual([...server.photos.keys()], ["b".repeat(64)]);
  assert.equal(one.sync.photosUnsent.value, 1);
  assert.deepEqual(
    [one.sync.status.value.state, one.sync.status.value.message],
    ["trouble", "That is not a picture."],
  );
});

test("a server that is gone in the middle of the photos keeps them all for later", async () => {
  const one = await phone();
  const server = new Server();
  let gone = true;
  refusing(server, "a".repeat(64), () => {
    if (gone) throw new TypeError("network");
    return new Response("{}");
  });
  for (const mark of ["a", "b"]) await one.store.keepPhoto(/** @type {any} */ (picture(mark)));
  assert.equal(await one.sync.now(true), false);
  assert.equal(one.sync.status.value.state, "offline");
  assert.equal(one.sync.photosUnsent.value, 2);
  gone = false;
  assert.equal(await one.sync.now(true), true);
  assert.equal(one.sync.photosUnsent.value, 0);
});
