// Half-typed things, kept at every keystroke: a kill, a call or a dead battery loses none of them.
import { signal } from "@preact/signals-core";

export class Drafts {
  /** @param {import("./store.js").Store} store @param {(error: unknown) => void} failed */
  constructor(store, failed) {
    this.store = store;
    this.failed = failed;
    /** @type {Map<string, any>} */
    this.all = new Map();
    this.version = signal(0);
    /** @type {Promise<unknown>} */
    this.last = Promise.resolve();
  }

  async load() {
    for (const draft of await this.store.allDrafts()) this.all.set(draft.key, draft.value);
    this.version.value += 1;
  }

  /** @param {string} key @returns {any} */
  get(key) {
    this.version.value;
    return this.all.get(key) ?? {};
  }

  /** @param {string} key @param {any} value null forgets it */
  set(key, value) {
    if (value === null) this.all.delete(key);
    else this.all.set(key, value);
    this.version.value += 1;
    this.last = this.store.keepDraft(key, value).catch(this.failed);
    return this.last;
  }

  /** @param {string} key @param {any} change */
  patch(key, change) {
    return this.set(key, { ...this.get(key), ...change });
  }

  /** The store already let go of it with the event it became. @param {string} key */
  ended(key) {
    this.all.delete(key);
    this.version.value += 1;
  }
}
