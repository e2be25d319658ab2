// Which job is on the screen, as the address says; the one that was left for a reading elsewhere
// lies under it and is come back to.

/** @import {JobPage} from "./page.js" */

/** @param {string} job */
export const addressOf = (job) => `#job=${encodeURIComponent(job)}`;

/** The job that the address names. */
function jobHere() {
  const named = /^#job=(.+)$/.exec(location.hash)?.[1];
  try {
    return named && decodeURIComponent(named);
  } catch {
    return named;
  }
}

export class JobPages {
  /** On the screen. @type {JobPage | null} */
  shown = null;
  /** Left for a reading of another job, and come back to. @type {JobPage | null} */
  under = null;
  /** Counts the turns of the address: an older one that is still under way gives up. */
  #turns = 0;
  #open;

  /** @param {(job: string) => Promise<JobPage>} open */
  constructor(open) {
    this.#open = open;
  }

  /** Where one is when `from` is left; null for the list of jobs. @param {unknown} from */
  after(from) {
    return this.shown === from ? this.under : this.shown;
  }

  /** Go to another job for one reading. @param {string} job */
  aside(job) {
    if (this.under !== this.shown) this.under?.leave();
    this.under = this.shown;
    history.pushState({ deeper: true, elsewhere: true }, "", addressOf(job));
  }

  /** Open what the address names. Whether that is another page than before.
   *  @param {(job: string | null) => Promise<void>} before what is done before it opens */
  async follow(before) {
    const job = jobHere() ?? null;
    const open = this.shown;
    if (job && open?.session.job === job) {
      if (open.deep && !history.state?.deeper) open.cancel();
      return false;
    }
    const turn = ++this.#turns;
    await before(job);
    const next = job ? await this.#pageOf(job) : null;
    if (turn !== this.#turns) {
      next?.leave();
      return false;
    }
    if (open !== this.under) open?.leave();
    if (next === this.under || !history.state?.elsewhere) {
      if (next !== this.under) this.under?.leave();
      this.under = null;
    }
    this.shown = next;
    return true;
  }

  /** The page of a job: the one that was left for a reading elsewhere, or a new one.
   *  @param {string} job */
  async #pageOf(job) {
    return this.under?.session.job === job ? this.under : this.#open(job);
  }
}
