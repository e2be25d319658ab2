// A straight graduated edge with wedges on it: filled for now, open for before.
import { html, nothing, svg } from "lit-html";
import { besideMarks, centred, figure, isMultiple, linear, multiples, widthOf } from "../draw/labels.js";
import "../draw/sized-box.js";

/** @import {Scale, ScaleMark} from "../contract.d.ts" */

const LABEL = 17;
const HALF = 10;
const ROW = 22;

/** @param {Scale} block */
export const scale = (block) =>
  html`<div class="scale" role="img" aria-label=${block.sentence}>
    <sized-box .draw=${(/** @type {number} */ w, /** @type {number} */ h) => draw(block, w, h)}>
    </sized-box>
  </div>`;

/** @param {Scale} block @param {number} width @param {number} height */
function draw(block, width, height) {
  const { low, high, major, minor, unit, limit, marks } = block;
  const x = linear(low, high, 12, width - 12 - (unit ? widthOf(unit, LABEL) : 0));
  const y = height - 50;
  /** @type {[number, number][]} */
  const blocked = [];
  const limitX = limit ? x(limit.at) : 0;
  const left = limit ? isFree(limit.words, limitX, marks.map((mark) => x(mark.at))) : true;
  if (limit) {
    const long = 8 + widthOf(limit.words, LABEL);
    blocked.push(left ? [limitX - long, limitX + 4] : [limitX - 4, limitX + long]);
  }
  const words = besideMarks(
    marks.map((mark) => ({ at: x(mark.at), words: mark.words })), width, LABEL, HALF, blocked);
  return svg`
    <path class="axis" d="M0 ${y}H${width}" />
    ${multiples(low, high, minor).map((at) => tick(x(at), y, at, block))}
    ${limit
      ? svg`<path class="limit" d="M${limitX} ${y - 24}V${y + 26}" />
          <text class="t17 b" x=${left ? limitX - 8 : limitX + 8} y=${y - 8}
            text-anchor=${left ? "end" : "start"}>${limit.words}</text>`
      : nothing}
    ${labels(block, x, y, width, unit)}
    ${marks.map((mark) => wedge(mark, x, y))}
    ${words.map((w) => svg`<text class="t17 b" x=${w.x} y=${y - 8 - w.row * ROW}
      text-anchor=${w.anchor}>${w.words}</text>`)}`;
}

/** Whether the limit's words fit left of it, clear of the wedges.
 *  @param {string} words @param {number} limit @param {number[]} wedges */
function isFree(words, limit, wedges) {
  const from = limit - 8 - widthOf(words, LABEL);
  return from >= 0 && wedges.every((at) => at + HALF < from || at - HALF > limit);
}

/** @param {number} x @param {number} y @param {number} at @param {Scale} block */
function tick(x, y, at, { major, minor }) {
  const half = major / minor >= 10 && isMultiple(at, major / 2);
  const long = isMultiple(at, major) ? 20 : half ? 15 : 10;
  return svg`<path class=${long === 20 ? "tick long" : "tick"} d="M${x} ${y}v${long}" />`;
}

/** Figures at the long ticks, the limit's first; the unit once, at the end.
 *  @param {Scale} block @param {(v: number) => number} x @param {number} y
 *  @param {number} width @param {string} unit */
function labels({ low, high, major, limit }, x, y, width, unit) {
  const all = multiples(low, high, major);
  const end = all.at(-1) ?? high;
  const order = [...(limit ? [limit.at] : []), end, ...all.filter((at) => at !== end)];
  const unique = order.filter((at, i) => order.indexOf(at) === i);
  const placed = centred(unique.map((at) => ({ at: x(at), words: figure(at) })), width, LABEL);
  const bold = limit ? figure(limit.at) : null;
  const after = x(end) + widthOf(figure(end), LABEL) / 2 + 5;
  return svg`${placed.map((w) => svg`<text class=${w.words === bold ? "t19 bb" : "t17"} x=${w.x}
    y=${y + 40} text-anchor="middle">${w.words}</text>`)}
    <text class="t17" x=${after} y=${y + 40}>${unit}</text>`;
}

/** @param {ScaleMark} mark @param {(v: number) => number} x @param {number} y */
function wedge({ at, filled, from, to }, x, y) {
  const cx = x(at);
  const bar = from !== undefined && to !== undefined
    ? svg`<path class="bar" d="M${x(from)} ${y - 6}H${x(to)}" />` : nothing;
  const d = filled
    ? `M${cx - 10} ${y - 26}h20v14L${cx} ${y}L${cx - 10} ${y - 12}z`
    : `M${cx - 8.5} ${y - 24}h17v11L${cx} ${y - 2}L${cx - 8.5} ${y - 13}z`;
  return svg`${bar}<path class=${filled ? "wedge" : "wedge open"} d=${d} />`;
}
