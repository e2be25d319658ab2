// A graduated column filled from below; what a part is stands beside it, told by pattern.
import { html, svg } from "lit-html";
import "../sized-box.js";
import { figure, isMultiple, linear, multiples } from "../lay.js";
import { withUnit } from "../words.js";

/** @import {Picture, TankPart} from "../contract.d.ts" */
/** @typedef {TankPart & {low: number, high: number}} Stacked */

const LEFT = 34;
const COLUMN = 96;
const TEXT = LEFT + COLUMN + 16;
/** Least height of a part's words. */
const WORDS = 56;

/** @param {Picture} block */
export const picture = (block) =>
  html`<figure class="tank" role="img" aria-label=${block.sentence}>
    <sized-box .draw=${(/** @type {number} */ w, /** @type {number} */ h) => draw(block, w, h)}>
    </sized-box>
  </figure>`;

/** @param {Picture} block @param {number} width @param {number} height */
function draw(block, width, height) {
  const y = linear(0, block.high, height - 8, 8);
  let level = 0;
  /** @type {Stacked[]} */
  const parts = block.parts.map((part) => ({ ...part, low: level, high: (level += part.amount) }));
  return svg`
    <defs>
      <pattern id="tank-hatched" width="12" height="12" patternUnits="userSpaceOnUse">
        <path class="hatch" d="M-1 13L13 -1M-1 1L1 -1M11 13L13 11" />
      </pattern>
      <pattern id="tank-dotted" width="10" height="10" patternUnits="userSpaceOnUse">
        <circle class="dot" cx="5" cy="5" r="2" />
      </pattern>
    </defs>
    ${parts.map((part) => fill(part, y))}
    <rect class="wall" x=${LEFT + 1.5} y=${y(block.high)} width=${COLUMN - 3}
      height=${y(0) - y(block.high)} />
    ${multiples(0, block.high, block.major / 4).map((at) => tick(at, y, block))}
    ${words(parts, y, width, height)}`;
}

/** @param {Stacked} part @param {(v: number) => number} y */
const fill = ({ pattern, low, high }, y) =>
  svg`<rect class="part ${pattern}" x=${LEFT + 1.5} y=${y(high)} width=${COLUMN - 3}
    height=${Math.max(0, y(low) - y(high))} />`;

/** @param {number} at @param {(v: number) => number} y @param {Picture} block */
function tick(at, y, { major, unit, high }) {
  const long = isMultiple(at, major) ? 14 : isMultiple(at, major / 2) ? 12 : 8;
  const last = at + major > high;
  return svg`<path class="tick long" d="M${LEFT} ${y(at)}h-${long}" />
    ${isMultiple(at, major)
      ? svg`<text class="t16 b" x=${LEFT - 17} y=${y(at) + 5.5} text-anchor="end">${
          last ? withUnit(figure(at), unit) : figure(at)}</text>`
      : ""}`;
}

/** Each part's words at its height, moved apart where parts are thin.
 *  @param {Stacked[]} parts @param {(v: number) => number} y @param {number} width
 *  @param {number} height */
function words(parts, y, width, height) {
  const tops = parts.map((part) => (y(part.low) + y(part.high)) / 2 - WORDS / 2);
  for (let i = 0; i < tops.length; i++) {
    const below = i === 0 ? height : (tops[i - 1] ?? 0);
    tops[i] = Math.min(tops[i] ?? 0, below - WORDS);
  }
  for (let i = tops.length - 1; i >= 0; i--) {
    const above = i === tops.length - 1 ? 0 : (tops[i + 1] ?? 0) + WORDS;
    tops[i] = Math.max(tops[i] ?? 0, above);
  }
  return parts.map(
    (part, i) => svg`<path class="lead" d="M${LEFT + COLUMN} ${y((part.low + part.high) / 2)}
        L${TEXT - 4} ${(tops[i] ?? 0) + WORDS / 2}" />
      <text class="t22 bb" x=${TEXT} y=${(tops[i] ?? 0) + 25}>${part.value}
        <tspan class="t20 b">${part.word}</tspan></text>
      <text class="t18" x=${TEXT} y=${(tops[i] ?? 0) + 48}>${part.sub}</text>`,
  );
}
