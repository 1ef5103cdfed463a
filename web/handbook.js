// The handbook on this phone: the newest bundle, every bundle an open job still needs, and the packs beside each.
import { signal } from "@preact/signals-core";
import { EVALUATOR, warm } from "./calc.js";
import { sha256Hex } from "./canonical.js";
import { fold, unfold } from "./folding.js";
import { ask } from "./net.js";
import { layIn, packsOf } from "./packs.js";

const WARM_AFTER = 1000;

export class Handbook {
  /** @param {import("./store.js").Store} store */
  constructor(store) {
    this.store = store;
    /** @type {Map<string, any>} */
    this.open = new Map();
    /** @type {import("@preact/signals-core").Signal<string | null>} */
    this.current = signal(null);
    this.version = signal(0);
    /** Whether the current handbook is here with all its packs. */
    this.whole = signal(false);
    this.lang = "en";
    /** Languages laid into each open bundle. @type {WeakMap<any, Set<string>>} */
    this.laid = new WeakMap();
    /** The handbook that was on the screen last, dressed. @type {Promise<any>} */
    this.ahead = Promise.resolve(null);
    /** What the phone has kept of that. */
    this.shown = "";
  }

  /** Which is the newest here; `ready` opens it. The one that was on the screen last begins to be read. */
  async load() {
    this.ahead = this.store.meta("shown");
    this.current.value = await this.store.meta("handbook");
  }

  /** This one is on the screen: the next start takes it up as it is, with its figures and in its languages. @param {string} hash */
  async show(hash) {
    const data = this.get(hash);
    const langs = [...(this.laid.get(data) ?? [])];
    const shown = [hash, Boolean(data?.drawings), ...langs].join();
    if (!data || shown === this.shown) return;
    this.shown = shown;
    await this.store.setMeta("shown", { shown, hash, langs, ...fold(data) });
  }

  /** The newest in memory, and whether it is whole. One that is not here after all is none. */
  async ready() {
    const hash = this.current.value;
    if (hash && !(await this.bring(hash)) && this.current.value === hash) this.current.value = null;
    await this.count();
  }

  /** The bundle in memory, or undefined until `bring` has found it. @param {string | null} hash */
  get(hash) {
    this.version.value;
    return hash === null ? undefined : this.open.get(hash);
  }

  /** Languages that the newest handbook can be read in. @returns {string[]} */
  languages() {
    return this.get(this.current.value)?.languages ?? ["en"];
  }

  /** From the phone's store, else from the server. @param {string} hash @returns {Promise<boolean>} */
  async bring(hash) {
    if (this.open.has(hash)) return true;
    const ahead = await this.ahead;
    if (ahead?.hash === hash) {
      const data = unfold(ahead.text, ahead.folded);
      this.laid.set(data, new Set(ahead.langs));
      this.shown = ahead.shown;
      this.ahead = Promise.resolve(null);
      await this.opened(hash, data);
      return true;
    }
    const kept = await this.store.bundle(hash);
    if (kept) {
      await this.opened(hash, JSON.parse(kept.text));
      return true;
    }
    try {
      await this.take(await ask(`/api/handbook/${hash}`), hash, false);
      return true;
    } catch {
      return false;
    }
  }

  /** Fetch the newest bundle if it is not here, and every pack that lacks. @returns {Promise<void>} */
  async refresh() {
    const response = await ask("/api/handbook");
    await this.take(response, null, true);
    for (const data of [...this.open.values()]) await this.fetchPacks(data);
    await this.count();
  }

  /** @param {Response} response @param {string | null} wanted @param {boolean} current */
  async take(response, wanted, current) {
    const { hash, text } = await checked(response, wanted);
    if (!this.open.has(hash)) {
      const data = JSON.parse(text);
      // A sheet run by an older evaluator would leave out what it does not know, without a word.
      if (data.format !== 1 || data.calc.evaluator > EVALUATOR) throw new Error("handbook is newer than this app");
      await this.store.keepBundle({ hash, text, kept: new Date().toISOString() }, current);
      await this.opened(hash, data);
      if (!current) await this.fetchPacks(data);
    } else if (current && this.current.value !== hash) await this.store.setMeta("handbook", hash);
    if (current) this.current.value = hash;
  }

  /** @param {string} hash @param {any} data */
  async opened(hash, data) {
    await this.dress(data);
    this.open.set(hash, data);
    this.version.value += 1;
    // Not while the first screen is still being drawn.
    setTimeout(() => {
      for (const sheet in data.calc.sheets) globalThis.requestIdleCallback?.(() => warm(data.calc, sheet));
    }, WARM_AFTER);
  }

  /** Packs of a bundle that are not here yet. One that does not come is asked for again at the next refresh. @param {any} data */
  async fetchPacks(data) {
    let come = false;
    for (const [, hash] of packsOf(data)) {
      if (await this.store.hasBundle(hash)) continue;
      try {
        const { text } = await checked(await ask(`/api/handbook/${hash}`), hash);
        await this.store.keepBundle({ hash, text, kept: new Date().toISOString() }, false);
        come = true;
      } catch {
        // Without it the phone still works, in English or without figures, and does not call itself ready.
      }
    }
    if (!come) return;
    await this.dress(data);
    this.version.value += 1;
  }

  /** Lay figures and the chosen language into a bundle, as far as they are here. @param {any} data */
  async dress(data) {
    const { figures, [this.lang]: texts } = data.packs ?? {};
    const pack = async (/** @type {string | undefined} */ hash) => {
      const kept = hash && (await this.store.bundle(hash));
      return kept ? JSON.parse(kept.text) : null;
    };
    data.drawings ??= (await pack(figures))?.figures;
    const said = this.laid.get(data)?.has(this.lang) ? null : await pack(texts);
    if (!said) return;
    layIn(data, said);
    this.laid.set(data, (this.laid.get(data) ?? new Set()).add(this.lang));
  }

  /** The language that a handbook is read in now: English where it has no other. @param {string | null} hash */
  spoken(hash) {
    const data = this.get(hash);
    return data && this.laid.get(data)?.has(this.lang) ? this.lang : "en";
  }

  /** Every open bundle in this language too. Draws nothing: the choice itself does, when all is here. @param {string} lang */
  async speak(lang) {
    if (lang === this.lang) return;
    this.lang = lang;
    for (const data of this.open.values()) await this.dress(data);
  }

  /** Whether the current handbook is whole, by what really lies in the store. */
  async count() {
    const hash = this.current.value;
    const data = hash && this.open.get(hash);
    const here = await Promise.all(packsOf(data || {}).map(([, pack]) => this.store.hasBundle(pack)));
    this.whole.value = Boolean(data) && here.every(Boolean);
  }
}

/** A document is what its hash says, or it does not come in. @param {Response} response @param {string | null} wanted */
async function checked(response, wanted) {
  const bytes = await response.arrayBuffer();
  const hash = await sha256Hex(bytes);
  if (wanted !== null && hash !== wanted) throw new Error("handbook does not match its hash");
  return { hash, text: new TextDecoder().decode(bytes) };
}
