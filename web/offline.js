// The service worker from the page's side: is everything here, and is a newer version waiting.
import { signal } from "@preact/signals-core";
import { register } from "./worker_url.js";

export class Offline {
  constructor() {
    /** unsupported, getting, ready, failed. @type {import("@preact/signals-core").Signal<"unsupported"|"getting"|"ready"|"failed">} */
    this.state = signal("getting");
    this.newer = signal(false);
    this.version = "";
    /** @type {ServiceWorkerRegistration | undefined} */
    this.registration = undefined;
    this.asked = false;
  }

  async start() {
    const container = navigator.serviceWorker;
    if (!container) {
      this.state.value = "unsupported";
      return;
    }
    container.addEventListener("controllerchange", () => {
      if (this.asked) location.reload();
    });
    try {
      this.registration = await register();
      this.watch(this.registration);
      await container.ready;
      await this.check();
    } catch {
      // With no network the registration of an installed app still stands; only a first visit fails here.
      this.registration = await container.getRegistration("/phone/");
      if (this.registration?.active) await this.check();
      else this.state.value = "failed";
    }
  }

  /** @param {ServiceWorkerRegistration} registration */
  watch(registration) {
    const look = () => {
      this.newer.value = Boolean(registration.waiting && registration.active);
    };
    look();
    registration.addEventListener("updatefound", () => registration.installing?.addEventListener("statechange", look));
    document.addEventListener("visibilitychange", () => {
      if (!document.hidden) void registration.update().catch(() => {});
    });
  }

  /** Ask the active worker to count its own cache: "ready" is said only of what is there. */
  async check() {
    const active = this.registration?.active;
    if (!active) return;
    const told = await new Promise((resolve) => {
      const { port1, port2 } = new MessageChannel();
      port1.onmessage = (message) => resolve(message.data);
      active.postMessage({ ask: "ready" }, [port2]);
      setTimeout(() => resolve(null), 5000);
    });
    this.version = told?.version ?? "";
    this.state.value = told && told.assets > 0 && told.missing.length === 0 ? "ready" : "failed";
  }

  /** A person tapped: the waiting version takes over and the page starts again. */
  takeOver() {
    this.asked = true;
    this.registration?.waiting?.postMessage({ ask: "take_over" });
  }
}
