// The start: bring everything out of the phone's memory, then draw whenever something changes.
import { effect, signal } from "@preact/signals-core";
import { html, nothing, render } from "lit-html";
import { awake } from "./awake.js";
import { Drafts } from "./drafts.js";
import { Handbook } from "./handbook.js";
import { isOpen, openJob } from "./job.js";
import { Journal } from "./journal.js";
import { lineLabel, sayEntry } from "./judge.js";
import { Offline } from "./offline.js";
import { People } from "./people.js";
import { reducePlantValue } from "./plant_values.js";
import { Route } from "./route.js";
import { Settings } from "./settings.js";
import { reducePerson } from "./person.js";
import { reduceJob, reducePosition } from "./state.js";
import { FullPhone, openStore } from "./store.js";
import { Sync } from "./sync.js";
import { language, learn, system, t } from "./text/say.js";
import { sheetScreen } from "./views/guide.js";
import { homeScreen } from "./views/home.js";
import { energyScreen } from "./views/board.js";
import { jobScreen, jobTitles, missingJob } from "./views/job.js";
import { lookBelow } from "./views/more.js";
import { peopleScreen, shut } from "./views/people.js";
import { photoScreen } from "./views/photo.js";
import { forgetTyped, pinScreen } from "./views/pin.js";
import { positionForm, positionScreen, positionsScreen, startScreen } from "./views/positions.js";
import { scanScreen, stop as stopCamera } from "./views/scan.js";
import { sendingScreen, settingsScreen } from "./views/settings.js";
import { guideScreen } from "./views/sheets.js";
import { stepScreen } from "./views/step.js";

/** Everything a screen may reach for. Made once. */
export class Phone {
  /** @param {import("./store.js").Store} store */
  constructor(store) {
    const channel = "BroadcastChannel" in globalThis ? new BroadcastChannel("shaftside") : undefined;
    this.store = store;
    this.journal = new Journal(store, { channel, reduce: { job: reduceJob, position: reducePosition, plant: reducePlantValue, person: reducePerson } });
    this.handbook = new Handbook(store);
    this.people = new People(store, (id) => this.journal.person(id));
    this.settings = new Settings(store);
    this.route = new Route(store);
    this.offline = new Offline();
    this.drafts = new Drafts(store, (error) => this.failed(error));
    this.sync = new Sync({
      store,
      journal: this.journal,
      signedIn: () => this.people.here.value.length > 0,
      onReceived: () => this.afterSync(),
    });
    /** @type {import("@preact/signals-core").Signal<import("./views/pad.js").PadFor | null>} */
    this.pad = signal(null);
    this.panel = signal("");
    /** What must have been on the screen before the act at the thumb, as a selector; and whether some of it has not. */
    this.must = "";
    this.below = signal(false);
    this.asked = signal("");
    this.said = signal("");
    this.trouble = signal("");
    this.busy = signal(false);
    this.find = signal("");
    this.findSheet = signal("");
    /** Which working is open: only that one is set. */
    this.working = signal("");
    this.version = signal(0);
    this.version_text = signal("");
    this.online = signal(navigator.onLine);
    /** @type {import("@preact/signals-core").Signal<Record<string, string>>} */
    this.unitChoice = signal({});
    /** @type {import("@preact/signals-core").Signal<string[]>} */
    this.cautioned = signal([]);
    /** @type {import("@preact/signals-core").Signal<boolean | "refused" | null>} */
    this.persisted = signal(null);
    /** @type {Map<string, string>} */
    this.photos = new Map();
    /** Rooms whose scripts came later. @type {Map<string, any>} */
    this.rooms = new Map();
    this.deafUntil = 0;
  }

  async load() {
    await Promise.all([
      this.store.meta("device").then((known) => known ?? this.store.setMeta("device", crypto.randomUUID())),
      this.people.load(),
      this.settings.load(),
      this.drafts.load(),
      this.handbook.load(),
      this.sync.load(),
      this.route.load().then(() => this.loadFirst()),
    ]);
    // A job on the screen waits for its own handbook alone: the newest and those of other jobs are opened after it is drawn.
    const [room, job] = this.route.at.value;
    await (room === "job" && job ? this.bringBooks([job]) : this.bringAll());
    this.lockIfIdle();
    await this.speak(this.settings.all.value.lang);
    void navigator.storage?.persisted?.().then((kept) => (this.persisted.value = kept));
  }

  /** Of the journal what the screen needs, when that is one job's. */
  async loadFirst() {
    const [room, job] = this.route.at.value;
    if (room === "job" && job) await this.journal.loadJob(job);
    else await this.journal.load();
  }

  /** The handbooks that open jobs began with. @param {string[]} jobs */
  async bringBooks(jobs) {
    for (const id of jobs) {
      const state = this.journal.job(id);
      if (state && isOpen(state)) await this.handbook.bring(state.bundle);
    }
  }

  async bringAll() {
    if (!this.journal.whole) await this.journal.load();
    await this.handbook.ready();
    await this.bringBooks(this.journal.ids("job"));
  }

  lockIfIdle() {
    this.people.lockIfIdle(Number(this.settings.all.value.lock));
  }

  /** A room whose script comes when it is first entered; undefined until then. @template T
   * @param {string} name @param {() => Promise<T>} come @returns {T | undefined} */
  later(name, come) {
    if (!this.rooms.has(name)) {
      this.rooms.set(name, undefined);
      come().then(
        (room) => {
          this.rooms.set(name, room);
          this.version.value += 1;
          this.focusTitle();
        },
        (error) => {
          this.rooms.delete(name);
          this.failed(error);
        },
      );
    }
    return this.rooms.get(name);
  }

  /** Everything this language needs, so that no screen is half in one and half in another. @param {string} lang */
  async speak(lang) {
    await Promise.all([learn(lang), this.handbook.speak(lang)]);
  }

  /** Run something a person asked for: one at a time, every failure said in a sentence.
   * @param {() => Promise<unknown> | unknown} work @param {boolean} [chosen] a photo or a setting that was chosen: never dropped, it waits */
  async doing(work, chosen = false) {
    while (chosen && this.busy.value) await new Promise((go) => setTimeout(go, 50));
    // A second tap, or a wet screen's ghost, must not act on the page that came under the finger.
    if (this.busy.value || (!chosen && performance.now() < this.deafUntil)) return;
    this.busy.value = true;
    try {
      await work();
    } catch (error) {
      this.failed(error);
    } finally {
      this.busy.value = false;
    }
  }

  /** @param {unknown} error */
  failed(error) {
    this.trouble.value =
      error instanceof FullPhone
        ? t("trouble.full")
        : t("trouble.other", { what: error instanceof Error ? error.message : String(error) });
  }

  /** @param {string} text */
  say(text) {
    this.said.value = text;
  }

  saved() {
    this.say(t("saved"));
    void this.sync.now(true);
  }

  async afterSync() {
    if (!this.handbook.current.value) await this.handbook.refresh().catch(() => {});
    await this.bringBooks(this.journal.ids("job"));
  }

  async afterSignIn() {
    await this.handbook.refresh().catch(() => {});
    void this.sync.now(true);
  }

  /** @param {string} id */
  nameOf(id) {
    return (
      this.people.here.value.find((person) => person.id === id)?.name ?? this.journal.personName(id) ?? t("somebody")
    );
  }

  /** Whether the one acting may write to this job now. @param {any} state */
  canWork(state) {
    return isOpen(state) && this.people.acting !== null;
  }

  /** @param {any} program @param {any} entry @param {any} [spec] */
  entryText(program, entry, spec) {
    return sayEntry(program, entry, spec);
  }

  /** @param {any} bundle @param {string} line */
  lineName(bundle, line) {
    return lineLabel(bundle.calc, line);
  }

  /** A blob address for a photo kept here; asked for once. @param {string} sha256 */
  photoUrl(sha256) {
    const known = this.photos.get(sha256);
    if (known === undefined) {
      this.photos.set(sha256, "");
      void this.store.photo(sha256).then((photo) => {
        this.photos.set(sha256, photo ? URL.createObjectURL(photo.blob) : `/api/photos/${sha256}`);
        this.version.value += 1;
      });
    }
    this.version.value;
    return known ?? "";
  }

  /** Hours since the oldest unsent event was written; 0 when nothing waits. */
  oldestUnsent() {
    if (!this.journal.unsent.value) return 0;
    let oldest = Date.now();
    for (const events of this.journal.records.values())
      for (const kept of events)
        if (kept.outcome === undefined && kept.position === undefined)
          oldest = Math.min(oldest, Date.parse(kept.event.wall));
    return (Date.now() - oldest) / 3_600_000;
  }

  async askRoom() {
    this.persisted.value = (await navigator.storage.persist()) || "refused";
  }

  /** The unsent as a file, in case this phone never sees a network again. */
  async exportUnsent() {
    const events = await this.store.unsent();
    const text = JSON.stringify(
      { device: await this.store.meta("device"), written: new Date().toISOString(), events },
      null,
      1,
    );
    const link = document.createElement("a");
    link.href = URL.createObjectURL(new Blob([text], { type: "application/json" }));
    link.download = `shaftside-unsent-${new Date().toISOString().slice(0, 10)}.json`;
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 10_000);
  }

  /** The waiting version, only while no job is open in any tab and nothing is half typed. */
  async takeOver() {
    const held = (await navigator.locks?.query())?.held ?? [];
    if (held.some((lock) => lock.name === "shaftside-job-open")) {
      this.trouble.value = t("update.not_now");
      return;
    }
    await this.drafts.last;
    this.offline.takeOver();
  }

  focusTitle() {
    requestAnimationFrame(() =>
      /** @type {HTMLElement | null} */ (document.querySelector("#step-title, h1"))?.focus({ preventScroll: true }),
    );
  }
}

/** @param {Phone} phone */
function view(phone) {
  const [room, id, part, step, last] = phone.route.at.value;
  phone.version.value;
  if (room === "guide") return id ? sheetScreen(phone, id) : guideScreen(phone);
  if (room === "note" && id) {
    const note = phone.later("note", () => import("./views/note.js"));
    return note ? (part ? note.tableScreen(phone, id, part) : note.noteScreen(phone, id)) : nothing;
  }
  const { people } = phone;
  if (people.acting && people.pinFor.value === people.actingId.value) return pinScreen(phone, people.acting);
  if (shut(phone) || room === "people") return peopleScreen(phone);
  if (room === "scan") return scanScreen(phone);
  if (room === "positions") return positionsScreen(phone);
  if (room === "position" && id) return positionScreen(phone, id);
  if (room === "new") return positionForm(phone, null);
  if (room === "edit" && id) return positionForm(phone, id);
  if (room === "start" && id && part) return startScreen(phone, id, part, step, last);
  if (room === "settings") return settingsScreen(phone);
  if (room === "sending") return sendingScreen(phone);
  if (room === "photo" && id) return photoScreen(phone, id);
  if (room === "job" && id) {
    const job = openJob(phone, id);
    if (!job) return missingJob(phone, id);
    if (part === "energy") return energyScreen(phone, job, jobTitles(job.state, job.bundle), step);
    return (part === "step" && step ? stepScreen(phone, job, step) : null) ?? jobScreen(phone, job);
  }
  return homeScreen(phone);
}

/** While a job is on the screen: other tabs can see it, and the screen stays lit.
 * @param {Phone} phone */
function holdWhileOpen(phone) {
  /** @type {(() => void) | null} */
  let leave = null;
  const lit = awake(navigator, document);
  return effect(() => {
    const open = phone.route.at.value[0] === "job";
    lit(open);
    if (open && !leave) {
      const left = new Promise((resolve) => (leave = () => resolve(undefined)));
      void navigator.locks?.request("shaftside-job-open", { mode: "shared" }, () => left);
    } else if (!open && leave) {
      leave();
      leave = null;
    }
  });
}

/** The pad belongs to a number; going to another kind of field closes it. Not under a finger that is still down:
 * the page would move and the tap would miss.
 * @param {Phone} phone */
function closePadElsewhere(phone) {
  let down = false;
  const close = (/** @type {Event} */ event) => {
    const target = /** @type {HTMLElement} */ (event.target);
    const typing = document.activeElement?.matches("[data-pad]");
    if (phone.pad.value && !down && !typing && !target.closest?.(".pad, .number")) phone.pad.value = null;
  };
  document.addEventListener("pointerdown", (event) => {
    down = true;
    // A second touch beside the first is a wet screen or the ball of a hand: neither acts.
    if (!event.isPrimary) phone.deafUntil = performance.now() + 400;
  }, true);
  for (const name of ["pointerup", "pointercancel"])
    document.addEventListener(name, () => setTimeout(() => (down = false)), true);
  document.addEventListener("focusin", close);
  // After the click is over: drawing in the middle of it would undo the choice that the click is making.
  document.addEventListener("click", (event) => {
    down = false;
    setTimeout(() => close(event));
  });
}

/** What was opened below the fold comes to the top, its first field ready to type in. */
function toOpened() {
  const first = /** @type {HTMLElement | null} */ (document.querySelector("#panel-text, #e-note, [name=by-owner], .opened :is(input, select, textarea)"));
  first?.focus({ preventScroll: true });
  first?.closest(".opened, .field")?.scrollIntoView();
}

/** A phone left on a bench acts for nobody. Every touch and key counts as use. @param {Phone} phone */
function lockWhenIdle(phone) {
  const used = () => void phone.people.touch().catch(() => {});
  for (const name of ["pointerdown", "keydown"])
    document.addEventListener(name, () => {
      phone.lockIfIdle();
      used();
    }, true);
  document.addEventListener("visibilitychange", () => phone.lockIfIdle());
  setInterval(() => phone.lockIfIdle(), 15_000);
}

/** Until what was drawn is on the glass; a page that nobody sees does not wait for it. */
const framed = () =>
  new Promise((go) => {
    requestAnimationFrame(() => setTimeout(go));
    setTimeout(go, 500);
  });

async function start() {
  const root = /** @type {HTMLElement} */ (document.getElementById("app"));
  const phone = new Phone(await openStore());
  await phone.load();
  effect(() => {
    language.value = phone.settings.all.value.lang;
    system.value = phone.settings.all.value.units;
    document.title = t("app.name");
    render(view(phone), root);
    queueMicrotask(() => lookBelow(phone));
  });
  let place = "";
  effect(() => {
    const now = phone.route.at.value.join("/");
    if (place !== now) {
      phone.pad.value = null;
      phone.panel.value = "";
      phone.asked.value = "";
      if (place) forgetTyped();
      stopCamera();
      phone.deafUntil = performance.now() + 400;
      if (place) phone.focusTitle();
      place = now;
    }
  });
  effect(() => {
    if (phone.panel.value) requestAnimationFrame(toOpened);
  });
  for (const name of ["scroll", "resize"]) addEventListener(name, () => lookBelow(phone), { passive: true });
  holdWhileOpen(phone);
  addEventListener("online", () => (phone.online.value = true));
  addEventListener("offline", () => (phone.online.value = false));
  closePadElsewhere(phone);
  lockWhenIdle(phone);
  document.documentElement.dataset.started = "yes";
  await framed();
  phone.route.settle();
  await phone.bringAll();
  effect(() => {
    const [room, id] = phone.route.at.value;
    const state = room === "job" && id ? phone.journal.job(id) : null;
    if (state) void phone.handbook.show(state.bundle).catch(() => {});
  });
  void phone.handbook.refresh().catch(() => {});
  await phone.offline.start();
  phone.version_text.value = phone.offline.version;
  phone.sync.start();
  return phone;
}

start().catch((error) => {
  const root = document.getElementById("app");
  if (root)
    render(
      html`<main class="page"><h1>${t("start.failed")}</h1><p>${t("start.failed_do")}</p><p class="small">${String(error?.message ?? error)}</p></main>`,
      root,
    );
});
