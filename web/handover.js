// A half-done job as a file from phone to phone, with no network: made here, looked at here. No screen, no storage.
// The hashes show that nothing was changed or lost on the way, not who wrote it: that the server learns from the phone
// that wrote it. Until then an entry counts there as claimed.
import { sha256Hex } from "./canonical.js";
import { isIntact } from "./events.js";

/** @typedef {import("./events.js").Kept} Kept
 * @typedef {{sha256: string, type: string, data: string}} PackedPhoto data: base64
 * @typedef {{format: "shaftside-handover", version: 1, made: string, device: string, by: string, job: string, position: string | null, bundle: string, events: Kept[], whole: string, photos: PackedPhoto[]}} Envelope
 * @typedef {"unreadable" | "foreign" | "newer" | "damaged" | "chain" | "forged"} Fault */

const FORMAT = "shaftside-handover";
export const MOST_BYTES = 64 * 1024 * 1024;
const UUID = /^[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}$/;

/** What it is that must arrive whole: every hash, in order. @param {Kept[]} events */
const wholeOf = (events) => sha256Hex(new TextEncoder().encode(events.map((one) => one.hash).join("\n")).buffer);

/** @param {{device: string, by: string, job: string, position: string | null, bundle: string, events: Kept[], photos: PackedPhoto[]}} what
 * @returns {Promise<Envelope>} */
export async function pack({ events, ...what }) {
  const bare = events.map(({ hash, event }) => ({ hash, event }));
  return { format: FORMAT, version: 1, made: new Date().toISOString(), ...what, events: bare, whole: await wholeOf(bare) };
}

/** What a file says, or why it is not taken. Nothing of a file with a fault is taken.
 * @param {string} text @param {{device: string, held: (id: string) => Promise<{hash: string} | undefined>}} here
 * @returns {Promise<{envelope: Envelope, fresh: Kept[]} | {fault: Fault}>} */
export async function unpack(text, here) {
  /** @type {any} */
  let file;
  try {
    file = JSON.parse(text);
  } catch {
    return { fault: "unreadable" };
  }
  if (file?.format !== FORMAT || !UUID.test(file.job) || !Array.isArray(file.events)) return { fault: "foreign" };
  if (file.version !== 1) return { fault: "newer" };
  const { events } = file;
  const records = [file.job, file.position];
  for (const one of events) if (!shaped(one) || !records.includes(one.event.record)) return { fault: "damaged" };
  if (!events.some((/** @type {Kept} */ one) => one.event.kind === "job_started" && one.event.record === file.job)) return { fault: "damaged" };
  if (file.whole !== (await wholeOf(events))) return { fault: "damaged" };
  for (const one of events) if (!(await isIntact(one).catch(() => false))) return { fault: "damaged" };
  if (!chained(events)) return { fault: "chain" };
  /** @type {Kept[]} */
  const fresh = [];
  for (const one of events) {
    const held = await here.held(one.event.id);
    // The same number with another text, or an entry of this very phone that it never wrote.
    if (held ? held.hash !== one.hash : one.event.device === here.device) return { fault: "forged" };
    if (!held) fresh.push(one);
  }
  return { envelope: file, fresh };
}

/** @param {any} one */
const shaped = (one) =>
  typeof one?.hash === "string" &&
  UUID.test(one.event?.id) &&
  UUID.test(one.event.device) &&
  Number.isInteger(one.event.seq) &&
  Array.isArray(one.event.parents) &&
  typeof one.event.kind === "string" &&
  typeof one.event.body === "object";

/** Whether each device's entries hang together as far as the file holds them. @param {Kept[]} events */
function chained(events) {
  /** @type {Map<string, Kept>} */
  const at = new Map();
  for (const one of events) {
    const place = `${one.event.device}/${one.event.seq}`;
    const other = at.get(place);
    if (other && other.hash !== one.hash) return false;
    at.set(place, one);
  }
  return events.every(({ event }) => {
    const before = at.get(`${event.device}/${event.seq - 1}`);
    return !before || event.previous === before.hash;
  });
}

/** @param {Blob} blob @returns {Promise<string>} base64 */
export async function toText(blob) {
  const bytes = new Uint8Array(await blob.arrayBuffer());
  let out = "";
  for (let at = 0; at < bytes.length; at += 0x8000) out += String.fromCharCode(...bytes.subarray(at, at + 0x8000));
  return btoa(out);
}

/** A photo of a file, or null where it is not what its hash says. @param {PackedPhoto} one */
export async function toPhoto(one) {
  if (typeof one?.data !== "string" || !/^image\/(jpeg|png|webp)$/.test(one.type)) return null;
  try {
    const bytes = Uint8Array.from(atob(one.data), (letter) => letter.charCodeAt(0));
    if ((await sha256Hex(bytes.buffer)) !== one.sha256) return null;
    const blob = new Blob([bytes], { type: one.type });
    return { sha256: one.sha256, blob, bytes: bytes.length, type: one.type, sent: false, taken: new Date().toISOString() };
  } catch {
    return null;
  }
}
