// One tab acts on a job at a time: whoever holds its lock. The browser frees the lock of a tab that
// is closed or killed; another tab may take it, and the one that had it is told.

export class Claim {
  #name;
  #lost;
  /** Ends the holding. @type {(() => void) | null} */
  #free = null;
  /** Ends the waiting. */
  #waits = new AbortController();

  /** @param {string} name @param {() => void} lost called when another tab has taken it */
  constructor(name, lost) {
    this.#name = `weeptrace-${name}`;
    this.#lost = lost;
  }

  /** Take it if no other tab has it; whether that was so. */
  take() {
    return this.#request({ ifAvailable: true });
  }

  /** Take it from the tab that has it. */
  async seize() {
    this.#waits.abort();
    return this.#request({ steal: true });
  }

  /** Wait until the tab that has it lets it go. @returns {Promise<boolean>} false: given up */
  wait() {
    this.#waits = new AbortController();
    return this.#request({ signal: this.#waits.signal });
  }

  /** Let it go, or stop waiting. */
  release() {
    this.#waits.abort();
    this.#free?.();
    this.#free = null;
  }

  /** @param {LockOptions} options @returns {Promise<boolean>} */
  #request(options) {
    return new Promise((resolve) => {
      /** @param {Lock | null} lock */
      const granted = (lock) => {
        resolve(lock !== null);
        return lock && new Promise((free) => (this.#free = () => free(null)));
      };
      navigator.locks.request(this.#name, options, granted).catch(() => {
        resolve(false);
        if (!this.#free) return; // it was only waited for
        this.#free = null;
        this.#lost();
      });
    });
  }
}
