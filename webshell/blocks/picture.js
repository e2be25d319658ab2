// A graduated column filled from below; what a part is stands beside it, told by pattern.
import { html, svg } from "lit-html";
import { figure, isMultiple, linear, multiples, widthOf, wrapped } from "../draw/labels.js";
import "../draw/sized-box.js";
import { withUnit } from "../draw/words.js";

/** @import {Picture, TankPart} from "../contract.d.ts" */
/** @typedef {TankPart & {low: number, high: number}} Stacked */

const LEFT = 34;
const VALUE = 28;
const WORD = 20;
const SUB = 18;

/** The column's width, and where words begin. @param {number} width */
const across = (width) => (width < 340 ? { column: 64, text: 110 } : { column: 96, text: 146 });

/** @param {Picture} block */
export const picture = (block) =>
  html`<figure class="tank" role="img" aria-label=${block.sentence}>
    <sized-box .draw=${(/** @type {number} */ w, /** @type {number} */ h) => draw(block, w, h)}>
    </sized-box>
  </figure>`;

/** @param {Picture} block @param {number} width @param {number} height */
function draw(block, width, height) {
  const { column, text } = across(width);
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
    ${parts.map(({ pattern, low, high }) => svg`<rect class="part ${pattern}" x=${LEFT + 1.5}
      y=${y(high)} width=${column - 3} height=${Math.max(0, y(low) - y(high))} />`)}
    <rect class="wall" x=${LEFT + 1.5} y=${y(block.high)} width=${column - 3}
      height=${y(0) - y(block.high)} />
    ${multiples(0, block.high, block.major / 4).map((at) => tick(at, y, block))}
    ${beside(parts, y, LEFT + column, text, width, height)}`;
}

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
 *  @param {Stacked[]} parts @param {(v: number) => number} y @param {number} edge
 *  @param {number} text @param {number} width @param {number} height */
function beside(parts, y, edge, text, width, height) {
  const said = parts.map((part) => lines(part, width - text));
  const tall = said.map((each) => each.reduce((sum, { size }) => sum + size + 6, 4));
  const tops = parts.map((part, i) => (y(part.low) + y(part.high)) / 2 - (tall[i] ?? 0) / 2);
  for (let i = 0; i < tops.length; i++) {
    const below = i === 0 ? height : (tops[i - 1] ?? 0);
    tops[i] = Math.min(tops[i] ?? 0, below - (tall[i] ?? 0));
  }
  for (let i = tops.length - 1; i >= 0; i--) {
    const above = i === tops.length - 1 ? 0 : (tops[i + 1] ?? 0) + (tall[i + 1] ?? 0);
    tops[i] = Math.max(tops[i] ?? 0, above);
  }
  return parts.map((part, i) => {
    let at = tops[i] ?? 0;
    return svg`<path class="lead" d="M${edge} ${y((part.low + part.high) / 2)}
        L${text - 4} ${at + (tall[i] ?? 0) / 2}" />
      ${said[i]?.map(({ words, then, size, kind }) => svg`<text class=${kind} x=${text}
        y=${(at += size + 6) - 5}>${words}${then ? svg` <tspan class="t20 b">${then}</tspan>` : ""}</text>`)}`;
  });
}

/** A part's lines: the value with its word if both fit, then what it is.
 *  @param {TankPart} part @param {number} width */
function lines({ value, word, sub }, width) {
  const one = widthOf(value, VALUE, 800) + 8 + widthOf(word, WORD) <= width;
  const first = { words: value, then: one ? word : "", size: VALUE - 2, kind: "t22 bb" };
  const second = one ? [] : wrapped(word, WORD, width, 650);
  return [
    first,
    ...second.map((words) => ({ words, then: "", size: WORD - 2, kind: "t20 b" })),
    ...wrapped(sub, SUB, width).map((words) => ({ words, then: "", size: SUB - 2, kind: "t18" })),
  ];
}
