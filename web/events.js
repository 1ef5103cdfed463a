// Making an event: id, place in this device's chain, parents, hash. No storage here:
// whoever calls keeps { device, seq, previous } durable together with the event it returns.

import { hashOf, nfc } from "./canonical.js";

/**
 * @typedef {object} Event
 * @property {string} id UUIDv7
 * @property {1} schema
 * @property {string} record UUID of the position, job or failure
 * @property {string} device UUID of this phone
 * @property {number} seq 1, 2, 3 ... on this device
 * @property {string | null} previous hash of this device's event before
 * @property {string[]} parents sorted hashes of the record's heads known here
 * @property {string} actor person id
 * @property {string} kind
 * @property {Record<string, any>} body
 * @property {string} wall ISO time, UTC, milliseconds
 * @property {number} offset_min minutes east of UTC
 * @property {number} monotonic_ms milliseconds since the app started
 */

/** What a device keeps of an event; `position` and `received` once the server has it.
 * @typedef {{ hash: string, event: Event, position?: number, received?: string }} Kept */

/** Where this device's chain stands. @typedef {{ device: string, seq: number, previous: string | null }} Chain */

/**
 * A new UUIDv7 (RFC 9562). Not a secret.
 * @param {number} [now] milliseconds since 1970
 * @returns {string}
 */
export function uuid7(now = Date.now()) {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  let rest = Math.floor(now);
  for (let i = 5; i >= 0; i -= 1) {
    bytes[i] = rest % 256;
    rest = Math.floor(rest / 256);
  }
  bytes[6] = (/** @type {number} */ (bytes[6]) & 0x0f) | 0x70;
  bytes[8] = (/** @type {number} */ (bytes[8]) & 0x3f) | 0x80;
  const hex = Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
  return `${hex.slice(0, 8)}-${hex.slice(8, 12)}-${hex.slice(12, 16)}-${hex.slice(16, 20)}-${hex.slice(20)}`;
}

/**
 * Make the next event of this device. Returns it with its hash and the chain as it then
 * stands; keep all three in one durable transaction, or none of them.
 * @param {Chain} chain
 * @param {{ record: string, kind: string, body: Record<string, any>, actor: string, heads: string[], now?: Date }} what
 *   heads: from `headsOf` over everything this device holds of the record
 * @returns {Promise<{ kept: Kept, chain: Chain }>}
 */
export async function makeEvent(chain, what) {
  const now = what.now ?? new Date();
  /** @type {Event} */
  const event = nfc({
    id: uuid7(now.getTime()),
    schema: /** @type {1} */ (1),
    record: what.record,
    device: chain.device,
    seq: chain.seq + 1,
    previous: chain.previous,
    parents: [...new Set(what.heads)].sort(),
    actor: what.actor,
    kind: what.kind,
    body: what.body,
    wall: now.toISOString(),
    offset_min: 0 - now.getTimezoneOffset(),
    monotonic_ms: Math.round(performance.now()),
  });
  const hash = await hashOf(event);
  return { kept: { hash, event }, chain: { device: chain.device, seq: event.seq, previous: hash } };
}

/**
 * The heads of one record: hashes that no other event here names as a parent.
 * @param {Kept[]} kept all events of the record held here
 * @returns {string[]} sorted
 */
export function headsOf(kept) {
  const named = new Set(kept.flatMap((one) => one.event.parents));
  return [...new Set(kept.map((one) => one.hash))].filter((hash) => !named.has(hash)).sort();
}

/**
 * Whether an event is what its hash says; true for everything honest.
 * @param {Kept} kept
 * @returns {Promise<boolean>}
 */
export async function isIntact(kept) {
  return (await hashOf(kept.event)) === kept.hash;
}
