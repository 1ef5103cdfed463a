// Offline. The server puts one line before this file: const SHAFTSIDE = {version, assets: [{path, hash}]}.
/// <reference lib="webworker" />
/** @type {{version: string, assets: {path: string, hash: string}[]}} */
// @ts-expect-error The line before this file, or nothing when the file is served bare.
const given = typeof SHAFTSIDE === "undefined" ? { version: "none", assets: [] } : SHAFTSIDE;
const worker = /** @type {ServiceWorkerGlobalScope} */ (/** @type {unknown} */ (self));
const OURS = "shaftside-";
const CACHE = `${OURS}${given.version}`;
const INDEX = "/phone/";
const LISTED = new Set(given.assets.map((asset) => asset.path));

worker.addEventListener("install", (event) => event.waitUntil(precache()));
worker.addEventListener("activate", (event) => event.waitUntil(settle()));
worker.addEventListener("message", (event) => {
  const port = event.ports[0];
  if (event.data?.ask === "ready") event.waitUntil(ready().then((told) => port?.postMessage(told)));
  // Only a person's tap sends this; a new version never takes over by itself.
  if (event.data?.ask === "take_over") event.waitUntil(worker.skipWaiting());
});
worker.addEventListener("fetch", (event) => {
  const url = new URL(event.request.url);
  if (event.request.method !== "GET" || url.origin !== worker.location.origin) return;
  if (url.pathname.startsWith("/api/")) return;
  if (event.request.mode === "navigate") {
    if (url.pathname.startsWith(INDEX)) event.respondWith(page(event.request));
    return;
  }
  if (LISTED.has(url.pathname)) event.respondWith(listed(event.request, url.pathname));
});

/** Every asset, checked against its hash: all of them or no install. */
async function precache() {
  const cache = await caches.open(CACHE);
  await Promise.all(
    given.assets.map(async ({ path, hash }) => {
      const response = await fetch(new Request(path, { cache: "no-cache" }));
      if (!response.ok) throw new Error(`${path}: ${response.status}`);
      const digest = await crypto.subtle.digest("SHA-256", await response.clone().arrayBuffer());
      const hex = Array.from(new Uint8Array(digest), (byte) => byte.toString(16).padStart(2, "0")).join("");
      if (hex !== hash) throw new Error(`${path}: not the text this version names`);
      await cache.put(path, response);
    }),
  );
}

/** Earlier versions' caches go, by name; nobody else's. */
async function settle() {
  for (const name of await caches.keys()) if (name.startsWith(OURS) && name !== CACHE) await caches.delete(name);
  await worker.clients.claim();
}

/** @param {Request} request */
async function page(request) {
  const kept = await caches.match(INDEX, { cacheName: CACHE });
  return kept ?? fetch(request);
}

/** @param {Request} request @param {string} path */
async function listed(request, path) {
  const kept = await caches.match(path, { cacheName: CACHE });
  return kept ?? fetch(request);
}

/** Whether everything listed is really here now. */
async function ready() {
  const cache = await caches.open(CACHE);
  const missing = [];
  for (const { path } of given.assets) if (!(await cache.match(path))) missing.push(path);
  return { version: given.version, assets: given.assets.length, missing };
}
