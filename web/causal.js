// The order that the events' parents give, and who had seen what. Twin of records/causal.py.

/** @typedef {import("./events.js").Event} Event */
/** @typedef {import("./events.js").Kept} Kept */

/** An event in its place; `seen` holds the hashes of all that its author had seen. */
export class Node {
  /**
   * @param {Event} event @param {string} hash @param {Set<string>} seen @param {boolean} missing
   */
  constructor(event, hash, seen, missing) {
    this.event = event;
    this.hash = hash;
    this.seen = seen;
    this.missing = missing;
    this.id = event.id;
    this.kind = event.kind;
    this.body = event.body;
  }

  /** Whether the author of this had seen the other. @param {Node} other */
  after(other) {
    return this.seen.has(other.hash);
  }
}

/** Compare two keys as text. @param {string} a @param {string} b */
const before = (a, b) => (a < b ? -1 : a > b ? 1 : 0);

/**
 * Events sorted so that parents come first and ties go by wall time, then id. The order
 * depends on the set alone; a parent that is not here orders nothing, its child is `missing`.
 * @param {Kept[]} kept
 */
export function causal(kept) {
  /** @type {Map<string, Event>} */
  const byHash = new Map();
  /** @type {Map<string, string>} */
  const byId = new Map();
  for (const one of [...kept].sort((a, b) => before(a.hash, b.hash))) {
    if (!byId.has(one.event.id)) byId.set(one.event.id, one.hash);
    if (byId.get(one.event.id) === one.hash) byHash.set(one.hash, one.event);
  }
  /** @type {Map<string, Set<string>>} */
  const waits = new Map();
  /** @type {Map<string, string[]>} */
  const children = new Map();
  for (const [hash, event] of byHash) {
    const parents = new Set(event.parents.filter((parent) => byHash.has(parent)));
    waits.set(hash, parents);
    for (const parent of parents) children.set(parent, [...(children.get(parent) ?? []), hash]);
  }
  /** @param {string} a @param {string} b */
  const order = (a, b) => {
    const [one, two] = [/** @type {Event} */ (byHash.get(a)), /** @type {Event} */ (byHash.get(b))];
    return before(one.wall, two.wall) || before(one.id, two.id);
  };
  const ready = [...byHash.keys()].filter((hash) => waits.get(hash)?.size === 0).sort(order);
  /** @type {Node[]} */
  const nodes = [];
  /** @type {Map<string, Node>} */
  const placed = new Map();
  for (let hash = ready.shift(); hash !== undefined; hash = ready.shift()) {
    const event = /** @type {Event} */ (byHash.get(hash));
    /** @type {Set<string>} */
    const seen = new Set();
    for (const parent of event.parents) {
      const node = placed.get(parent);
      if (node === undefined) continue;
      seen.add(parent);
      for (const older of node.seen) seen.add(older);
    }
    const node = new Node(event, hash, seen, event.parents.some((parent) => !byHash.has(parent)));
    nodes.push(node);
    placed.set(hash, node);
    for (const child of children.get(hash) ?? []) {
      const left = /** @type {Set<string>} */ (waits.get(child));
      left.delete(hash);
      if (left.size === 0) {
        const at = ready.findIndex((other) => order(child, other) < 0);
        ready.splice(at < 0 ? ready.length : at, 0, child);
      }
    }
  }
  const heads = [...placed.keys()].filter((hash) => !children.has(hash)).sort();
  return { nodes, placed, heads };
}

/**
 * Hashes of what somebody who saw these heads had seen, the heads included.
 * @param {Map<string, Node>} placed
 * @param {string[]} heads
 */
export function covered(placed, heads) {
  /** @type {Set<string>} */
  const seen = new Set();
  for (const head of heads) {
    const node = placed.get(head);
    if (node === undefined) continue;
    seen.add(head);
    for (const older of node.seen) seen.add(older);
  }
  return seen;
}

/** Those that no other of them has seen. @param {Node[]} nodes */
export const latest = (nodes) => nodes.filter((one) => !nodes.some((other) => other.after(one)));
