// What is half typed on a job's page: the entry of a pad, kept as a draft, or a reason.

import { WORDS } from "../draw/words.js";
import * as store from "../store/store.js";
import { newEntry, numberOf, typedAfter, unitAfter } from "./entry.js";
import { minutesBefore, momentAt } from "./events.js";

/** @import {Entry, Moment, Pad, Seed} from "../contract.d.ts" */

export class Typing {
  /** @type {Entry | null} */
  entry = null;
  /** @type {{seed: Seed, label: string} | null} */
  reason = null;
  decimal = (1.5).toLocaleString().includes(",") ? /** @type {const} */ (",") : /** @type {const} */ (".");
  #job;
  #refused;

  /** @param {string} job @param {(words: string) => void} refused told when no draft can be kept */
  constructor(job, refused) {
    this.#job = job;
    this.#refused = refused;
  }

  /** Whether a page of its own is open: a pad or a reason. */
  get deep() {
    return this.reason !== null || (this.entry !== null && this.entry.how !== "inline");
  }

  /** What was half typed when the page was left. */
  async resume() {
    this.entry = (await store.draftOf(this.#job)) ?? null;
  }

  /** A pad in the view is typed on at once; a view drawn again keeps what is typed.
   *  @param {Pad | undefined} pad @param {boolean} held */
  takeUp(pad, held) {
    const { entry } = this;
    if (entry && entry.how !== "inline") return;
    if (!pad || !held) this.entry = null;
    else if (entry?.pad.event.field === pad.event.field) this.entry = { ...entry, pad };
    else this.entry = newEntry("inline", pad, null);
  }

  /** Open a pad. @param {Entry} entry */
  enter(entry) {
    this.entry = entry;
    this.#deeper();
    this.#keep();
  }

  /** Ask for a few words. @param {Seed} seed @param {string} label */
  ask(seed, label) {
    this.reason = { seed, label };
    this.#deeper();
  }

  /** The phone's own back key leaves a pad, not the job. */
  #deeper() {
    history.pushState({ ...history.state, deeper: true }, "");
  }

  #keep() {
    store.keepDraft(this.#job, this.entry).catch(() => this.#refused(WORDS.notSaved));
  }

  /** A key of the pad. @param {string} key */
  press(key) {
    const { entry } = this;
    if (!entry) return;
    this.entry =
      key === "unit"
        ? { ...entry, unit: unitAfter(entry.pad, entry.unit) }
        : { ...entry, typed: typedAfter(entry, key, this.decimal) };
    this.#keep();
  }

  /** What STORE stores: the value with its moment. null: there is none yet, or for "did it earlier"
   *  the minutes were typed and the value comes now.
   *  @returns {{seed: Seed, moment: Moment} | null} */
  taken() {
    const { entry } = this;
    if (!entry || numberOf(entry.typed) === null) return null;
    if (entry.how === "earlier" && entry.minutes === null) {
      this.entry = { ...entry, minutes: entry.typed, typed: "", moment: momentAt() };
      this.#keep();
      return null;
    }
    let moment = entry.moment ?? momentAt();
    if (entry.minutes !== null) moment = minutesBefore(moment, numberOf(entry.minutes) ?? 0);
    return { seed: { ...entry.pad.event, typed: entry.typed, unit: entry.unit || null }, moment };
  }

  /** Leave the pad or the reason; the draft stays as it is. */
  leave() {
    const own = this.deep;
    this.entry = this.reason = null;
    if (own && history.state?.deeper) history.back();
  }

  /** Leave it with nothing stored. */
  cancel() {
    this.leave();
    this.#keep();
  }
}
