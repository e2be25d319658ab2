// What the core answered: figures with unit and interval, lists as rows, notes as lines.

import { html, nothing } from "lit-html";
import { WORDS, withUnit } from "../draw/words.js";
import { FIGURES } from "../draw/words/figures.js";
import { hintOf } from "./field.js";
import { partOf, saidOf, titleOf } from "./words.js";

/** @import {Schema} from "./form.js" */

const MOST_COLUMNS = 3;
/** Letters that a row of a table has room for at 320 px. */
const MOST_LETTERS = 28;
const DIGITS = 3;
const MOST_DECIMALS = 6;
const SHORT = 24; // letters of a cell that is set right
const ONE_LINE = 16; // letters of a figure that stands on one line with its unit
/** Items of a list that stand open; of a longer one each is folded. */
const OPEN_ITEMS = 3;

/** @param {unknown} value @returns {value is Record<string, any>} */
const isObject = (value) => typeof value === "object" && value !== null && !Array.isArray(value);

/** A number, with its unit, its interval, or the note that it is assumed. @param {unknown} value */
const isFigure = (value) =>
  isObject(value) && typeof value.value === "number" &&
  Object.keys(value).every((key) => ["value", "unit", "currency", "low", "high", "assumed"].includes(key));

/** What stands in one cell. @param {unknown} value @returns {boolean} */
const isPlain = (value) =>
  Array.isArray(value) ? value.every((each) => isPlain(each) && !Array.isArray(each))
    : !isObject(value) || isFigure(value);

/** How many decimals tell a figure: three digits, four after a leading 1, and of an interval two
 *  digits of its half. @param {number} value @param {number} [low] @param {number} [high] */
function decimalsOf(value, low, high) {
  const half = low === undefined || high === undefined ? 0 : (high - low) / 2;
  const size = Math.abs(half || value);
  if (size < 10 ** -MOST_DECIMALS) return half || !value ? 0 : MOST_DECIMALS;
  const first = Math.floor(Math.log10(size));
  const digits = half ? 2 : size / 10 ** first < 2 ? DIGITS + 1 : DIGITS;
  return Math.min(MOST_DECIMALS, Math.max(0, digits - 1 - first));
}

/** @param {number} value @param {number} decimals */
function rounded(value, decimals) {
  const text = value.toFixed(decimals);
  return Number(text) === 0 ? text.replace("-", "") : text.replace("-", "\u2212");
}

/** Decimals that all figures of a column can share: those of the largest that is no whole number.
 *  @param {unknown[]} values */
function sharedDecimals(values) {
  /** @type {any[]} */
  const figures = values.map((value) => (isFigure(value) ? value : { value }));
  const split = figures.filter(({ value, low, high }) =>
    typeof value === "number" && !(Number.isInteger(value) && low === undefined && high === undefined));
  const largest = split.toSorted((a, b) => Math.abs(b.value) - Math.abs(a.value))[0];
  return largest ? decimalsOf(largest.value, largest.low, largest.high) : 0;
}

/** @param {Record<string, any>} figure @param {number} decimals */
function figureCell({ value, unit, currency, low, high, assumed }, decimals) {
  const number = withUnit(rounded(value, decimals), unit ?? currency ?? "");
  const ends = [low, high].map((end) => (end === undefined ? FIGURES.open : rounded(end, decimals)));
  const whole = number.replaceAll(" ", "\u00a0");
  const said = whole.length > ONE_LINE ? whole.replace("\u00a0", " ") : whole;
  return html`<span class="figure">${said}</span>${assumed ? FIGURES.assumed : ""}${low === undefined && high === undefined
    ? nothing
    : html`<small>${FIGURES.between(ends[0] ?? "", ends[1] ?? "")}<span class="sure">${FIGURES.sureAfter}</span></small>`}`;
}

/** @param {any} value @param {number} [decimals] @returns {unknown} */
function cell(value, decimals = sharedDecimals([value].flat())) {
  if (isObject(value)) return figureCell(value, decimals);
  if (typeof value === "boolean") return value ? FIGURES.yes : FIGURES.no;
  if (typeof value === "number") return rounded(value, decimals);
  if (typeof value === "string") return value.includes("\n") ? html`<pre>${value}</pre>` : saidOf(value);
  if (!Array.isArray(value)) return FIGURES.none;
  if (value.length === 0) return FIGURES.none;
  return value.map((each, i) => html`${i ? html`<br />` : nothing}${cell(each, decimals)}`);
}

/** @param {unknown} value */
const isRight = (value) => typeof value === "number" || isFigure(value);

/** Beside its name, a short word stands where figures stand. @param {unknown} value */
const isShort = (value) => [value].flat().every((each) => typeof each !== "string" || each.length <= SHORT);

/** @param {string} key @param {Schema | undefined} schema */
const name = (key, schema) => {
  const hint = schema ? hintOf(schema) : "";
  return html`${titleOf(key, schema)}${hint ? html`<small>${hint}</small>` : nothing}`;
};

/** Without the codes that stand for words. @param {any} value */
function spoken(value) {
  if (!isObject(value) || !("words" in value || "message" in value)) return value;
  const { id: _, code: __, ...rest } = value;
  return rest;
}

/** Whether an interval stands in a column. @param {any} each */
const hasEnds = (each) => isFigure(each) && (each.low !== undefined || each.high !== undefined);

/** Letters of the longest word in a column: where no line can break.
 *  @param {any[]} cells */
function longestWord(cells) {
  const decimals = sharedDecimals(cells);
  const letters = (/** @type {any} */ each) =>
    isFigure(each) ? withUnit(rounded(each.value, decimals), each.unit ?? "").length
      : typeof each === "number" ? rounded(each, decimals).length
        : Math.max(...saidOf(String(each ?? "")).split(/[\s/-]+/).map((word) => word.length));
  return Math.max(0, ...cells.flat().map(letters));
}

/** Objects of the same few plain parts as the rows of one table: its heads, or nothing where the
 *  narrowest phone has no room for them.
 *  @param {any[]} items @param {string[]} names of the rows, where they have some
 *  @param {Schema | undefined} schema of one item */
function headsOf(items, names, schema) {
  if (items.length === 0 || !items.every((item) => isObject(item) && !isFigure(item))) return null;
  const heads = [...new Set(items.flatMap((item) => Object.keys(item)))];
  if (!items.every((item) => Object.values(item).every(isPlain))) return null;
  const columns = [names, ...heads.map((head) => [titleOf(head, partOf(schema, head)), ...items.map((item) => item[head])])];
  const letters = columns.reduce((sum, cells) => sum + longestWord(cells), 0);
  return columns.filter((cells) => cells.length).length <= MOST_COLUMNS && letters <= MOST_LETTERS ? heads : null;
}

/** @param {string} caption @param {string[]} heads @param {[string, any][]} items
 *  @param {boolean} named whether a row begins with its name
 *  @param {Schema | undefined} schema of one item */
function grid(caption, heads, items, named, schema) {
  const columns = heads.map((head) => items.map(([, item]) => item[head]));
  const decimals = columns.map(sharedDecimals);
  const right = columns.map((cells) => cells.every((each) => each === undefined || isRight(each)));
  const side = (/** @type {number} */ i) => (right[i] ? "right" : "");
  return html`<table class="grid">
    <caption>${caption}</caption>
    <thead><tr>
      ${named ? html`<td></td>` : nothing}
      ${heads.map((head, i) => html`<th scope="col" class=${side(i)}>${titleOf(head, partOf(schema, head))}${
        columns[i]?.some(hasEnds) ? html`<small>${FIGURES.sure}</small>` : nothing}</th>`)}
    </tr></thead>
    <tbody>${items.map(([key, item]) => html`<tr>
      ${named ? html`<th scope="row">${key}</th>` : nothing}
      ${heads.map((head, i) => html`<td class=${side(i)}>
        ${item[head] === undefined ? "" : cell(item[head], decimals[i])}</td>`)}
    </tr>`)}</tbody>
  </table>`;
}

/** An answer or a part of it: first what stands in one cell, then the rest under headings.
 *  @param {Record<string, any>} value @param {Schema | undefined} schema @param {string} caption
 *  @returns {unknown} */
export function answer(value, schema, caption) {
  const parts = Object.entries(value).filter(([, each]) => each !== "");
  const plain = parts.filter(([, each]) => isPlain(each));
  const rest = parts.filter(([, each]) => !isPlain(each));
  return html`${plain.length
      ? html`<table>
          ${caption ? html`<caption>${caption}</caption>` : nothing}
          <tbody>${plain.map(([key, each]) => html`<tr>
            <th scope="row">${name(key, partOf(schema, key))}</th>
            <td class=${isShort(each) ? "right" : ""}>${cell(each)}</td>
          </tr>`)}</tbody>
        </table>`
      : nothing}
    ${rest.map(([key, each]) => {
      const part = partOf(schema, key);
      return deeper(each, part, titleOf(key, part));
    })}`;
}

/** @param {any} value @param {Schema | undefined} schema @param {string} caption
 *  @returns {unknown} */
function deeper(value, schema, caption) {
  if (Array.isArray(value)) return items(value.map(spoken), schema?.items, caption);
  const keys = Object.keys(value);
  const one = partOf(schema, keys[0] ?? "");
  /** @type {[string, any][]} */
  const rows = keys.map((key) => [titleOf(key, partOf(schema, key)), spoken(value[key])]);
  const heads = headsOf(rows.map(([, each]) => each), rows.map(([title]) => title), one);
  return heads ? grid(caption, heads, rows, true, one) : answer(value, schema, caption);
}

/** @param {Record<string, any>} item whose words stand over it */
const withoutWords = ({ words: _, ...rest }) => rest;

/** A list: rows of one table where they are short, else one table each, folded if they are many.
 *  @param {any[]} value @param {Schema | undefined} schema @param {string} caption */
function items(value, schema, caption) {
  const heads = headsOf(value, [], schema);
  if (heads) return grid(caption, heads, value.map((each) => ["", each]), false, schema);
  const named = value.map((each, i) => ({ each, said: saidOf(String(each.words ?? each.id ?? `${caption} ${i + 1}`)) }));
  if (value.length <= OPEN_ITEMS)
    return named.map(({ each, said }) => answer(withoutWords(each), schema, WORDS.about(caption, said)));
  return html`<h3 class="part">${caption}</h3>
    ${named.map(({ each, said }) => html`<details class="figure-group">
      <summary class="key second"><span>${said}</span>
        ${each.probability === undefined ? nothing : html`<b>${cell(each.probability)}</b>`}</summary>
      ${answer(withoutWords(each), schema, "")}
    </details>`)}`;
}
