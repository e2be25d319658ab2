// The hold under way: the last value, the fall so far, the plot, the seconds to the next reading.
import { html, nothing, svg } from "lit-html";
import "../draw/sized-box.js";
import { SPOKEN } from "../draw/words/spoken.js";
import { countdownWords, secondsLeft } from "../job/countdown.js";
import { plot } from "./plot.js";

/** @import {Recorder} from "../contract.d.ts" */

/** Ticks of a full countdown rule. */
const MOST = 60;
/** Signs that fit at full size on the narrowest phone: "late 59:59". */
const SHORT = 10;

/** @param {Recorder} block */
export const recorder = (block) =>
  html`<section class="recorder" aria-label=${SPOKEN.recorder}>
    ${block.last || block.fall
      ? html`<div class="value">
          ${block.last
            ? html`<div>
                <p class="label">${block.last.label}</p>
                <p class="running"><b>${block.last.value}</b> <span>${block.last.unit}</span></p>
              </div>`
            : nothing}
          ${block.fall
            ? html`<div class="fall">
                <p class="label">${block.fall.label}</p>
                <p><b>${block.fall.value}</b> <span>${block.fall.unit}</span></p>
                <p>${block.fall.interval}</p>
              </div>`
            : nothing}
        </div>`
      : nothing}
    ${block.plot ? plot(block.plot) : nothing}
    <div class="narrow">${countdown(block)}</div>
  </section>`;

/** @param {Recorder} block */
export function countdown(block) {
  const left = secondsLeft(block);
  if (left === null)
    return block.due_label ? html`<div class="countdown"><p>${block.due_label}</p></div>` : nothing;
  const words = countdownWords(block);
  return html`<div class="countdown">
    <p>
      ${block.due_label}
      <b role="timer" class=${words.length > SHORT ? "long" : ""} aria-label=${SPOKEN.timer}
        >${words}</b>
    </p>
    <sized-box .draw=${(/** @type {number} */ width) => ticks(block.interval, left, width)}>
    </sized-box>
  </div>`;
}

/** One tick a second (fewer if the interval is long); those that have passed are thick.
 *  @param {number} interval @param {number} left @param {number} width */
function ticks(interval, left, width) {
  const each = Math.max(1, Math.ceil(interval / MOST));
  const count = Math.max(1, Math.round(interval / each));
  const passed = Math.min(count + 1, Math.max(0, Math.floor((interval - left) / each) + 1));
  return svg`${Array.from({ length: count + 1 }, (_, i) => {
    const tall = i % 10 === 0 ? 26 : i % 5 === 0 ? 19 : 13;
    const x = 2 + (i / count) * (width - 4);
    return svg`<path class=${i < passed ? "gone" : "ahead"} d="M${x} 28v-${tall}" />`;
  })}<path class="axis" d="M0 28.5H${width}" />`;
}
