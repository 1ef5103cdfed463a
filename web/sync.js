// Sending and receiving: one idempotent exchange at a time over all tabs. Nothing leaves the outbox unacknowledged.
import { signal } from "@preact/signals-core";
import { isIntact } from "./events.js";
import { ask, Refused } from "./net.js";

const BATCH = 100;
const EVERY = 30_000;
const SLOWEST = 300_000;

/** @typedef {"idle"|"sending"|"offline"|"sign_in"|"trouble"} SyncState */

export class Sync {
  /** @param {{store: import("./store.js").Store, journal: import("./journal.js").Journal, locks?: LockManager, signedIn: () => boolean, onReceived?: () => Promise<void>}} parts */
  constructor({ store, journal, locks = globalThis.navigator?.locks, signedIn, onReceived = async () => {} }) {
    this.store = store;
    this.journal = journal;
    this.locks = locks;
    this.signedIn = signedIn;
    this.onReceived = onReceived;
    /** @type {import("@preact/signals-core").Signal<{state: SyncState, message: string, last: string | null}>} */
    this.status = signal({ state: "idle", message: "", last: null });
    /** @type {import("@preact/signals-core").Signal<import("./store.js").Notice[]>} */
    this.notices = signal([]);
    this.photosUnsent = signal(0);
    /** Whether an exchange has ended since the app was opened, well or not: before that, nobody knows what there is. */
    this.looked = signal(false);
    this.failures = 0;
    this.notBefore = 0;
    this.busy = false;
  }

  async load() {
    this.notices.value = (await this.store.allNotices()).filter((notice) => !notice.read);
    this.photosUnsent.value = (await this.store.unsentPhotos()).length;
    this.status.value = { ...this.status.value, last: await this.store.meta("last_sync") };
  }

  /** Sync on open, when the network is back, when the page is seen again, and every half minute. */
  start() {
    addEventListener("online", () => void this.now(true));
    addEventListener("offline", () => this.tell("offline"));
    document.addEventListener("visibilitychange", () => {
      if (!document.hidden) void this.now(true);
    });
    setInterval(() => void this.now(), EVERY);
    void this.now(true);
  }

  /** @param {SyncState} state @param {string} [message] */
  tell(state, message = "") {
    this.status.value = { ...this.status.value, state, message };
  }

  /** One exchange, unless one is running anywhere. @param {boolean} [asked] a person or an event asks: do not wait out the back-off
   * @returns {Promise<boolean>} whether everything was sent and received */
  async now(asked = false) {
    if (this.busy || !this.signedIn() || (!asked && Date.now() < this.notBefore)) return false;
    this.busy = true;
    try {
      if (!this.locks) return await this.run();
      return await this.locks.request("shaftside-sync", { ifAvailable: true }, async (lock) =>
        lock ? this.run() : false,
      );
    } finally {
      this.busy = false;
      this.looked.value = true;
    }
  }

  async run() {
    this.tell("sending");
    try {
      let more = true;
      while (more) more = await this.exchange();
      await this.fillGaps();
      await this.onReceived();
      // Entries first: a photo that the server cannot take must not hold up what was measured.
      await this.sendPhotos();
      this.failures = 0;
      this.notBefore = 0;
      const last = new Date().toISOString();
      await this.store.setMeta("last_sync", last);
      this.status.value = { state: "idle", message: "", last };
      return true;
    } catch (error) {
      this.failures += 1;
      // Doubling, with a spread so that a shop full of phones does not knock at once.
      this.notBefore = Date.now() + Math.min(SLOWEST, EVERY * 2 ** (this.failures - 1)) * (0.75 + Math.random() / 2);
      if (!(error instanceof Refused)) {
        this.tell("trouble", error instanceof Error ? error.message : String(error));
        return false;
      }
      if (error.status === 0) this.tell("offline");
      else if (error.status === 401) this.tell("sign_in");
      else this.tell("trouble", error.message);
      return false;
    }
  }

  /** @returns {Promise<boolean>} whether to go on at once */
  async exchange() {
    const mine = await this.store.unsent(BATCH);
    const cursor = await this.store.meta("cursor");
    const response = await ask("/api/sync", {
      json: { device: await this.store.meta("device"), cursor, events: mine.map((kept) => kept.event) },
    });
    const answer = await response.json();
    /** @type {import("./store.js").KeptEvent[]} */
    const others = [];
    for (const kept of answer.events) {
      // What does not match its own hash is not taken in; the cursor stays, so that it is asked for again.
      if (!(await isIntact(kept))) throw new Error(`event ${kept.event.id} does not match its hash`);
      others.push({ id: kept.event.id, record: kept.event.record, ...kept });
    }
    const did = await this.store.keepExchange(answer.acks, others, answer.cursor);
    for (const ack of answer.acks) {
      const kept = await this.store.event(ack.id);
      if (kept) this.journal.index(kept);
    }
    for (const other of others) this.journal.index(other);
    await this.journal.recount();
    this.journal.version.value += 1;
    if (did.notices.length) this.notices.value = [...this.notices.value, ...did.notices];
    if (did.mismatched.length)
      throw new Error(
        `the server acknowledged another text of ${did.mismatched.length} events; they stay on this phone`,
      );
    return answer.more || (did.removed > 0 && (await this.store.countUnsent()) > 0);
  }

  /** A record with parents that are not here is fetched whole. */
  async fillGaps() {
    for (const id of this.journal.ids("job")) {
      const state = this.journal.job(id);
      if (!state?.waiting?.length) continue;
      const response = await ask(`/api/records/${id}/events`);
      const answer = await response.json();
      const list = Array.isArray(answer) ? answer : answer.events;
      const others = [];
      for (const kept of list)
        if (await isIntact(kept)) others.push({ id: kept.event.id, record: kept.event.record, ...kept });
      await this.store.keepExchange([], others, await this.store.meta("cursor"));
      for (const other of others) this.journal.index(other);
      this.journal.version.value += 1;
    }
  }

  /** Every photo gets its turn; one that is refused stays on the phone and is named afterwards. */
  async sendPhotos() {
    /** @type {Refused | null} */
    let refused = null;
    for (const photo of await this.store.unsentPhotos()) {
      try {
        await ask(`/api/photos/${photo.sha256}`, {
          method: "PUT",
          body: photo.blob,
          headers: { "content-type": photo.type },
          seconds: 120,
        });
        await this.store.photoSent(photo.sha256);
      } catch (error) {
        const passes = error instanceof Refused && error.status >= 400 && error.status < 500 && error.status !== 401;
        if (!passes) throw error;
        refused = error;
      } finally {
        this.photosUnsent.value = (await this.store.unsentPhotos()).length;
      }
    }
    if (refused) throw refused;
  }

  /** @param {string} id */
  async read(id) {
    await this.store.noticeRead(id);
    this.notices.value = this.notices.value.filter((notice) => notice.id !== id);
  }
}
