// The time to a recorder's next reading, in seconds and in words.

import { WORDS, howLong, minutesSeconds } from "../draw/words.js";
import { momentAt, secondsBetween } from "./events.js";

/** @import {Recorder} from "../contract.d.ts" */

/** Seconds to the next reading, negative when it is late; null when none is due.
 *  @param {Recorder} block */
export const secondsLeft = ({ start, due }) =>
  start === null || due === null ? null : due - secondsBetween(start, momentAt());

/** "0:23", "now", "late 0:05", "late 9 h 38 min"; nothing where no reading is due.
 *  @param {Recorder} block @param {(time: string) => string} [ahead] how a time still to come is told */
export function countdownWords(block, ahead = (time) => time) {
  const left = secondsLeft(block);
  if (left === null) return "";
  const whole = Math.ceil(left);
  if (whole > 0) return ahead(minutesSeconds(whole));
  return whole > -2 ? WORDS.now : WORDS.late(howLong(-whole));
}
