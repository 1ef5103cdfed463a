// The one script this page may register as its worker; Trusted Types holds us to it.
export const WORKER = "/phone/sw.js";

const policy = /** @type {any} */ (globalThis).trustedTypes?.createPolicy("app", {
  createScriptURL(/** @type {string} */ url) {
    if (url !== WORKER) throw new TypeError(`not ours: ${url}`);
    return url;
  },
});

/** Register the worker; the same registration when it is there already. @returns {Promise<ServiceWorkerRegistration>} */
export const register = () =>
  navigator.serviceWorker.register(/** @type {any} */ (policy ? policy.createScriptURL(WORKER) : WORKER), {
    scope: "/phone/",
    updateViaCache: "none",
  });
