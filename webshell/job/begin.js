// How a job comes to be on this phone: new, as practice, from a file; and the shop's own.

import { WORDS } from "../draw/words.js";
import * as store from "../store/store.js";
import { complete, isoLocal, momentAt, uuid7 } from "./events.js";

/** @import {Engine, Moment, PracticeCar, Seed} from "../contract.d.ts" */

/** The job that holds what is entered once: the tester and the shop. */
export const SHOP = "shop";
/** Bytes of a job file at most: 20,000 entries of the longest texts are not so many. */
const LARGEST = 32e6;
/** How long the engine may take to read a file, ms. */
const PATIENCE = 240_000;

/** Keep the rules of this version beside the jobs that begin on them: a later version opens those jobs
 *  on them. @param {string} bundle their hash @param {Engine} engine */
export async function keepRules(bundle, engine) {
  if (await store.hasBundle(bundle)) return;
  const { bundle: rules, error } = await engine.ask("rules", {});
  if (error) throw new Error(error.message);
  await store.keepBundle(rules);
}

/** @param {string} bundle the rules that the job runs on @param {string} [field]
 *  @returns {Seed} */
const opened = (bundle, field = "rules") => ({ kind: "opened", field, typed: bundle, unit: null });

/** @param {string} number @returns {Seed} */
const numbered = (number) => ({ kind: "fact", field: "job.number", typed: number, unit: null });

/** A new job, with the shop's tester and ways in it; the id of it.
 *  @param {string} bundle @param {Engine} engine */
export async function create(bundle, engine) {
  const job = uuid7();
  await keepRules(bundle, engine);
  const { events: kept, error } = await engine.ask("new", { events: await store.eventsOf(SHOP) });
  if (error) throw new Error(error.message);
  const number = await store.nextNumber("L");
  const now = momentAt();
  await store.append([
    complete(opened(bundle), job, now),
    ...kept.map((/** @type {Seed & { moment: Moment }} */ { moment, ...seed }) =>
      complete(seed, job, moment)),
    complete(numbered(number), job, now),
  ]);
  return job;
}

/** The shop's job, made on first use; whether it was made now. @param {string} bundle */
export async function openShop(bundle) {
  if ((await store.eventsOf(SHOP)).length > 0) return false;
  await store.append([complete(opened(bundle, "rules.shop"), SHOP, momentAt())]);
  return true;
}

/** A practice car as a job of its own: its events on a clock of their own, ending now.
 *  @param {PracticeCar} car @param {string} bundle @param {Engine} engine */
export async function practise(car, bundle, engine) {
  const job = uuid7();
  await keepRules(bundle, engine);
  const number = await store.nextNumber("P");
  const boot = crypto.randomUUID();
  const last = Math.max(0, ...car.events.map((event) => event.after));
  const end = Date.now();
  const at = (/** @type {number} */ after) =>
    ({ at: isoLocal(end - (last - after) * 1000), mono: after * 1000, boot });
  const seeds = car.events.map(({ after, kind, field, typed, unit = null }) =>
    complete({ kind, field, typed, unit }, job, at(after)));
  await store.append([
    complete(opened(bundle), job, at(0)),
    complete(numbered(number), job, at(0)),
    ...seeds,
  ]);
  return job;
}

/** A job from a file, whole or not at all; the id of it. @param {File} file @param {Engine} engine */
export async function takeFile(file, engine) {
  if (file.size > LARGEST) throw new Error(WORDS.largeFile(file.name));
  const text = await file.text();
  const asked = { operation: "job.from_file", payload: { text } };
  const { job, events, error } = await engine.ask("call", asked, { timeout: PATIENCE });
  if (error) throw new Error(WORDS.about(file.name, error.message));
  await store.adopt(events);
  return job;
}
