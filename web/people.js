// Who may speak on this phone: people who have signed in here, and which of them is acting now.
import { signal } from "@preact/signals-core";
import { ask, Refused } from "./net.js";

/** @typedef {import("./types.js").Person} Person */

export class People {
  /** @param {import("./store.js").Store} store */
  constructor(store) {
    this.store = store;
    /** @type {import("@preact/signals-core").Signal<Person[]>} */
    this.here = signal([]);
    /** @type {import("@preact/signals-core").Signal<string | null>} */
    this.actingId = signal(null);
  }

  async load() {
    this.here.value = await this.store.meta("people", []);
    this.actingId.value = await this.store.meta("acting");
  }

  /** @returns {Person | null} */
  get acting() {
    return this.here.value.find((person) => person.id === this.actingId.value) ?? null;
  }

  /** Online, once a person on this phone. @param {string} login @param {string} password */
  async signIn(login, password) {
    const send = async () =>
      ask("/api/sign-in", {
        json: { login, password, device_id: await this.store.meta("device"), device_name: phoneName() },
      });
    const response = await send().catch(async (error) => {
      // The cookie that proves this device is lost: come in as a new one, with everything that is unsent.
      if (error.code !== "device_unproved") throw error;
      await this.store.newDevice(crypto.randomUUID());
      return send();
    });
    const said = await response.json();
    const person = { id: said.person.id, name: said.person.name, login, roles: said.person.roles };
    const others = this.here.value.filter((one) => one.id !== person.id);
    await this.store.setMeta("people", [...others, person]);
    this.here.value = [...others, person];
    await this.act(person.id);
    return person;
  }

  /** @param {string} id */
  async act(id) {
    await this.store.setMeta("acting", id);
    this.actingId.value = id;
  }

  /** Take a person off this phone. Refused while anything is unsent: it would be sent by nobody.
   * @param {string} id @param {number} unsent */
  async signOut(id, unsent) {
    if (unsent > 0) throw new Refused(409, "unsent", "");
    try {
      await ask("/api/sign-out", { json: {} });
    } catch (error) {
      // Without network the server's session stays until it is revoked; the phone still forgets the person.
      if (!(error instanceof Refused)) throw error;
    }
    const others = this.here.value.filter((one) => one.id !== id);
    await this.store.setMeta("people", others);
    this.here.value = others;
    if (this.actingId.value === id) {
      await this.store.setMeta("acting", others[0]?.id ?? null);
      this.actingId.value = others[0]?.id ?? null;
    }
  }
}

function phoneName() {
  const agent = navigator.userAgent;
  const system = /Android/.test(agent) ? "Android" : /iPhone|iPad/.test(agent) ? "iOS" : "browser";
  return `Phone (${system})`;
}
