// The quantity pad: the value as typed, a rule of the tester's own divisions, the keys.
import { html, nothing, svg } from "lit-html";
import { pressed } from "../device/press.js";
import { icon } from "../draw/icons.js";
import { besideMarks, centred, figure, isMultiple, linear, multiples } from "../draw/labels.js";
import "../draw/sized-box.js";
import { WORDS, withUnit } from "../draw/words.js";
import { SPOKEN } from "../draw/words/spoken.js";
import { isTyped, numberOf } from "../job/entry.js";
import { waiting } from "./action.js";

/** @import {Entry, Hand, Pad} from "../contract.d.ts" */

const LABEL = 17;
/** Divisions that the rule shows. */
const SHOWN = 8.25;
/** Signs that are as large as they come beside the longest unit. */
const FEW = 4;
/** Signs on STORE that are as large as they come on the narrowest phone: "STORE 95.5 kPa". */
const SHORT = 14;

/** A pad of a view: the one that the hand types on is pinned in the foot; another shows its label.
 *  @param {Pad} block @param {Hand} hand */
export const pad = (block, hand) =>
  hand.entry?.how === "inline" && hand.entry.pad === block
    ? nothing
    : html`<p class="label">${block.label}</p>`;

/** What is typed, and what it starts from. @param {Entry} entry @param {Hand} hand */
export const typedPart = (entry, hand) =>
  html`<section class="pad" aria-label=${entry.pad.label}>
    ${typedValue(entry, hand)} ${rule(entry)} ${steppers(entry, hand)}
  </section>`;

/** @param {Entry} entry @param {Hand} hand */
function typedValue({ how, pad, typed, unit }, hand) {
  const next = pad.units[(pad.units.indexOf(unit) + 1) % pad.units.length] ?? unit;
  const label = pad.label;
  return html`<div class="asked">
      ${how === "inline"
        ? html`<p class="label">${label}</p>`
        : html`<h1 class="label">${label}</h1>`}
      <p class="hints">${pad.hints.map((hint) => html`<span>${hint}</span>`)}</p>
    </div>
    <p class=${typed.length > FEW ? "typed running long" : "typed running"}>
      <output aria-label=${SPOKEN.typed} aria-live="polite"><b>${typed.replace("-", "\u2212")}</b></output>
      <i class="cursor"></i>
      ${pad.units.length > 1
        ? html`<button class="key unit" aria-label=${SPOKEN.unit(unit, next)}
            @click=${pressed(() => hand.press("unit"))}>${unit}</button>`
        : html`<span>${unit === "1" ? "" : unit}</span>`}
    </p>`;
}

/** The divisions around what is typed, or around the last value. @param {Entry} entry */
function rule({ pad, typed, unit }) {
  const here = numberOf(typed);
  const middle = here ?? pad.last?.value ?? null;
  if (pad.division === null || unit !== pad.unit || middle === null) return nothing;
  const division = pad.division;
  return html`<sized-box class="needle" .draw=${(/** @type {number} */ width) =>
    drawRule(division, middle, here, pad.last?.value ?? null, width)}></sized-box>`;
}

/** @param {number} division @param {number} middle @param {number | null} here
 *  @param {number | null} last @param {number} width */
function drawRule(division, middle, here, last, width) {
  const half = (SHOWN / 2) * division;
  const [low, high] = [middle - half, middle + half];
  const x = linear(low, high, 0, width);
  const y = 26;
  const shown = last !== null && last >= low && last <= high && last !== here;
  const words = shown ? besideMarks([{ at: x(last), words: WORDS.last }], width, LABEL, 10,
    here === null ? [] : [[x(here) - 10, x(here) + 10]]) : [];
  const figures = multiples(low, high, 2 * division).map((at) => ({ at: x(at), words: figure(at) }));
  return svg`<path class="axis" d="M0 ${y}H${width}" />
    ${multiples(low, high, division / 2).map((at) => {
      const long = isMultiple(at, 2 * division) ? 24 : isMultiple(at, division) ? 16 : 10;
      return svg`<path class=${long === 10 ? "tick" : "tick long"} d="M${x(at)} ${y}v${long}" />`;
    })}
    ${centred(figures, width, LABEL).map((w) => svg`<text class="t17 b" x=${w.x} y=${y + 43}
      text-anchor="middle">${w.words}</text>`)}
    ${shown ? svg`<path class="wedge open" d="M${x(last) - 7} ${y - 16}h14v7l-7 7-7-7z" />` : nothing}
    ${here === null ? nothing
      : svg`<path class="wedge" d="M${x(here) - 9} ${y - 19}h18v9l-9 9-9-9z" />`}
    ${words.map((w) => svg`<text class="t17 b" x=${w.x} y=${y - 5}
      text-anchor=${w.anchor}>${w.words}</text>`)}`;
}

/** Minus, same as last, plus: they start from a last value, in the pad's own unit only.
 *  @param {Entry} entry @param {Hand} hand */
function steppers({ pad, unit }, hand) {
  if (unit !== pad.unit || pad.last === null) return nothing;
  const step = figure(pad.step);
  const same = pad.same_as_last ? pad.last : null;
  return html`<div class="steppers">
    <button class="key" aria-label=${SPOKEN.minus(step)} @click=${pressed(() => hand.press("minus"))}>
      ${icon("minus")} ${step}
    </button>
    ${same
      ? html`<button class="key same" @click=${pressed(() => hand.press("same"))}>
          ${WORDS.sameAsLast} <b>${same.typed}</b>
        </button>`
      : nothing}
    <button class="key" aria-label=${SPOKEN.plus(step)} @click=${pressed(() => hand.press("plus"))}>
      ${icon("plus")} ${step}
    </button>
  </div>`;
}

/** The keys, for the foot: pinned there, no row of them can leave the window.
 *  @param {Entry} entry @param {Hand} hand */
export function keypad({ pad }, hand) {
  const key = (/** @type {string} */ name, /** @type {unknown} */ face, label = name) =>
    html`<button class="key number" aria-label=${label} @click=${pressed(() => hand.press(name))}>
      ${face}
    </button>`;
  return html`<div class="keypad ${pad.signed ? "signed" : ""}" role="group" aria-label=${pad.label}>
    ${["1", "2", "3", "4", "5", "6", "7", "8", "9"].map((digit) => key(digit, digit))}
    ${pad.signed ? key("sign", "\u2212", SPOKEN.sign) : nothing}
    ${key("decimal", hand.decimal, SPOKEN.decimal)} ${key("0", "0")}
    ${key("erase", icon("erase"), SPOKEN.erase)}
  </div>`;
}

/** STORE repeats the value and its unit. @param {Entry} entry @param {Hand} hand */
export function storeKey(entry, hand) {
  const asked = entry.how === "earlier" && entry.minutes === null;
  if (!isTyped(entry)) return waiting("main", "", WORDS.notTyped);
  const words = asked
    ? WORDS.minutesNext(entry.typed)
    : WORDS.storeValue(withUnit(entry.typed.replace("-", "\u2212"), entry.unit));
  return html`<button class=${words.length > SHORT ? "main long" : "main"}
    @click=${pressed(() => hand.store())}>
    <span class="face"><span class="word">${words}</span></span>
  </button>`;
}
