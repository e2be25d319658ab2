// When a reading is announced (10 s before) and called (at its time), each once.

import { secondsLeft } from "./blocks/recorder.js";

/** @import {Recorder} from "./contract.d.ts" */

/** Seconds before a reading at which it is announced. */
const SOON = 10;
/** A call that is later than this is not sounded: the page was asleep. */
const MISSED = 3;

export class Calls {
  #announced = "";
  #called = "";

  /** What is to be called now; "passed" when the time went by while nobody could hear.
   *  @param {Recorder} recorder @returns {"soon" | "due" | "passed" | null} */
  next(recorder) {
    const left = secondsLeft(recorder);
    if (left === null) return null;
    const reading = `${recorder.start?.at} ${recorder.due}`;
    if (left <= 0 && this.#called !== reading) {
      this.#called = this.#announced = reading;
      return left > -MISSED ? "due" : "passed";
    }
    if (left > 0 && left <= SOON && this.#announced !== reading) {
      this.#announced = reading;
      return left > SOON - MISSED ? "soon" : null;
    }
    return null;
  }
}
