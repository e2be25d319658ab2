// Keys that act. One main key at most, with the cut corner and the dye; READ is the largest.
import { html, nothing } from "lit-html";
import { pressed } from "../device/press.js";
import { icon } from "../draw/icons.js";
import { WORDS } from "../draw/words.js";

/** @import {Action, Do, Hand} from "../contract.d.ts" */

/** Acts that need no judgement: open while the rules are still loading. @param {Do} wanted */
const isLive = (wanted) =>
  "read" in wanted || "pad" in wanted || ("call" in wanted && wanted.call === "home");

/** @param {Action} action @param {Hand} hand */
const waitsFor = ({ do: wanted }, hand) =>
  hand.fresh || (hand.held && isLive(wanted)) ? null
    : hand.held ? WORDS.checking : WORDS.waitsForTab;

/** @param {Action} action @param {Hand} hand */
export function mainKey(action, hand) {
  const { label, sub, icon: name, do: wanted } = action;
  const waits = waitsFor(action, hand);
  if (waits) return waiting("main", label, waits);
  const large = "read" in wanted;
  return html`<button
    class="main ${large ? "read" : ""}"
    aria-describedby=${sub ? "main-sub" : nothing}
    aria-label=${label}
    @click=${pressed((moment) => hand.act(wanted, moment, label))}
  >
    <span class="face">
      <span class="word">${large ? nothing : icon(name)}${label}</span>
      ${sub ? html`<span class="sub" data-words=${sub}></span>` : nothing}
    </span>
  </button>
  ${sub ? html`<span class="hidden" id="main-sub">${sub}</span>` : nothing}`;
}

/** @param {Action} action @param {Hand} hand */
export function secondKey(action, hand) {
  const { label, sub, icon: name, do: wanted } = action;
  const waits = waitsFor(action, hand);
  if (waits) return waiting("second", label, waits);
  return html`<button
    class="key second ${sub ? "wide" : ""}"
    @click=${pressed((moment) => hand.act(wanted, moment, label))}
  >
    ${icon(name)}
    <span>${label}${sub ? html`<br /><span class="sub">${sub}</span>` : nothing}</span>
  </button>`;
}

/** Not possible yet: a dashed frame, no foot, and what it waits for.
 *  @param {string} size @param {string} label @param {string} waits */
export const waiting = (size, label, waits) =>
  html`<button class="waiting ${size}" disabled>
    <span>${label}</span> <small>${waits}</small>
  </button>`;
