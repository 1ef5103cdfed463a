// A phone without a screen: the real store, journal and sync over fake-indexeddb, and a server that keeps a log.
import "fake-indexeddb/auto";
import { hashOf } from "../../web/canonical.js";
import { Journal } from "../../web/journal.js";
import { openStore } from "../../web/store.js";
import { Sync } from "../../web/sync.js";

let count = 0;

/** @param {string} [name] */
export async function phone(name = `phone-${++count}`) {
  const store = await openStore(name);
  if (!(await store.meta("device"))) await store.setMeta("device", crypto.randomUUID());
  const journal = new Journal(store, {
    locks: undefined,
    reduce: { job: (kept) => ({ count: kept.length }), position: (kept) => ({ count: kept.length }) },
  });
  await journal.load();
  const sync = new Sync({ store, journal, locks: undefined, signedIn: () => true });
  await sync.load();
  return { name, store, journal, sync };
}

/** A server as the contract describes it, with faults to order. */
export class Server {
  constructor() {
    /** @type {{hash: string, event: any, position: number}[]} */
    this.log = [];
    /** @type {Map<string, Blob>} */
    this.photos = new Map();
    /** @type {((body: any) => "drop_request" | "drop_answer" | "none")} */
    this.fault = () => "none";
    /** @type {(event: any) => {outcome: string, code?: string, reason?: string, hash?: string}} */
    this.judge = () => ({ outcome: "kept" });
    this.calls = 0;
    this.page = 300;
  }

  /** Stand in for fetch. @param {string} path @param {any} how */
  async answer(path, how) {
    this.calls += 1;
    if (path.startsWith("/api/photos/")) {
      this.photos.set(path.slice("/api/photos/".length), how.body);
      return new Response("{}");
    }
    const body = JSON.parse(how.body);
    const fault = this.fault(body);
    if (fault === "drop_request") throw new TypeError("network");
    const acks = [];
    for (const event of body.events) {
      const hash = await hashOf(event);
      const judged = this.judge(event);
      if (!this.log.some((one) => one.event.id === event.id) && judged.outcome !== "waiting")
        this.log.push({ hash, event, position: this.log.length + 1 });
      acks.push({ id: event.id, position: 1, received: new Date().toISOString(), hash, ...judged });
    }
    if (fault === "drop_answer") throw new TypeError("network");
    const from = Number(body.cursor ?? 0);
    const events = this.log
      .filter((one) => one.position > from && (body.cursor === null || one.event.device !== body.device))
      .slice(0, this.page);
    const reached =
      events.length === this.page ? /** @type {any} */ (events[events.length - 1]).position : this.log.length;
    return new Response(
      JSON.stringify({
        acks,
        events,
        cursor: String(reached),
        more: reached < this.log.length,
        server_time: new Date().toISOString(),
      }),
    );
  }

  plug() {
    globalThis.fetch = /** @type {any} */ (
      (/** @type {string} */ path, /** @type {any} */ how) => this.answer(path, how)
    );
  }
}
