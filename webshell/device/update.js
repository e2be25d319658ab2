// The service worker: a new release waits until the user takes it.

/** @type {ServiceWorkerRegistration | null} */
let registration = null;

/** ms */
const AGAIN = 1000;
const URL_OF_WORKER = "service-worker.js";
const policy = window.trustedTypes?.createPolicy("weeptrace-update", {
  createScriptURL: (text) => {
    if (text === URL_OF_WORKER) return text;
    throw new TypeError(`Not the service worker: ${text}`);
  },
});

/** @param {() => void} changed called when a new release is waiting */
export async function register(changed) {
  if (!("serviceWorker" in navigator)) return;
  const url = /** @type {any} */ (policy?.createScriptURL(URL_OF_WORKER) ?? URL_OF_WORKER);
  // Under another release than the one it was loaded from, a page must not go on. (The very first
  // release takes a page that had none: that one is it already.)
  if (navigator.serviceWorker.controller) {
    navigator.serviceWorker.addEventListener("controllerchange", () => location.reload());
  }
  registration = await navigator.serviceWorker.register(url, {
    updateViaCache: "none",
  });
  registration.addEventListener("updatefound", () => {
    registration?.installing?.addEventListener("statechange", changed);
  });
  changed();
}

/** Whether a release waits beside the running one. */
export const isWaiting = () => Boolean(registration?.waiting && registration.active);

/** Let it take over; every open page then loads afresh. A browser may put the word off while the
 *  running release has work, and forget it: it is said again until it is heard, and at last this page
 *  loads afresh by itself, which ends what the running release still sends.
 *  @param {number} [left] how often it is said again before that */
export function takeOver(left = 5) {
  const waiting = registration?.waiting;
  if (!waiting) return;
  waiting.postMessage({ type: "take-over" });
  setTimeout(() => (left > 0 ? takeOver(left - 1) : location.reload()), AGAIN);
}
