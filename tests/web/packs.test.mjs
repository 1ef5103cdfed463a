// Packs on the phone: fetched after the bundle and checked, kept, laid in; without them the phone works and is not called ready.
import assert from "node:assert/strict";
import { afterEach, test } from "node:test";
import { sha256Hex } from "../../web/canonical.js";
import { Handbook } from "../../web/handbook.js";
import { phone } from "./phone_kit.mjs";

const bytesOf = (/** @type {any} */ data) => new TextEncoder().encode(JSON.stringify(data));
const figures = bytesOf({ format: 1, figures: { one: { title: { en: "A drawing" } } } });
const tongue = bytesOf({ format: 1, lang: "qaa", texts: ["zwei", "‹yes›", "Zeichnung"], unreviewed: [0] });
const HASHES = { figures: await sha256Hex(figures), qaa: await sha256Hex(tongue) };
const bundle = bytesOf({
  format: 1,
  a: { en: "two" },
  calc: { evaluator: 1, words: { en: { yes: "yes" } } },
  languages: ["en", "qaa"],
  packs: HASHES,
});
const HASH = await sha256Hex(bundle);

const real = globalThis.fetch;
afterEach(() => void (globalThis.fetch = real));

/** @param {Record<string, Uint8Array>} documents by path */
function network(documents) {
  /** @type {string[]} */
  const asked = [];
  globalThis.fetch = /** @type {any} */ (
    async (/** @type {string} */ path) => {
      asked.push(path);
      if (!documents[path]) throw new TypeError("network");
      return new Response(/** @type {any} */ (documents[path]));
    }
  );
  return asked;
}
const all = { "/api/handbook": bundle, [`/api/handbook/${HASHES.figures}`]: figures, [`/api/handbook/${HASHES.qaa}`]: tongue };

test("packs come after the bundle, once, and are there at the next start with no network", async () => {
  const { store } = await phone();
  const asked = network(all);
  const book = new Handbook(store);
  await book.refresh();
  assert.equal(asked.length, 3);
  assert.equal(book.whole.value, true);
  assert.equal(book.get(HASH).drawings.one.title.en, "A drawing");
  await book.refresh();
  assert.equal(asked.length, 4, "only the newest bundle is asked for again");

  network({});
  const later = new Handbook(store);
  await later.load();
  assert.equal(later.current.value, HASH);
  assert.equal(later.get(HASH), undefined, "a job on the screen needs not wait for the newest");
  await later.ready();
  assert.equal(later.whole.value, true);
  assert.deepEqual(later.get(HASH).a, { en: "two" }, "no language is laid in before it is chosen");
  await later.speak("qaa");
  assert.deepEqual(later.get(HASH).a, { en: "two", qaa: "zwei", unreviewed: ["qaa"] });
  assert.equal(later.get(HASH).calc.words.qaa.yes, "‹yes›");
  assert.equal(later.get(HASH).drawings.one.title.qaa, "Zeichnung");
  assert.deepEqual(later.languages(), ["en", "qaa"]);
});

test("a phone with the bundle alone works in English and is not whole until the packs have come", async () => {
  const { store } = await phone();
  network({ "/api/handbook": bundle });
  const book = new Handbook(store);
  await book.refresh();
  assert.equal(book.current.value, HASH);
  assert.equal(book.whole.value, false);
  await book.speak("qaa");
  assert.deepEqual(book.get(HASH).a, { en: "two" });
  network(all);
  await book.refresh();
  assert.equal(book.whole.value, true);
  assert.equal(book.get(HASH).a.qaa, "zwei", "the chosen language is laid in as soon as it is here");
});

test("a pack that is not what its hash says does not come in", async () => {
  const { store } = await phone();
  network({ ...all, [`/api/handbook/${HASHES.figures}`]: tongue });
  const book = new Handbook(store);
  await book.refresh();
  assert.equal(book.whole.value, false);
  assert.equal(book.get(HASH).drawings, undefined);
  assert.equal(await store.bundle(HASHES.figures), undefined);
});

test("the handbook that was on the screen is taken up as it stood, in its languages, with nothing else read", async () => {
  const { store } = await phone();
  network(all);
  const book = new Handbook(store);
  await book.refresh();
  await book.speak("qaa");
  await book.show(HASH);

  network({});
  const later = new Handbook(store);
  await later.load();
  const read = store.bundle;
  store.bundle = async (hash) => assert.fail(`${hash} was read`);
  assert.equal(await later.bring(HASH), true);
  await later.speak("qaa");
  store.bundle = read;
  const plain = (/** @type {any} */ data) => JSON.parse(JSON.stringify(data));
  assert.deepEqual(plain(later.get(HASH)), plain(book.get(HASH)));
  assert.equal(later.spoken(HASH), "qaa");

  let kept = 0;
  store.setMeta = async () => void (kept += 1);
  await later.show(HASH);
  assert.equal(kept, 0, "what is kept already is not written again");
});
