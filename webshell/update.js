// The service worker: a new release waits until the user takes it.

/** @type {ServiceWorkerRegistration | null} */
let registration = null;

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

/** Let it take over; it loads every open page afresh. */
export const takeOver = () => registration?.waiting?.postMessage({ type: "take-over" });
