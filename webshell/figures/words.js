// What the parts of an operation are called: by the titles of its schema.

import { FIGURES } from "../draw/words/figures.js";

/** @import {Schema, Words} from "./form.js" */

/** A word of the core as people write it. @param {string} word "not_measured" -> "not measured" */
export const saidOf = (word) => word.replaceAll("_", " ");

/** The title of a part; a key that the schema leaves open is read off itself.
 *  @param {string} key @param {Schema | undefined} schema */
export function titleOf(key, schema) {
  if (schema?.title) return schema.title;
  const words = saidOf(key);
  return words.charAt(0).toUpperCase() + words.slice(1);
}

/** The schema of a part; one for all where the keys are left open.
 *  @param {Schema | undefined} schema @param {string} key @returns {Schema | undefined} */
export function partOf(schema, key) {
  const open = schema?.additionalProperties;
  return schema?.properties?.[key] ?? (typeof open === "object" ? open : undefined);
}

/** The words of an id of an enum. @param {Schema} schema @param {string} id */
export const optionOf = (schema, id) => schema["x-enum-titles"]?.[schema.enum?.indexOf(id) ?? -1] || saidOf(id);

/** The names of the ids that stand at a place, where they have some.
 *  @param {Words | null} words @param {Schema | undefined} schema */
export const namesOf = (words, schema) => words?.tables[schema?.["x-names"] ?? ""];

/** @param {number} share */
const percent = (share) =>
  share < 0.01 ? FIGURES.least : share > 0.99 ? FIGURES.most : FIGURES.share(Math.round(100 * share));

/** An answer with names for its ids, and chances in %; of a reason, whose answer is told in words,
 *  not twice, and as the question's own choice says it: in the reader's units.
 *  @param {any} value @param {Words | null} words @param {Schema | undefined} schema @returns {any} */
export function named(value, words, schema) {
  if (Array.isArray(value)) return value.map((each) => named(each, words, schema?.items));
  if (typeof value === "string")
    return schema?.enum ? optionOf(schema, value) : namesOf(words, schema)?.[value] ?? value;
  if (typeof value === "number" && schema?.["x-share"]) return percent(value);
  if (typeof value !== "object" || value === null) return value;
  const answerOf = (/** @type {string} */ key) =>
    words?.answers[value[partOf(schema, key)?.["x-answers"] ?? ""]]?.[value[key]];
  const said = Object.keys(value).map(answerOf).find(Boolean);
  return Object.fromEntries(Object.entries(value).flatMap(([key, each]) => {
    if (said && key === "words") return [[key, said]];
    if (answerOf(key)) return "words" in value ? [] : [[key, said]];
    return [[key, named(each, words, partOf(schema, key))]];
  }));
}
