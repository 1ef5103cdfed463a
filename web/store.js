// The phone's own memory: IndexedDB, every write flushed before it counts as saved.
import { openDB } from "idb";

/**
 * @typedef {import("./types.js").Event} Event
 * @typedef {{id: string, record: string, hash: string, event: Event, position?: number, received?: string, outcome?: string, reason?: string, code?: string, carried?: boolean}} KeptEvent
 * @typedef {{seq: number, id: string}} Waiting
 * @typedef {{sha256: string, blob: Blob, bytes: number, type: string, sent: boolean, taken: string}} KeptPhoto
 * @typedef {{key: string, at: string, value: any}} Draft
 * @typedef {{id: string, at: string, outcome: string, code?: string, reason?: string, record: string, kind: string, read: boolean}} Notice
 * @typedef {{key: string, value: any}} Meta
 * @typedef {{hash: string, text: string, kept: string}} KeptBundle
 */

/** The phone has no room left. Nothing that was saved before is touched. */
export class FullPhone extends Error {
  /** @param {unknown} cause */
  constructor(cause) {
    super("QuotaExceededError", { cause });
    this.name = "FullPhone";
  }
}

const VERSION = 2;
/** Places of carried entries in the outbox: before this phone's own 1, 2, 3 ..., which follow them. */
const CARRIED_FIRST = -4e8;
const STRICT = /** @type {const} */ ({ durability: "strict" });

/** @param {string} [name] @returns {Promise<Store>} */
export async function openStore(name = "shaftside") {
  const database = await openDB(name, VERSION, {
    upgrade(db, from, _to, tx) {
      if (from < 1) {
        db.createObjectStore("meta", { keyPath: "key" });
        db.createObjectStore("events", { keyPath: "id" }).createIndex("record", "record");
        db.createObjectStore("outbox", { keyPath: "seq" });
        db.createObjectStore("bundles", { keyPath: "hash" });
        db.createObjectStore("photos", { keyPath: "sha256" });
        db.createObjectStore("drafts", { keyPath: "key" });
        db.createObjectStore("notices", { keyPath: "id" });
      }
      // Also over what an older version of the app has kept here.
      tx.objectStore("events").createIndex("kind", "event.kind");
    },
    // An older page in another tab must not hold up a newer one.
    blocking(_now, _next, event) {
      /** @type {IDBDatabase} */ (event.target).close();
    },
  });
  return new Store(database);
}

export class Store {
  /** @param {import("idb").IDBPDatabase<any>} database */
  constructor(database) {
    this.database = database;
  }

  /** Run one strict transaction; resolves only when it is complete on the medium.
   * @template T
   * @param {string[]} stores
   * @param {(tx: import("idb").IDBPTransaction<any, string[], "readwrite">) => Promise<T> | T} work
   * @returns {Promise<T>} @throws {FullPhone} */
  async write(stores, work) {
    try {
      const tx = this.database.transaction(stores, "readwrite", STRICT);
      // `done` is watched from the start, so that an abort is never an unhandled rejection.
      const done = tx.done;
      done.catch(() => {});
      let result;
      try {
        result = await work(tx);
      } catch (error) {
        try {
          tx.abort();
        } catch {
          // Already ended by the failure itself.
        }
        throw error;
      }
      await done;
      return result;
    } catch (error) {
      if (isFull(error)) throw new FullPhone(error);
      throw error;
    }
  }

  /** @param {string} key @param {any} [otherwise] @returns {Promise<any>} */
  async meta(key, otherwise = null) {
    const row = await this.database.get("meta", key);
    return row ? row.value : otherwise;
  }

  /** @param {string} key @param {any} value */
  async setMeta(key, value) {
    await this.write(["meta"], (tx) => tx.objectStore("meta").put({ key, value }));
  }

  /** Read, change and write one fact in one transaction; two tabs never undo each other.
   * @template T @param {string} key @param {T} otherwise @param {(value: T) => T} work @returns {Promise<T>} the new value */
  change(key, otherwise, work) {
    return this.write(["meta"], async (tx) => {
      const row = await tx.objectStore("meta").get(key);
      const value = work(row ? row.value : otherwise);
      await tx.objectStore("meta").put({ key, value });
      return value;
    });
  }

  /** An event of ours: the event, its place in the outbox, the chain's new end, and the draft it ends, or none of it.
   * @param {KeptEvent} kept @param {{seq: number, previous: string}} chain @param {string[]} drafts keys that end with it */
  async keepOwn(kept, chain, drafts = []) {
    await this.write(["events", "outbox", "meta", "drafts"], async (tx) => {
      await Promise.all([
        tx.objectStore("events").add(kept),
        tx.objectStore("outbox").add({ seq: kept.event.seq, id: kept.id }),
        tx.objectStore("meta").put({ key: "chain", value: chain }),
        ...drafts.map((key) => tx.objectStore("drafts").delete(key)),
      ]);
    });
  }

  /** Entries that another phone wrote and a file brought: kept as they are, and sent by whoever has network first.
   * What is here already stays. @param {KeptEvent[]} list parents before children */
  async keepCarried(list) {
    await this.write(["events", "outbox", "meta"], async (tx) => {
      const events = tx.objectStore("events");
      const meta = tx.objectStore("meta");
      let place = (await meta.get("carried"))?.value ?? CARRIED_FIRST;
      for (const kept of list) {
        if (await events.get(kept.id)) continue;
        await events.put({ ...kept, carried: true });
        await tx.objectStore("outbox").put({ seq: place, id: kept.id });
        place += 1;
      }
      await meta.put({ key: "carried", value: place });
    });
  }

  /** This phone goes on as another device. What is unsent keeps the old device's name, its order, and goes first.
   * @param {string} device */
  async newDevice(device) {
    await this.write(["outbox", "meta"], async (tx) => {
      const outbox = tx.objectStore("outbox");
      const rows = await outbox.getAll();
      await outbox.clear();
      for (const row of rows) await outbox.add({ ...row, seq: row.seq - 1e9 });
      await tx.objectStore("meta").put({ key: "device", value: device });
      await tx.objectStore("meta").delete("chain");
    });
  }

  /** What one exchange brought, in one transaction: acknowledgements, others' events, and the new cursor.
   * An outbox row goes only when the server names the same hash that this phone holds.
   * @param {{id: string, hash: string, outcome: string, code?: string, reason?: string}[]} acks
   * @param {KeptEvent[]} others @param {string | null} cursor
   * @returns {Promise<{removed: number, mismatched: string[], notices: Notice[]}>} */
  async keepExchange(acks, others, cursor) {
    return this.write(["events", "outbox", "meta", "notices"], async (tx) => {
      const events = tx.objectStore("events");
      const outbox = tx.objectStore("outbox");
      /** @type {string[]} */
      const mismatched = [];
      /** @type {Notice[]} */
      const notices = [];
      let removed = 0;
      const places = new Map((await outbox.getAll()).map((row) => [row.id, row.seq]));
      for (const ack of acks) {
        /** @type {KeptEvent | undefined} */
        const kept = await events.get(ack.id);
        if (!kept) continue;
        if (ack.hash !== kept.hash) {
          mismatched.push(ack.id);
          continue;
        }
        if (ack.outcome === "waiting") continue;
        await events.put({ ...kept, outcome: ack.outcome, code: ack.code, reason: ack.reason });
        if (places.has(ack.id)) {
          await outbox.delete(places.get(ack.id));
          removed += 1;
        }
        // That a carried entry is only claimed yet is as it should be: no word to the person who carries it.
        if (ack.outcome !== "kept" && !(kept.carried && ack.outcome === "claimed")) {
          const notice = {
            id: ack.id,
            at: new Date().toISOString(),
            outcome: ack.outcome,
            code: ack.code,
            reason: ack.reason,
            record: kept.record,
            kind: kept.event.kind,
            read: false,
          };
          if (!(await tx.objectStore("notices").get(ack.id))) {
            await tx.objectStore("notices").put(notice);
            notices.push(notice);
          }
        }
      }
      for (const other of others) {
        const known = await events.get(other.id);
        await events.put(known ? { ...other, ...known } : other);
      }
      await tx.objectStore("meta").put({ key: "cursor", value: cursor });
      return { removed, mismatched, notices };
    });
  }

  /** @returns {Promise<KeptEvent[]>} */
  allEvents() {
    return this.database.getAll("events");
  }

  /** @param {string} id @returns {Promise<KeptEvent | undefined>} */
  event(id) {
    return this.database.get("events", id);
  }

  /** @param {string} record @returns {Promise<KeptEvent[]>} */
  recordEvents(record) {
    return this.database.getAllFromIndex("events", "record", record);
  }

  /** Events whose kind begins with `start`. @param {string} start @returns {Promise<KeptEvent[]>} */
  eventsOf(start) {
    return this.database.getAllFromIndex("events", "kind", IDBKeyRange.bound(start, `${start}\uffff`));
  }

  /** The unsent, oldest first. @param {number} [most] @returns {Promise<KeptEvent[]>} */
  async unsent(most) {
    const tx = this.database.transaction(["outbox", "events"]);
    /** @type {Waiting[]} */
    const rows = await tx.objectStore("outbox").getAll(null, most);
    const events = await Promise.all(rows.map((row) => tx.objectStore("events").get(row.id)));
    return events.filter(Boolean);
  }

  /** @returns {Promise<number>} events not yet acknowledged */
  countUnsent() {
    return this.database.count("outbox");
  }

  /** @param {KeptBundle} bundle @param {boolean} current */
  async keepBundle(bundle, current) {
    await this.write(["bundles", "meta"], async (tx) => {
      await tx.objectStore("bundles").put(bundle);
      if (current) await tx.objectStore("meta").put({ key: "handbook", value: bundle.hash });
    });
  }

  /** @param {string} hash @returns {Promise<KeptBundle | undefined>} */
  bundle(hash) {
    return this.database.get("bundles", hash);
  }

  /** Whether it lies here, without reading it. @param {string} hash @returns {Promise<boolean>} */
  async hasBundle(hash) {
    return (await this.database.count("bundles", hash)) > 0;
  }


  /** @param {string} key @param {any} value null forgets it */
  async keepDraft(key, value) {
    await this.write(["drafts"], (tx) =>
      value === null
        ? tx.objectStore("drafts").delete(key)
        : tx.objectStore("drafts").put({ key, at: new Date().toISOString(), value }),
    );
  }

  /** @returns {Promise<Draft[]>} */
  allDrafts() {
    return this.database.getAll("drafts");
  }

  /** Keep a photo and read it back; a photo that does not come back whole was not saved.
   * @param {KeptPhoto} photo */
  async keepPhoto(photo) {
    await this.write(["photos"], (tx) => tx.objectStore("photos").put(photo));
    const back = await this.photo(photo.sha256);
    if (back?.bytes !== photo.bytes || back.blob.size !== photo.blob.size)
      throw new Error("photo did not come back whole");
  }

  /** @param {string} sha256 @returns {Promise<KeptPhoto | undefined>} */
  photo(sha256) {
    return this.database.get("photos", sha256);
  }

  /** @returns {Promise<KeptPhoto[]>} */
  async unsentPhotos() {
    /** @type {KeptPhoto[]} */
    const all = await this.database.getAll("photos");
    return all.filter((photo) => !photo.sent);
  }

  /** @param {string} sha256 */
  async photoSent(sha256) {
    await this.write(["photos"], async (tx) => {
      const photo = await tx.objectStore("photos").get(sha256);
      if (photo) await tx.objectStore("photos").put({ ...photo, sent: true });
    });
  }

  /** @returns {Promise<Notice[]>} */
  allNotices() {
    return this.database.getAll("notices");
  }

  /** @param {string} id */
  async noticeRead(id) {
    await this.write(["notices"], async (tx) => {
      const notice = await tx.objectStore("notices").get(id);
      if (notice) await tx.objectStore("notices").put({ ...notice, read: true });
    });
  }

  close() {
    this.database.close();
  }
}

/** @param {any} error */
function isFull(error) {
  for (let cause = error; cause; cause = cause.cause)
    if (cause.name === "QuotaExceededError" || cause.inner?.name === "QuotaExceededError") return true;
  return false;
}
