// Where the person is: a list of words after the #. Kept, so that a restart returns to the same step.
import { signal } from "@preact/signals-core";

export class Route {
  /** @param {import("./store.js").Store} store */
  constructor(store) {
    this.store = store;
    /** @type {import("@preact/signals-core").Signal<string[]>} */
    this.at = signal([]);
    /** @type {string | undefined} the job that was on the screen last */
    this.job = undefined;
    addEventListener("hashchange", () => this.read());
  }

  async load() {
    if (!location.hash) {
      const kept = await this.store.meta("where", "");
      if (kept) history.replaceState(null, "", `#/${kept}`);
    }
    this.read();
  }

  read() {
    const words = location.hash.replace(/^#\/?/, "").split("/").filter(Boolean).map(decodeURIComponent);
    if (words[0] === "job") this.job = words[1];
    this.at.value = words;
    void this.store.setMeta("where", words.map(encodeURIComponent).join("/")).catch(() => {});
    scrollTo(0, 0);
  }

  /** @param {string} path @param {boolean} [replace] */
  go(path, replace = false) {
    if (replace) {
      history.replaceState(null, "", `#/${path}`);
      this.read();
    } else location.hash = `/${path}`;
  }
}
