// Whether this tab acts on a job, or another one does.

import { Claim } from "../store/claim.js";

export class Ownership {
  /** Whether this tab acts on the job. */
  held = false;
  #claim;
  #gained;

  /** @param {string} job
   *  @param {{gained: () => Promise<void>, lost: () => void}} told `gained`: this tab acts from now
   *  on, once it has said so by `held`; `lost`: another tab acts now */
  constructor(job, { gained, lost }) {
    this.#gained = gained;
    this.#claim = new Claim(`job-${job}`, () => {
      this.held = false;
      lost();
      this.#await();
    });
  }

  /** Act on the job, unless another tab does: then when that one lets it go. */
  async take() {
    this.held = await this.#claim.take();
    if (!this.held) this.#await();
    return this.held;
  }

  /** The other tab may be closed. */
  async #await() {
    if (await this.#claim.wait()) await this.#gained();
  }

  /** From now on this tab acts, and the other one stops. */
  async seize() {
    if (await this.#claim.seize()) await this.#gained();
  }

  /** The job is free for other tabs. */
  release() {
    this.#claim.release();
  }
}
