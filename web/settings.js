// How this phone shows things. Kept on the phone; never part of a record except as `units` and `lang` of an entry.
import { signal } from "@preact/signals-core";

const DEFAULTS = { units: "metric", lang: "en", theme: "auto", hand: "right", gloves: "normal", lock: "30" };

export class Settings {
  /** @param {import("./store.js").Store} store */
  constructor(store) {
    this.store = store;
    /** @type {import("@preact/signals-core").Signal<typeof DEFAULTS>} */
    this.all = signal(DEFAULTS);
  }

  async load() {
    this.all.value = { ...DEFAULTS, ...(await this.store.meta("settings", {})) };
    this.apply();
  }

  /** @param {Partial<typeof DEFAULTS>} change */
  async set(change) {
    this.all.value = { ...this.all.value, ...change };
    this.apply();
    await this.store.setMeta("settings", this.all.value);
  }

  apply() {
    const root = document.documentElement;
    const { theme, hand, gloves, lang } = this.all.value;
    if (theme === "auto") delete root.dataset.theme;
    else root.dataset.theme = theme;
    root.dataset.hand = hand;
    root.dataset.gloves = gloves;
    root.lang = lang;
  }
}
