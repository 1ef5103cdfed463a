// The first start. The worker brings the whole app in one packed piece, much smaller than module by module; then the
// modules come out of its cache. Where there is no worker, or it does not come, they come one by one as they are.
import { register } from "./worker_url.js";

const PATIENCE = 30_000;
const worker = navigator.serviceWorker;

/** Until this page's modules come out of the worker's cache, or it is clear that they will not. */
async function packed() {
  if (!worker || worker.controller || (await worker.getRegistration("/phone/"))?.active) return;
  const registration = await register();
  await new Promise((resolve) => {
    worker.addEventListener("controllerchange", resolve, { once: true });
    registration.installing?.addEventListener("statechange", (event) => {
      if (/** @type {ServiceWorker} */ (event.target).state === "redundant") resolve(null);
    });
    setTimeout(resolve, PATIENCE);
  });
}

await packed().catch(() => {}); // then without: what is wrong with the worker is told by the app itself
const named = /** @type {HTMLMetaElement | null} */ (document.querySelector('meta[name="modules"]'));
for (const href of named?.content.split(" ") ?? []) {
  const link = document.createElement("link");
  link.rel = "modulepreload";
  link.href = href;
  document.head.append(link);
}
await import("./app.js");
