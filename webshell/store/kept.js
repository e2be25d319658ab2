// What a kept view must have to be drawn, and the little of it that a list of jobs needs.

import { WORDS } from "../draw/words.js";

/** @import {Kept, View} from "../contract.d.ts" */

/** Whether a view from the store can be drawn: one that is damaged must not take a page with it.
 *  @param {any} view */
export const isWhole = (view) =>
  typeof view?.bar?.title === "string" &&
  typeof view.bar.number === "string" &&
  Array.isArray(view.edge?.phases) &&
  typeof view.state?.word === "string" &&
  Array.isArray(view.blocks) &&
  Array.isArray(view.more) &&
  Array.isArray(view.foot?.keys);

/** What the list shows of a job, and what reads its recorder while it runs: a view without the rest.
 *  @param {Kept} kept @returns {Kept} */
export function cardOf({ job, seen, view }) {
  if (!isWhole(view)) return { job, seen, view: damaged(job) };
  const blocks = view.awake ? view.blocks.filter(({ block }) => block === "recorder") : [];
  const main = view.awake ? view.foot.main : null;
  return { job, seen, view: { ...view, blocks, more: [], foot: { caution: null, keys: [], main } } };
}

/** Stands in the list for a job whose view is damaged: its events may be whole.
 *  @param {string} job @returns {View} */
const damaged = (job) => ({
  job,
  practice: false,
  bar: { title: WORDS.damagedJob, number: "" },
  edge: { phases: [""], now: 0 },
  step: "",
  state: { shape: "stop", word: WORDS.damagedView, figure: "" },
  rules: "",
  blocks: [],
  foot: { caution: null, keys: [], main: null },
  more: [],
  awake: false,
  open: false,
});
