// What this phone has written and received: events by record, states from them, and the one way to add an event.
import { signal } from "@preact/signals-core";
import { headsOf, makeEvent } from "./events.js";

/** @typedef {import("./store.js").KeptEvent} KeptEvent */
/** @typedef {{job: (kept: any[]) => any, position: (kept: any[]) => any, plant?: (kept: any[]) => any, person?: (kept: any[]) => any}} Reducers */

export class Journal {
  /** @param {import("./store.js").Store} store @param {{reduce: Reducers, locks?: LockManager, channel?: BroadcastChannel}} with_ */
  constructor(store, { reduce, locks = globalThis.navigator?.locks, channel }) {
    this.reduce = reduce;
    this.store = store;
    this.locks = locks;
    this.channel = channel;
    /** @type {Map<string, KeptEvent[]>} */
    this.records = new Map();
    /** @type {Map<string, {count: number, state: any}>} */
    this.states = new Map();
    /** @type {Map<string, string>} */
    this.kinds = new Map();
    /** Whether all that this phone keeps is in memory. */
    this.whole = false;
    this.version = signal(0);
    this.unsent = signal(0);
    /** @type {Promise<unknown>} */
    this.turn = Promise.resolve();
    channel?.addEventListener("message", (message) => {
      if (message.data?.said === "wrote") void this.takeIn(message.data.ids);
    });
  }

  /** Everything; `whole` says so. */
  async load() {
    this.takeAll(await this.store.allEvents());
    this.whole = true;
    await this.recount();
    this.version.value += 1;
  }

  /** What one job is drawn from: itself, where it stands, who people are, what the plant has set. The rest may come later:
   * a phone that holds a year's work opens the job in hand as fast as a new one. @param {string} job */
  async loadJob(job) {
    const own = this.store.recordEvents(job);
    const place = own.then((list) => list.map((kept) => kept.event.body?.position).find(Boolean));
    const lists = [own, this.store.eventsOf("person_"), this.store.eventsOf("plant_value_"), place.then((id) => (id ? this.store.recordEvents(id) : []))];
    for (const list of await Promise.all(lists)) this.takeAll(list);
    await this.recount();
    this.version.value += 1;
  }

  /** @param {KeptEvent[]} list */
  takeAll(list) {
    for (const kept of list) this.index(kept);
  }

  /** @param {KeptEvent} kept */
  index(kept) {
    const list = this.records.get(kept.record) ?? [];
    const at = list.findIndex((one) => one.id === kept.id);
    if (at >= 0) list[at] = kept;
    else list.push(kept);
    this.records.set(kept.record, list);
    this.states.delete(kept.record);
    const kind = kept.event.kind;
    if (kind === "job_started") this.kinds.set(kept.record, "job");
    else if (kind === "position_described") this.kinds.set(kept.record, "position");
    else if (kind === "plant_value_set") this.kinds.set(kept.record, "plant_value");
    else if (kind.startsWith("person_")) this.kinds.set(kept.record, "person");
  }

  /** Another tab wrote: read those events in. @param {string[]} ids */
  async takeIn(ids) {
    for (const id of ids) {
      const kept = await this.store.event(id);
      if (kept) this.index(kept);
    }
    await this.recount();
    this.version.value += 1;
  }

  async recount() {
    this.unsent.value = await this.store.countUnsent();
  }

  /** Records of one kind: job, position, person. @param {string} kind @returns {string[]} */
  ids(kind) {
    this.version.value;
    return [...this.kinds].filter(([, of]) => of === kind).map(([id]) => id);
  }

  /** @param {string} record @returns {KeptEvent[]} */
  events(record) {
    this.version.value;
    return this.records.get(record) ?? [];
  }

  /** @param {string} id @returns {any} the job's state, or null if it is not here */
  job(id) {
    return this.kinds.get(id) === "job" ? this.state(id, this.reduce.job) : null;
  }

  /** @param {string} id @returns {any} */
  position(id) {
    return this.kinds.get(id) === "position" ? this.state(id, this.reduce.position) : null;
  }

  /** What leads have set for the whole plant, as far as this phone has heard. @returns {any[]} */
  plantValues() {
    const { plant } = this.reduce;
    return plant ? this.ids("plant_value").map((id) => this.state(id, plant)) : [];
  }

  /** What the events say of a person; null where none are here. @param {string} id @returns {{roles: string[] | null, disabled: boolean} | null} */
  person(id) {
    const { person } = this.reduce;
    return person && this.kinds.get(id) === "person" ? this.state(id, person) : null;
  }

  /** @param {string} id @param {(kept: any[]) => any} reduce */
  state(id, reduce) {
    const events = this.events(id);
    const known = this.states.get(id);
    if (known && known.count === events.length) return known.state;
    const state = reduce(events);
    this.states.set(id, { count: events.length, state });
    return state;
  }

  /** @param {string} id @returns {string | undefined} a person's name from the events */
  personName(id) {
    let name;
    for (const kept of this.events(id)) name = kept.event.body?.name ?? name;
    return name;
  }

  /** Write one event and return when it is durable on this phone, with the drafts it ends gone with it.
   * @param {{kind: string, record: string, body: Record<string, any>, actor: string, drafts?: string[]}} what
   * @returns {Promise<KeptEvent>} @throws {import("./store.js").FullPhone} */
  async write({ kind, record, body, actor, drafts = [] }) {
    return this.alone(async () => {
      // Another tab may have written since: the chain and the record's heads come from the store, not from memory.
      const device = await this.store.meta("device");
      const chain = await this.store.meta("chain", { seq: 0, previous: null });
      const made = await makeEvent(
        { device, ...chain },
        { record, kind, body, actor, heads: headsOf(/** @type {any} */ (await this.store.recordEvents(record))) },
      );
      /** @type {KeptEvent} */
      const kept = { id: made.kept.event.id, record, ...made.kept };
      await this.store.keepOwn(
        kept,
        { seq: made.chain.seq, previous: /** @type {string} */ (made.chain.previous) },
        drafts,
      );
      this.index(kept);
      await this.recount();
      this.version.value += 1;
      this.channel?.postMessage({ said: "wrote", ids: [kept.id] });
      return kept;
    });
  }

  /** One writer at a time, over all tabs where the browser can say so.
   * @template T @param {() => Promise<T>} work @returns {Promise<T>} */
  alone(work) {
    if (this.locks) return /** @type {Promise<T>} */ (this.locks.request("shaftside-write", work));
    const mine = this.turn.then(work, work);
    this.turn = mine.catch(() => {});
    return mine;
  }
}
