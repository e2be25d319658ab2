// What is typed for one figure, and the question that it makes: read by the operation's schema.

import { FIGURES } from "../draw/words/figures.js";

/** @typedef {object} Schema The part of JSON Schema that the core's operations use.
 *  @property {string} [type]
 *  @property {string} [title]
 *  @property {string} [description]
 *  @property {string} [x-absent] what is taken where it is left out
 *  @property {boolean} [x-interval] whether a low and a high beside the value are read
 *  @property {string} [x-default-unit] the unit that a form begins with
 *  @property {string} [x-names] the table of names for its ids
 *  @property {string} [x-answers] the key beside it whose question it answers
 *  @property {boolean} [x-share] a chance
 *  @property {Record<string, Schema>} [properties]
 *  @property {Schema | boolean} [additionalProperties]
 *  @property {string[]} [required]
 *  @property {Schema} [items]
 *  @property {string[]} [enum]
 *  @property {string[]} [x-enum-titles] the words of its ids, in their order
 *  @property {Schema[]} [anyOf]
 *  @property {number} [minimum]
 *  @property {number} [exclusiveMinimum]
 *  @property {number} [maximum]
 *  @property {number} [minItems]
 *  @property {number} [maxItems]
 *  @property {number} [maxLength] */

/** @typedef {object} Words What ids are called: `tables` by the name that a schema gives them,
 *  `answers` those of each question, `units` those of a question that a figure answers as well.
 *  @property {Record<string, Record<string, string>>} tables
 *  @property {Record<string, Record<string, string>>} answers
 *  @property {Record<string, string[]>} units */

/** @typedef {{name: string, title: string, room: string, help: string, input: Schema, output: Schema, sample: any,
 *  words: Words | null}} Figure */
/** @import {Refused} from "../contract.d.ts" */

/** A number as the core reads one that a hand typed (`quantity.parse`). */
const NUMBER = /^[+-]?(\d{1,12}([.,]\d{0,9})?|[.,]\d{1,9})$/;

/** @param {Schema} schema */
export function kindOf(schema) {
  if (schema.anyOf) return "either";
  if (schema.enum || schema.type === "boolean") return "choice";
  if (schema.type === "array") return "rows";
  if (schema.properties?.unit) return "quantity";
  if (schema.type === "object") return "group";
  return schema.type === "string" ? "text" : "number";
}

/** @param {string} path @param {string} key */
export const join = (path, key) => (path ? `${path}.${key}` : key);

/** @param {Schema} schema @returns {[string, Schema, boolean][]} key, schema, needed; needed first */
export function partsOf({ properties = {}, required = [] }) {
  const all = Object.entries(properties);
  const needed = (/** @type {string} */ key) => required.includes(key);
  return [...all.filter(([key]) => needed(key)), ...all.filter(([key]) => !needed(key))].map(
    ([key, schema]) => [key, schema, needed(key)],
  );
}

/** The range that a schema gives a number. @param {Schema} schema */
export function boundsOf({ minimum, exclusiveMinimum, maximum }) {
  const low = minimum ?? exclusiveMinimum;
  const high = maximum === undefined || maximum >= 1e12 ? undefined : maximum;
  const above = minimum === undefined;
  if (low === undefined) return high === undefined ? "" : FIGURES.notAbove(high);
  if (high === undefined) return above ? FIGURES.above(low) : FIGURES.notBelow(low);
  return above ? FIGURES.aboveUpTo(low, high) : FIGURES.between(String(low), String(high));
}

/** The value at a path such as `readings[3].pressure`. @param {any} value @param {string} path */
export const at = (value, path) =>
  path.split(/[.[\]]+/).filter(Boolean).reduce((inner, key) => inner?.[key], value);

/** A path without its last step. @param {string} path */
const above = (path) => path.replace(/(^|\.)[^.[\]]+$|\[\d+\]$/, "");

export class Form {
  /** What stands in each field, by its path; a list's count of rows by its path and "#".
   *  @type {Map<string, string>} */
  draft = new Map();
  /** What was typed before the example came in. @type {Map<string, string> | null} */
  own = null;
  /** What the core answered. @type {Record<string, any> | null} */
  answer = null;
  /** Words at the fields that were refused. @type {Map<string, string>} */
  troubles = new Map();
  /** Words of a refusal that names no field. */
  trouble = "";
  busy = false;
  /** Groups that were opened. @type {Set<string>} */
  opened = new Set();

  /** @param {Figure} figure */
  constructor(figure) {
    this.figure = figure;
  }

  /** The same figure in other units: an example that stands there is shown in them.
   *  @param {Figure} figure */
  renew(figure) {
    this.figure = figure;
    if (this.own) this.showExample();
  }

  /** @param {string} path */
  text(path) {
    return this.draft.get(path) ?? "";
  }

  /** Whether an answer or a refusal stood, that this makes old. @param {string} path
   *  @param {string} text */
  type(path, text) {
    this.draft.set(path, text);
    return this.#outdate();
  }

  #outdate() {
    const stood = this.answer !== null || this.troubles.size > 0 || this.trouble !== "";
    this.answer = null;
    this.troubles.clear();
    this.trouble = "";
    return stood;
  }

  /** A field and all below it are empty again. @param {string} path */
  clear(path) {
    for (const key of [...this.draft.keys()]) if (key.startsWith(`${path}.`)) this.draft.delete(key);
  }

  /** How many rows a list shows. @param {Schema} schema @param {string} path
   *  @param {boolean} needed */
  count(schema, path, needed) {
    return Number(this.draft.get(`${path}#`) ?? (needed ? Math.max(1, schema.minItems ?? 1) : 0));
  }

  /** @param {string} path @param {number} count */
  setCount(path, count) {
    this.draft.set(`${path}#`, String(count));
    for (const key of [...this.draft.keys()])
      if (key.startsWith(`${path}[${count}]`)) this.draft.delete(key);
    this.#outdate();
  }

  /** Whether anything is typed at a path or below it. @param {string} path */
  typed(path) {
    const below = [...this.draft].filter(([key]) => key.startsWith(`${path}.`) || key.startsWith(`${path}[`));
    return this.text(path) !== "" || below.some(([key, text]) => text !== "" && !/(\.unit|#)$/.test(key));
  }

  /** Whether words of a refusal stand at a path or below it. @param {string} path */
  refusedBelow(path) {
    return [...this.troubles.keys()].some((key) => key.startsWith(path));
  }

  /** Put the sample in; what was typed is kept aside. */
  showExample() {
    this.#outdate();
    this.own ??= this.draft;
    this.draft = new Map();
    this.#fill(this.figure.input, this.figure.sample, "");
  }

  /** What was typed before the example stands again. */
  putAway() {
    this.#outdate();
    this.draft = this.own ?? new Map();
    this.own = null;
  }

  /** @param {Schema} schema @param {any} value @param {string} path */
  #fill(schema, value, path) {
    if (value === undefined) return;
    if (kindOf(schema) === "either" && typeof value !== "object") this.draft.set(`${path}.value`, String(value));
    else if (Array.isArray(value)) {
      this.draft.set(`${path}#`, String(value.length));
      value.forEach((each, i) => this.#fill(schema.items ?? {}, each, `${path}[${i}]`));
    } else if (typeof value === "object") {
      for (const key of Object.keys(value))
        this.#fill(schema.properties?.[key] ?? {}, value[key], join(path, key));
    } else this.draft.set(path, String(value));
  }

  /** The question, as far as it can be read; what is wrong stands in `troubles`. */
  question() {
    this.#outdate();
    return this.#read(this.figure.input, "", true) ?? {};
  }

  /** @param {Schema} schema @param {string} path @param {boolean} needed @returns {any} */
  #read(schema, path, needed) {
    const kind = kindOf(schema);
    if (kind === "rows") return this.#rows(schema, path, needed);
    if (kind === "group") return this.#group(schema, path, needed);
    if (kind === "quantity") return this.#quantity(path, needed);
    if (kind === "either" && this.text(`${path}.unit`)) return this.#quantity(path, needed);
    const text = this.text(kind === "either" ? `${path}.value` : path).trim();
    if (text === "") return this.#missing(path, needed);
    if (kind === "number") return this.#number(text, path);
    return schema.type === "boolean" ? text === "true" : text;
  }

  /** @param {Schema} schema @param {string} path @param {boolean} needed */
  #group(schema, path, needed) {
    if (!needed && !this.typed(path)) return undefined;
    const read = partsOf(schema).map(([key, each, must]) => [key, this.#read(each, join(path, key), must)]);
    return Object.fromEntries(read.filter(([, value]) => value !== undefined));
  }

  /** Empty rows at the end are none. @param {Schema} schema @param {string} path
   *  @param {boolean} needed */
  #rows(schema, path, needed) {
    let count = this.count(schema, path, needed);
    while (count > 0 && !this.typed(`${path}[${count - 1}]`)) count -= 1;
    if (count === 0) return needed && schema.minItems ? this.#missing(path, true) : needed ? [] : undefined;
    return Array.from({ length: count }, (_, i) => this.#read(schema.items ?? {}, `${path}[${i}]`, true));
  }

  /** @param {string} path @param {boolean} needed */
  #quantity(path, needed) {
    const texts = ["value", "low", "high"].map((key) => [key, this.text(`${path}.${key}`).trim()]);
    if (texts.every(([, text]) => text === "")) return this.#missing(path, needed);
    if (texts[0]?.[1] === "") return this.#missing(path, true);
    const typed = texts.filter(([, text]) => text !== "");
    const numbers = typed.map(([key, text]) => [key, this.#number(text ?? "", path)]);
    return { ...Object.fromEntries(numbers), unit: this.text(`${path}.unit`) };
  }

  /** @param {string} text @param {string} path */
  #number(text, path) {
    const plain = text.replace("\u2212", "-");
    if (NUMBER.test(plain)) return Number(plain.replace(",", "."));
    this.troubles.set(path, FIGURES.notANumber);
    return undefined;
  }

  /** @param {string} path @param {boolean} needed */
  #missing(path, needed) {
    if (needed) this.troubles.set(path, FIGURES.notTypedYet);
    return undefined;
  }

  /** The core refused: its words go beside the field that it names. @param {Refused} error */
  refuse({ code, message, path, accepted }) {
    let place = path;
    while (place && !this.#schemaAt(place)) place = above(place);
    const schema = this.#schemaAt(place);
    const bounds = schema ? boundsOf(schema) : "";
    let words = message;
    if (code === "bad_input" && bounds) words = FIGURES.acceptedIs(bounds);
    else if (accepted && !message.includes(accepted)) words = `${message} ${FIGURES.acceptedIs(accepted)}`;
    const said = words.charAt(0).toUpperCase() + words.slice(1);
    if (place) this.troubles.set(place, said);
    else this.trouble = said;
  }

  /** The schema of a field, a group or a list. @param {string} path @returns {Schema | undefined} */
  #schemaAt(path) {
    const keys = path.split(/[.[\]]+/).filter(Boolean);
    const inner = (/** @type {Schema | undefined} */ schema, /** @type {string} */ key) =>
      /^\d+$/.test(key) ? schema?.items
        : schema && kindOf(schema) !== "quantity" ? schema.properties?.[key] : undefined;
    return keys.reduce(inner, /** @type {Schema | undefined} */ (this.figure.input));
  }
}
