// Who may speak on this phone: people who have signed in here, which of them is acting now, and their PINs.
import { signal } from "@preact/signals-core";
import { ask, Refused } from "./net.js";
import { MOST_WRONG, makePin, pinMatches, roundsHere, secondsLeft } from "./pin.js";

/** @typedef {import("./types.js").Person} Person
 * @typedef {{roles: string[] | null, disabled: boolean} | null} Standing what the events say; null: nothing heard
 * @typedef {{ok: true} | {ok: false, why: "none" | "locked" | "wait" | "wrong" | "gone", n: number}} Proof n: tries or seconds left */

const TOUCHED_EVERY = 20_000;

export class People {
  /** @param {import("./store.js").Store} store @param {(id: string) => Standing} [standing] */
  constructor(store, standing = () => null) {
    this.store = store;
    this.standing = standing;
    /** @type {import("@preact/signals-core").Signal<Person[]>} */
    this.here = signal([]);
    /** @type {import("@preact/signals-core").Signal<string | null>} */
    this.actingId = signal(null);
    /** Who has signed in and has not yet said which PIN. @type {import("@preact/signals-core").Signal<string | null>} */
    this.pinFor = signal(null);
    this.locked = signal(false);
    this.touched = 0;
  }

  async load() {
    this.here.value = await this.store.meta("people", []);
    this.actingId.value = await this.store.meta("acting");
    this.pinFor.value = await this.store.meta("pin_for");
    this.touched = await this.store.meta("touched", Date.now());
  }

  /** @returns {Person | null} */
  get acting() {
    return this.here.value.find((person) => person.id === this.actingId.value) ?? null;
  }

  /** Change the list in the store, whatever another tab did to it, and show it. @param {(list: Person[]) => Person[]} work */
  async change(work) {
    this.here.value = await this.store.change("people", /** @type {Person[]} */ ([]), work);
  }

  /** Online, once a person on this phone. A PIN that was locked opens. @param {string} login @param {string} password
   * @param {boolean} [acts] false: a second person shows who they are; who acts stays */
  async signIn(login, password, acts = true) {
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
    /** @type {Person} */
    const person = { id: said.person.id, name: said.person.name, login, roles: said.person.roles };
    await this.change((list) => {
      const pin = list.find((one) => one.id === person.id)?.pin;
      return [...list.filter((one) => one.id !== person.id), { ...person, ...(pin ? { pin } : {}) }];
    });
    if (acts) {
      // Before who acts: a phone that dies in between still asks for the PIN.
      await this.store.setMeta("pin_for", person.id);
      this.pinFor.value = person.id;
      await this.act(person.id);
    }
    return person;
  }

  /** Keep a PIN for a person who has just signed in; null keeps the one they have. @param {string} id @param {string | null} pin */
  async setPin(id, pin) {
    if (pin !== null) {
      const kept = await makePin(pin, await roundsHere());
      await this.change((list) => list.map((one) => (one.id === id ? { ...one, pin: kept, tries: undefined } : one)));
    }
    await this.store.setMeta("pin_for", null);
    this.pinFor.value = null;
  }

  /** Whether somebody may still speak here, by what the server has told. @param {Person} person */
  mayAct(person) {
    return !this.standing(person.id)?.disabled;
  }

  /** Whether somebody may be the second person: technician or lead now, and not shut out. @param {Person} person */
  mayConfirm(person) {
    const roles = this.standing(person.id)?.roles ?? person.roles;
    return this.mayAct(person) && roles.some((role) => role === "technician" || role === "lead");
  }

  /** Whether it is the person's PIN. The try is counted, durably, before it is looked at: a kill takes no try back.
   * @param {string} id @param {string} typed @returns {Promise<Proof>} */
  async prove(id, typed) {
    /** @type {Proof | null} */
    let no = null;
    /** @type {Person | undefined} */
    let person;
    const counted = await this.store.change("people", /** @type {Person[]} */ ([]), (list) => {
      person = list.find((one) => one.id === id);
      const wrong = person?.tries?.wrong ?? 0;
      const seconds = secondsLeft(person?.tries, Date.now());
      if (!person || !this.mayAct(person)) no = { ok: false, why: "gone", n: 0 };
      else if (!person.pin) no = { ok: false, why: "none", n: 0 };
      else if (wrong >= MOST_WRONG) no = { ok: false, why: "locked", n: 0 };
      else if (seconds) no = { ok: false, why: "wait", n: seconds };
      if (no) return list;
      const tries = { wrong: wrong + 1, last: Date.now() };
      return list.map((one) => (one.id === id ? { ...one, tries } : one));
    });
    if (no) return no;
    const { pin } = /** @type {Person} */ (person);
    if (await pinMatches(typed, /** @type {import("./pin.js").KeptPin} */ (pin))) {
      await this.change((list) => list.map((one) => (one.id === id ? { ...one, tries: undefined } : one)));
      return { ok: true };
    }
    // Shown only now: a fifth try that is right must not look locked while it is worked out.
    this.here.value = counted;
    const left = MOST_WRONG - (this.here.value.find((one) => one.id === id)?.tries?.wrong ?? MOST_WRONG);
    return left > 0 ? { ok: false, why: "wrong", n: left } : { ok: false, why: "locked", n: 0 };
  }

  /** Only after a proof: a PIN, or a sign-in. @param {string} id */
  async act(id) {
    await this.store.setMeta("acting", id);
    this.actingId.value = id;
    this.locked.value = false;
    await this.touch(true);
  }

  /** Somebody used the phone. @param {boolean} [now] */
  async touch(now = false) {
    const at = Date.now();
    if (this.locked.value || (!now && Math.abs(at - this.touched) < TOUCHED_EVERY)) return;
    this.touched = at;
    await this.store.setMeta("touched", at);
  }

  /** Left alone for too long, by a clock that may have been set either way: who acts shows it again. @param {number} minutes */
  lockIfIdle(minutes) {
    if (this.acting?.pin && !this.pinFor.value && Math.abs(Date.now() - this.touched) > minutes * 60_000)
      this.locked.value = true;
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
    await this.change((list) => list.filter((person) => person.id !== id));
    if (this.actingId.value === id) {
      // Nobody acts unasked: the next one shows their own PIN.
      await this.store.setMeta("acting", null);
      this.actingId.value = null;
    }
  }
}

function phoneName() {
  const agent = navigator.userAgent;
  const system = /Android/.test(agent) ? "Android" : /iPhone|iPad/.test(agent) ? "iOS" : "browser";
  return `Phone (${system})`;
}
