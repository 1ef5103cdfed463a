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
    const kept = location.hash ? "" : await this.store.meta("where", "");
    if (!kept) return this.read();
    this.take(kept);
  }

  /** The address says where the screen is; after it stands, for changing it takes longer than reading it. */
  settle() {
    const path = this.at.value.map(encodeURIComponent).join("/");
    if (!location.hash && path) history.replaceState(null, "", `#/${path}`);
  }

  read() {
    const path = location.hash.replace(/^#\/?/, "");
    this.take(path);
    void this.store.setMeta("where", path).catch(() => {});
    scrollTo(0, 0);
  }

  /** @param {string} path */
  take(path) {
    const words = path.split("/").filter(Boolean).map(decodeURIComponent);
    if (words[0] === "job") this.job = words[1];
    this.at.value = words;
  }

  /** @param {string} path @param {boolean} [replace] */
  go(path, replace = false) {
    if (replace) {
      history.replaceState(null, "", `#/${path}`);
      this.read();
    } else location.hash = `/${path}`;
  }
}
