// When a reading is announced (10 s before) and called (at its time), each once.

import { Claim } from "../store/claim.js";
import { secondsLeft } from "./countdown.js";

/** @import {Recorder} from "../contract.d.ts" */

/** Seconds before a reading at which it is announced. */
const SOON = 10;
/** A call that is later than this is not sounded: the page was asleep. */
const MISSED = 3;

/** Of each job, the reading that was announced and the one that was called. */
export class Calls {
  /** @type {Map<string, string>} */
  #announced = new Map();
  /** @type {Map<string, string>} */
  #called = new Map();

  /** Whether this tab may sound: of several, the first one that was opened. */
  loud = false;

  constructor() {
    new Claim("calls", () => {}).wait().then((mine) => (this.loud = mine));
  }

  /** What is to be called now; "passed" when the time went by while nobody could hear.
   *  @param {string} job @param {Recorder} recorder @returns {"soon" | "due" | "passed" | null} */
  next(job, recorder) {
    const left = secondsLeft(recorder);
    if (left === null) return null;
    const reading = `${recorder.start?.at} ${recorder.due}`;
    if (left <= 0 && this.#called.get(job) !== reading) {
      this.#called.set(job, reading);
      this.#announced.set(job, reading);
      return left > -MISSED ? "due" : "passed";
    }
    if (left > 0 && left <= SOON && this.#announced.get(job) !== reading) {
      this.#announced.set(job, reading);
      return left > SOON - MISSED ? "soon" : null;
    }
    return null;
  }
}
