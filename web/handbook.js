// The handbook on this phone: the newest bundle, and every bundle an open job still needs.
import { signal } from "@preact/signals-core";
import { EVALUATOR } from "./calc.js";
import { sha256Hex } from "./canonical.js";
import { ask } from "./net.js";

export class Handbook {
  /** @param {import("./store.js").Store} store */
  constructor(store) {
    this.store = store;
    /** @type {Map<string, any>} */
    this.open = new Map();
    /** @type {import("@preact/signals-core").Signal<string | null>} */
    this.current = signal(null);
    this.version = signal(0);
  }

  async load() {
    const hash = await this.store.meta("handbook");
    if (hash && (await this.bring(hash))) this.current.value = hash;
  }

  /** The bundle in memory, or undefined until `bring` has found it. @param {string | null} hash */
  get(hash) {
    this.version.value;
    return hash === null ? undefined : this.open.get(hash);
  }

  /** From the phone's store, else from the server. @param {string} hash @returns {Promise<boolean>} */
  async bring(hash) {
    if (this.open.has(hash)) return true;
    const kept = await this.store.bundle(hash);
    if (kept) {
      this.open.set(hash, JSON.parse(kept.text));
      this.version.value += 1;
      return true;
    }
    try {
      await this.take(await ask(`/api/handbook/${hash}`), hash, false);
      return true;
    } catch {
      return false;
    }
  }

  /** Fetch the newest bundle if it is not here. @returns {Promise<void>} */
  async refresh() {
    const response = await ask("/api/handbook");
    await this.take(response, null, true);
  }

  /** @param {Response} response @param {string | null} wanted @param {boolean} current */
  async take(response, wanted, current) {
    const bytes = await response.arrayBuffer();
    const hash = await sha256Hex(bytes);
    // A bundle is what its hash says, or it does not come in.
    if (wanted !== null && hash !== wanted) throw new Error("handbook does not match its hash");
    if (!this.open.has(hash)) {
      const text = new TextDecoder().decode(bytes);
      const data = JSON.parse(text);
      // A sheet run by an older evaluator would leave out what it does not know, without a word.
      if (data.format !== 1 || data.calc.evaluator > EVALUATOR) throw new Error("handbook is newer than this app");
      await this.store.keepBundle({ hash, text, kept: new Date().toISOString() }, current);
      this.open.set(hash, data);
      this.version.value += 1;
    } else if (current && this.current.value !== hash) await this.store.setMeta("handbook", hash);
    if (current) this.current.value = hash;
  }
}
