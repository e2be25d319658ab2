// Readings over time: squares, the fit and its band, the limit's line, the slot of the next one.
import { html, nothing, svg } from "lit-html";
import { figure, linear, multiples, widthOf } from "../draw/labels.js";
import "../draw/sized-box.js";
import { WORDS, withUnit } from "../draw/words.js";

/** @import {Plot} from "../contract.d.ts" */
/** @typedef {(value: number) => number} Map */

const AXIS = 16;

/** @param {Plot} block */
export const plot = (block) =>
  html`<figure class="plot" role="img" aria-label=${block.sentence}>
    <sized-box .draw=${(/** @type {number} */ w, /** @type {number} */ h) => draw(block, w, h)}>
    </sized-box>
  </figure>`;

/** @param {Plot} block @param {number} width @param {number} height */
function draw(block, width, height) {
  const widest = Math.max(...block.y.labels.map((at) => widthOf(figure(at), AXIS)), 0);
  const left = Math.ceil(widest) + 12;
  const right = width - 8;
  const foot = height - 34;
  const x = linear(block.x.low, block.x.high, left, right);
  const y = linear(block.y.low, block.y.high, foot, 8);
  return svg`
    <defs>
      <pattern id="hatch" width="8" height="8" patternUnits="userSpaceOnUse">
        <path class="hatch" d="M-1 9L9 -1M-1 1L1 -1M7 9L9 7" />
      </pattern>
      <clipPath id="inside"><rect x=${left} y="0" width=${right - left} height=${foot} /></clipPath>
    </defs>
    <rect class="paper" x=${left} y="0" width=${right - left} height=${foot} />
    <g clip-path="url(#inside)">${band(block, x, y)}${line(block, x, y)}</g>
    ${block.marks.map((mark) => happened(mark, x, foot, right))}
    ${limit(block, x, y, right, foot)}
    ${axes(block, x, y, left, right, foot)}
    ${slot(block, x, foot, right)}
    ${words(block, x, y, left, right, foot)}
    ${block.points.map((point) => reading(point, x, y))}`;
}

/** @param {Plot} block @param {Map} x @param {Map} y */
function band({ fit }, x, y) {
  if (fit.length < 2) return nothing;
  const edge = (/** @type {number} */ i) => fit.map((p) => `${x(p[0] ?? 0)},${y(p[i] ?? 0)}`);
  const low = edge(2);
  const high = edge(3);
  return svg`<polygon class="band" points=${[...low, ...high.toReversed()].join(" ")} />
    <polyline class="edge" points=${low.join(" ")} />
    <polyline class="edge" points=${high.join(" ")} />`;
}

/** The fit: solid up to now, dotted ahead. @param {Plot} block @param {Map} x @param {Map} y */
function line({ fit, now }, x, y) {
  const points = fit.map((p) => [p[0] ?? 0, p[1] ?? 0]);
  const after = points.findIndex((p) => (p[0] ?? 0) > now);
  const before = after < 0 ? points : points.slice(0, after);
  const ahead = after < 0 ? [] : points.slice(after);
  const [a, b] = [before.at(-1), ahead[0]];
  if (a && b) {
    const share = (now - (a[0] ?? 0)) / ((b[0] ?? 0) - (a[0] ?? 0));
    const here = [now, (a[1] ?? 0) + share * ((b[1] ?? 0) - (a[1] ?? 0))];
    before.push(here);
    ahead.unshift(here);
  }
  const path = (/** @type {number[][]} */ ps) =>
    ps.map((p) => `${x(p[0] ?? 0)},${y(p[1] ?? 0)}`).join(" ");
  return svg`<polyline class="fit" points=${path(before)} />
    <polyline class="fit ahead" points=${path(ahead)} />`;
}

/** The line of a leak that matters, its words along it.
 *  @param {Plot} block @param {Map} x @param {Map} y @param {number} right @param {number} foot */
function limit({ limit }, x, y, right, foot) {
  if (!limit || limit.line.length < 2) return nothing;
  const points = limit.line.map((p) => [x(p[0] ?? 0), y(p[1] ?? 0)]);
  const [x1 = 0, y1 = 0] = points[0] ?? [];
  const [x2 = 0, y2 = 0] = points.at(-1) ?? [];
  const slope = (y2 - y1) / (x2 - x1 || 1);
  const at = Math.min(right - 2, x2);
  const height = y1 + slope * (at - x1);
  const turn = (Math.atan(slope) * 180) / Math.PI;
  const above = Math.min(height, height - slope * widthOf(limit.words, AXIS)) > 14;
  return svg`<g clip-path="url(#inside)">
      <polyline class="leak" points=${points.map((p) => p.join()).join(" ")} /></g>
    ${height < foot
      ? svg`<text class="t16 b" x=${at} y=${height + (above ? -9 : 20)} text-anchor="end"
          transform="rotate(${turn} ${at} ${height})">${limit.words}</text>`
      : nothing}`;
}

/** @param {Plot} block @param {Map} x @param {Map} y @param {number} left @param {number} right
 *  @param {number} foot */
function axes(block, x, y, left, right, foot) {
  const { labels, low, high, minor, unit } = block.x;
  const end = labels.at(-1);
  return svg`<path class="axis" d="M${left} 0V${foot}H${right}" />
    ${block.y.labels.map(
      (at) => svg`<path class="axis" d="M${left} ${y(at)}h-8" />
        <text class="t16 b" x=${left - 11} y=${y(at) + 5.5} text-anchor="end">${figure(at)}</text>`,
    )}
    ${multiples(low, high, minor).map((at) => {
      const long = labels.some((label) => Math.abs(label - at) < minor * 1e-6);
      return svg`<path class=${long ? "axis" : "tick"} d="M${x(at)} ${foot}v${long ? 9 : 5}" />`;
    })}
    ${labels.map((at) =>
      at === end
        ? svg`<text class="t16 b" x=${Math.min(right, x(at) + 22)} y=${foot + 28}
            text-anchor="end">${withUnit(figure(at), unit)}</text>`
        : svg`<text class="t16 b" x=${x(at)} y=${foot + 28} text-anchor="middle">${figure(at)}</text>`,
    )}`;
}

/** @param {Plot["points"][number]} point @param {Map} x @param {Map} y */
function reading({ x: at, y: value, kind }, x, y) {
  const [cx, cy] = [x(at), y(value)];
  if (kind === "suspect")
    return svg`<path class="suspect" d="M${cx - 5} ${cy - 5}h10v10h-10zM${cx - 8} ${cy + 8}l16-16" />`;
  return svg`<rect class="read" x=${cx - 5.25} y=${cy - 5.25} width="10.5" height="10.5" />`;
}

/** @param {Plot} block @param {Map} x @param {number} foot @param {number} right */
function slot({ next, x: { low, high } }, x, foot, right) {
  if (next === null || next < low || next > high) return nothing;
  const at = x(next);
  const free = at + 12 + widthOf(WORDS.next, AXIS) < right;
  return svg`<path class="slot" d="M${at - 5} ${foot - 1}v-17h10v17" />
    <text class="t16 b" x=${free ? at + 12 : at - 12} y=${foot - 7}
      text-anchor=${free ? "start" : "end"}>${WORDS.next}</text>`;
}

/** Pumped, drew off, bumped. @param {Plot["marks"][number]} mark @param {Map} x
 *  @param {number} foot @param {number} right */
function happened({ x: at, words }, x, foot, right) {
  const free = x(at) + 5 + widthOf(words, AXIS) < right;
  return svg`<path class="happened" d="M${x(at)} 0V${foot}" />
    <text class="t16 b" x=${free ? x(at) + 5 : x(at) - 5} y=${foot - 28}
      text-anchor=${free ? "start" : "end"}>${words}</text>`;
}

/** What the fit is, in the first corner where nothing else stands.
 *  @param {Plot} block @param {Map} x @param {Map} y @param {number} left @param {number} right
 *  @param {number} foot */
function words(block, x, y, left, right, foot) {
  const long = widthOf(block.words, AXIS);
  const taken = standing(block, x, y, foot);
  const corners = [foot - 8, 24].flatMap((base) => [
    { from: left + 10, base },
    { from: right - 10 - long, base },
  ]);
  const free = corners.find(({ from, base }) =>
    taken.every(([px, py]) => px < from - 8 || px > from + long + 8 || py < base - 20 || py > base + 8));
  if (!free) return nothing; // better unsaid than on top of a reading; the label above says 95 %
  const { from, base } = free;
  return svg`<text class="t16 b said" x=${from} y=${base}>${block.words}</text>`;
}

/** Points that words must not lie on: readings, the slot and its word, the limit and its words.
 *  @param {Plot} block @param {Map} x @param {Map} y @param {number} foot
 *  @returns {[number, number][]} */
function standing({ points, next, limit, marks }, x, y, foot) {
  /** @type {[number, number][]} */
  const found = points.map((point) => [x(point.x), y(point.y)]);
  if (next !== null) for (let i = 0; i <= 6; i++) found.push([x(next) + 8 * i, foot - 8]);
  for (const mark of marks) found.push([x(mark.x), 24], [x(mark.x), foot - 8]);
  const [a, b] = [limit?.line[0], limit?.line.at(-1)];
  if (!a || !b) return found;
  for (let i = 0; i <= 20; i++) {
    const at = (/** @type {number} */ j) => (a[j] ?? 0) + (i / 20) * ((b[j] ?? 0) - (a[j] ?? 0));
    found.push([x(at(0)), y(at(1))], [x(at(0)), y(at(1)) - 14]);
  }
  return found;
}
