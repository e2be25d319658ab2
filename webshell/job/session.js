// One open job: its events go to the store first, then to the engine; its view comes back.

import * as store from "../store/store.js";
import { BOOT, complete, momentAt } from "./events.js";

/** @import {Advanced, Bundle, Engine, Kept, Logged, Moment, Reader, Seed, View} from "../contract.d.ts" */

const DEAD = ["died", "timed_out"];
/** How long the engine may take for a job: ms, and ms an entry. */
const PATIENCE = 30_000;
const PATIENCE_EACH = 10;

/** What the core answered, or an error with the words of its refusal. @param {any} answer */
function sound(answer) {
  if (answer?.error) throw new Error(answer.error.message);
  return answer;
}

export class Session {
  /** @type {View | null} */
  view = null;
  /** Whether `view` was judged in this run. */
  fresh = false;
  /** When the view was kept, if it is not fresh. */
  seen = "";
  /** Another look at the same job, "" for the step. */
  look = "";
  #engine;
  #reader;
  #onKept;
  /** The rules that the job began on, where this version has others and they were kept.
   *  @type {Bundle | undefined} */
  rules;
  /** Ids of events that the engine has been given. @type {Set<string>} */
  #given = new Set();
  /** Work for the engine, one after the other. @type {Promise<unknown>} */
  #queue = Promise.resolve();

  /** @param {string} job @param {Engine} engine @param {() => Reader} reader
   *  @param {(kept: Kept) => void} onKept told of each view that is kept */
  constructor(job, engine, reader, onKept) {
    this.job = job;
    this.#engine = engine;
    this.#reader = reader;
    this.#onKept = onKept;
  }

  /** What was seen last, from the store. */
  async recall() {
    const kept = await store.keptView(this.job);
    if (!kept) return;
    this.view = kept.view;
    this.seen = kept.seen;
    this.fresh = false;
  }

  /** A mark that the job is taken up again, if it has no event of this load of the page and is not
   *  practice made in this one. @param {boolean} made whether the job was made in this load */
  async resume(made) {
    const events = await store.eventsOf(this.job);
    if (made || events.length >= store.MOST || events.some(({ boot }) => boot === BOOT)) return;
    const seed = { kind: "resumed", field: "app.resumed", typed: "", unit: null };
    await store.append([complete(seed, this.job, momentAt())]);
  }

  /** Give the engine all events of the job, then draw. */
  open() {
    return this.#then(async () => {
      await this.#give();
      await this.#ask();
    });
  }

  /** Store one event. Resolves when it is safe on disk. @param {Seed} seed
   *  @param {Moment} moment @returns {Promise<Logged>} */
  async keep(seed, moment) {
    const [logged] = await store.append([complete(seed, this.job, moment)], this.job);
    if (!logged) throw new Error("nothing was stored");
    return logged;
  }

  /** Let the engine take an event that is stored, and see what it makes of it.
   *  @param {Logged} event @returns {Promise<Advanced>} */
  judge(event) {
    return this.#then(async () => {
      if (this.#given.size === 0) await this.#give();
      if (this.#given.has(event.id)) {
        await this.#ask();
        return { state: "accepted", message: "" };
      }
      const look = this.look;
      const asked = { event, ...this.#asked(look) };
      const told = await this.#engine.ask("advance", asked, this.#patience);
      this.#given.add(event.id);
      await this.#take(sound(told).view, look);
      return told;
    });
  }

  /** Ask the view again: time has passed. */
  refresh() {
    return this.#then(() => this.#ask());
  }

  /** The view under another look, not kept. @param {string} look @returns {Promise<View>} */
  lookAt(look) {
    return this.#then(() => this.#viewOf(look));
  }

  /** An operation of the core on this job. @param {string} operation @param {object} payload */
  call(operation, payload) {
    return this.#then(() => this.#engine.ask("call", { operation, payload }, this.#patience));
  }

  /** A long job takes long. */
  get #patience() {
    return { timeout: PATIENCE + PATIENCE_EACH * this.#given.size };
  }

  async #give() {
    const { job } = this;
    const events = await store.eventsOf(job);
    this.#given = new Set(events.map((event) => event.id));
    const patience = this.#patience;
    const { wants } = sound(await this.#engine.ask("open", { job, events }, patience));
    this.rules = wants ? await store.bundleOf(wants) : undefined;
    const { rules } = this;
    if (rules) sound(await this.#engine.ask("open", { job, events, rules }, patience));
  }

  /** @param {string} look */
  #asked(look) {
    return { job: this.job, now: momentAt(), preferences: this.#reader(), look };
  }

  /** @param {string} look @returns {Promise<View>} */
  async #viewOf(look) {
    return sound(await this.#engine.ask("view", this.#asked(look), this.#patience));
  }

  async #ask() {
    const look = this.look;
    await this.#take(await this.#viewOf(look), look);
  }

  /** What is on the screen from now on, kept where it is the step.
   *  @param {View} view @param {string} look */
  async #take(view, look) {
    this.view = view;
    this.fresh = true;
    if (look !== "") return;
    const kept = { job: this.job, seen: momentAt().at, view };
    await store.keepView(kept);
    this.#onKept(kept);
  }

  /** In turn; if the engine ended under it, the job is opened again and the work done once more.
   *  @template T @param {() => Promise<T>} work @returns {Promise<T>} */
  #then(work) {
    const done = this.#queue.then(async () => {
      try {
        return await work();
      } catch (error) {
        if (!(error instanceof Error && "code" in error && DEAD.includes(String(error.code))))
          throw error;
        await this.#give();
        return work();
      }
    });
    this.#queue = done.catch(() => {});
    return done;
  }
}
