// Keeps the screen on while a hold runs: asked for in a touch, and again when the page is shown.

/** @type {WakeLockSentinel | null} */
let lock = null;
let wanted = false;
let asking = false;

/** @param {boolean} on */
export async function keepAwake(on) {
  wanted = on;
  if (!on) {
    await lock?.release();
    lock = null;
  } else if (document.visibilityState === "visible" && (lock === null || lock.released)) {
    if (asking) return;
    asking = true;
    lock = (await navigator.wakeLock?.request("screen").catch(() => null)) ?? null;
    asking = false;
  }
}

document.addEventListener("visibilitychange", () => {
  if (wanted) keepAwake(true);
});
