// The rule of leak classes: logarithmic, ticks and words, no shading.
import { nothing, svg } from "lit-html";
import { centred, figure, widthOf } from "../draw/labels.js";
import { WORDS } from "../draw/words.js";

/** @import {ClassRule} from "../contract.d.ts" */
/** @typedef {(value: number) => number} Map */

const LABEL = 17;
/** The axis' height in the box; the plate's foot hangs in from 0. */
const Y = 52;
const OUTLINED = ["seeping", "seeping_or_leaking"];

/** @param {ClassRule} rule @param {Map} x @param {number} width @param {string} kind */
export function drawRule(rule, x, width, kind) {
  const { limits, words, owner, hides_below, span, low, high } = rule;
  const edges = [low, ...limits, high];
  const at = (/** @type {number} */ i) => x(edges[i] ?? high);
  const owned = owner === null ? [] : [{ at: x(owner), words: WORDS.ownerAt(short(owner)) }];
  const names = centred(limits.map((v) => ({ at: x(v), words: short(v) })), width, LABEL);
  const taken = names.map((w) => reach(w.x, w.words));
  const beside = centred(owned, width, LABEL, taken);
  const row = owned.length > beside.length ? 1 : 0;
  const below = row ? centred(owned, width, LABEL) : beside;
  return svg`
    <path class="axis" d="M0 ${Y}H${width}" />
    ${decades(low, high).map((v) => svg`<path class="tick"
      d="M${x(v)} ${Y}v${/^1e|^10*$|^0\.0*1$/.test(String(v)) ? 12 : 8}" />`)}
    ${limits.map((v) => svg`<path class="limit" d="M${x(v)} ${Y}v22" />`)}
    ${hides_below === null ? nothing : hiding(hides_below, x, width)}
    ${span && kind !== "no_leak_found" && kind !== "tight" ? interval(span, x) : nothing}
    ${owner === null ? nothing
      : svg`<path class="wedge open" d="M${x(owner)} ${Y + 4}l7.5 13h-15z" />`}
    ${names.map((w) => label(w.x, Y + 40, w.words, "b"))}
    ${below.map((w) => label(w.x, Y + 40 + row * 21, w.words, "b"))}
    ${words.map((word, i) => label(inside((at(i) + at(i + 1)) / 2, word, width),
      Y + 61 + row * 21, word, ""))}
    ${label(width / 2, Y + 82 + row * 21, rule.under, "quiet")}`;
}

/** To two figures, as a limit is meant in any unit: 0.3 L/1000 km are 0.51 qt/1000 mi.
 *  @param {number} value */
export const short = (value) => figure(Number(value.toPrecision(2)));

/** @param {number} x @param {number} y @param {string} words @param {string} kind */
const label = (x, y, words, kind) =>
  svg`<text class="t17 ${kind}" x=${x} y=${y} text-anchor="middle">${words}</text>`;

/** @param {number} x @param {string} words @returns {[number, number]} */
function reach(x, words) {
  const half = widthOf(words, LABEL) / 2;
  return [x - half, x + half];
}

/** @param {number} x @param {string} words @param {number} width */
function inside(x, words, width) {
  const half = widthOf(words, LABEL) / 2;
  return Math.min(width - half, Math.max(half, x));
}

/** 1 to 9 of each decade within the rule. @param {number} low @param {number} high */
function decades(low, high) {
  const first = Math.floor(Math.log10(low));
  const last = Math.ceil(Math.log10(high));
  return Array.from({ length: last - first }, (_, d) =>
    Array.from({ length: 9 }, (_, i) => Number(((i + 1) * 10 ** (first + d)).toPrecision(3))),
  ).flat().filter((v) => v >= low && v <= high);
}

/** Below here a leak can hide: hatched up to a bracket. @param {number} below @param {Map} x
 *  @param {number} width */
function hiding(below, x, width) {
  const end = x(below);
  const bars = Math.max(0, Math.floor((end - 16) / 14));
  const long = widthOf(WORDS.noneAbove, LABEL);
  const sure = end + 10 + long <= width;
  const higher = !sure && widthOf(WORDS.hides, LABEL) + 12 > width - long;
  return svg`${Array.from({ length: bars }, (_, i) =>
      svg`<path class="hatch" d="M${6 + i * 14} ${Y - 3}l13 -13" />`)}
    <path class="bracket" d="M${end - 10} ${Y - 20}h8v20" />
    <text class="t17 b" x="4" y=${Y - 25}>${WORDS.hides}</text>
    <text class="t17 b" x=${sure ? end + 8 : width} y=${sure ? Y - 8 : higher ? Y - 45 : Y - 25}
      text-anchor=${sure ? "start" : "end"}>${WORDS.noneAbove}</text>`;
}

/** The 95 % interval, across the line. @param {number[]} span @param {Map} x */
function interval([from = 0, to = 0], x) {
  const [a, b] = [x(from), x(to)];
  return svg`<path class="span" d="M${a} ${Y}H${b}" />
    <path class="span end" d="M${a} ${Y - 10}v20M${b} ${Y - 10}v20" />`;
}

/** What hangs from the plate onto the rule: a tip at the figure, or a foot as wide as the
 *  interval. @param {string} kind @param {ClassRule} rule @param {Map} x */
export function plateFoot(kind, { tip, span }, x) {
  if (kind.includes("_or_") && span) {
    const [from = 0, to = 0] = span;
    return svg`<rect class="foot" x=${x(from)} y="-1" width=${Math.max(8, x(to) - x(from))} height="24" />`;
  }
  if (!["seeping", "leaking", "gross"].includes(kind) || tip === null) return nothing;
  const at = x(tip);
  return OUTLINED.includes(kind)
    ? svg`<path class="through" d="M${at - 26} -6h52L${at} 20z" />
        <path class="tip" d="M${at - 26} -2.5L${at} 22L${at + 26} -2.5" />`
    : svg`<path class="foot" d="M${at - 26} -1h52L${at} 26z" />`;
}
