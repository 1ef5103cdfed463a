// While a job is on the screen the phone stays lit: hands are at the machine, not at the glass.

/** Keeps asking: the browser takes the lock away whenever the page is hidden. `want(false)` lets go.
 * @param {{wakeLock?: any}} navigator @param {{hidden: boolean, addEventListener: (name: string, act: () => void) => void}} page */
export function awake(navigator, page) {
  let wanted = false;
  /** @type {Promise<any> | null} */
  let held = null;
  const settle = () => {
    if (wanted && !page.hidden) held ??= navigator.wakeLock?.request("screen").catch(() => null) ?? null;
    else if (held) {
      void held.then((/** @type {any} */ lock) => lock?.release());
      held = null;
    }
  };
  page.addEventListener("visibilitychange", settle);
  return (/** @type {boolean} */ want) => {
    wanted = want;
    settle();
  };
}
