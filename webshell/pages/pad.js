// A pad of its own page: after READ (time stopped), for a measure, for "did it earlier".
import { html, nothing } from "lit-html";
import { caution } from "../blocks/caution.js";
import { keypad, storeKey, typedPart } from "../blocks/pad.js";
import { bar, edge, more, strip } from "../draw/frame.js";
import { WORDS, clock, minutesSeconds, withUnit } from "../draw/words.js";
import { SPOKEN } from "../draw/words/spoken.js";
import { minutesPad } from "../job/entry.js";
import { secondsBetween } from "../job/events.js";

/** @import {Entry, Hand, View} from "../contract.d.ts" */

/** @param {View} view @param {Entry} entry @param {Hand} hand */
export function padPage(view, entry, hand) {
  const asked = entry.how === "earlier" && entry.minutes === null;
  const shown = asked ? { ...entry, pad: minutesPad(WORDS.minutesAgo), unit: "min" } : entry;
  return html`<div class="page">
    <header>
      ${bar(view.bar.title, view.bar.number, hand)} ${edge(view.edge)}
      ${view.practice ? html`<p class="strip practice">${WORDS.practice}</p>` : nothing}
      ${entry.how === "read" ? stopped(view, entry) : nothing}
      ${entry.minutes !== null
        ? html`<p class="strip">${WORDS.minutesNext(entry.minutes)}</p>`
        : nothing}
      ${hand.others()} ${strip(hand.strip)}
    </header>
    <main class="content">${typedPart(shown, hand)}</main>
    <div class="foot typing apart">
      ${more()}
      ${view.foot.caution ? caution(view.foot.caution) : nothing}
      ${keypad(shown, hand)}
      <nav class="keys" aria-label=${SPOKEN.keys}>${storeKey(shown, hand)}</nav>
    </div>
  </div>`;
}

/** The frozen moment: minutes since the first reading, else the clock.
 *  @param {View} view @param {Entry} entry */
function stopped(view, { moment }) {
  if (!moment) return nothing;
  const recorder = view.blocks.find((block) => block.block === "recorder");
  const words = recorder?.start
    ? withUnit(minutesSeconds(secondsBetween(recorder.start, moment)), "min")
    : clock(moment.at);
  return html`<p class="strip stopped" role="status">${WORDS.timeStopped} <b>${words}</b></p>`;
}
