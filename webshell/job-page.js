// One job on the screen: touches become events, calls become strips and sounds.

import { html } from "lit-html";
import { Calls } from "./calls.js";
import { minutesBefore, momentAt } from "./events.js";
import { exportJob, printRecord, saveCalendar, saveRecord } from "./files.js";
import { frame } from "./frame.js";
import { padPage } from "./pages/pad.js";
import { choosePicture, madeSmall } from "./pictures.js";
import { reasonPage } from "./pages/reason.js";
import { play } from "./sound.js";
import { canSpeak, readAloud } from "./speech.js";
import * as store from "./store.js";
import { numberOf, typedAfter, unitAfter } from "./typing.js";
import { WORDS, clock } from "./words.js";

/** @import {Call, Do, Entry, Hand, Moment, Pad, Reader, Seed, Strip} from "./contract.d.ts" */
/** @import {Session} from "./session.js" */

/** What a job's page needs of the app around it.
 *  @typedef {object} Around
 *  @property {() => void} draw
 *  @property {() => void} home
 *  @property {() => void} menu
 *  @property {() => boolean} sounds
 *  @property {() => Reader} reader
 *  @property {() => boolean} notice
 *  @property {() => unknown} beside
 *  @property {() => unknown} progress */

/** @implements {Hand} */
export class JobPage {
  /** @type {Entry | null} */
  entry = null;
  /** @type {{seed: Seed, label: string} | null} */
  reason = null;
  /** @type {Strip | null} */
  strip = null;
  saved = "";
  decimal = (1.5).toLocaleString().includes(",") ? /** @type {const} */ (",") : /** @type {const} */ (".");
  /** From a store that began until the view that answers it. */
  #judging = false;
  #calls = new Calls();

  /** @param {Session} session @param {Around} around */
  constructor(session, around) {
    this.session = session;
    this.around = around;
  }

  get fresh() {
    return this.session.fresh;
  }

  get voice() {
    return canSpeak();
  }

  get notice() {
    return this.around.notice();
  }

  template() {
    const { view, seen } = this.session;
    if (!view) return opening(this.around.progress());
    if (this.reason) return reasonPage(view, this.reason, this);
    this.#takeUpPad();
    if (this.entry && this.entry.how !== "inline") return padPage(view, this.entry, this);
    return frame(view, this, {
      saved: this.saved,
      strip: this.strip,
      seen: seen ? clock(seen) : "",
      beside: this.around.beside(),
      progress: this.around.progress(),
    });
  }

  /** A pad in the view is typed on at once; a view drawn again keeps what is typed. */
  #takeUpPad() {
    const pad = this.session.view?.blocks.find((block) => block.block === "pad");
    const entry = this.entry;
    if (entry && entry.how !== "inline") return;
    if (!pad) this.entry = null;
    else if (entry?.pad.event.field === pad.event.field) this.entry = { ...entry, pad };
    else this.entry = newEntry("inline", pad, null);
  }

  /** @param {Do} wanted @param {Moment} moment @param {string} label */
  act(wanted, moment, label) {
    this.strip = null;
    if ("event" in wanted) this.#once(wanted.event, moment);
    else if ("photo" in wanted) this.#photograph(wanted.photo, moment);
    else if ("erase" in wanted) this.#erase(wanted.erase);
    else if ("reason" in wanted) this.#ask(wanted.reason, label);
    else if ("look" in wanted) this.#look(wanted.look);
    else if ("call" in wanted) this.#call(wanted.call);
    else if ("read" in wanted) this.#enter(newEntry("read", wanted.read, moment));
    else if ("pad" in wanted) this.#enter(newEntry("pad", wanted.pad, null));
    else this.#enter(newEntry("earlier", wanted.earlier, null));
    this.around.draw();
  }

  /** @param {Entry} entry */
  #enter(entry) {
    this.entry = entry;
    this.#deeper();
    this.#keepDraft();
  }

  /** @param {Seed} seed @param {string} label */
  #ask(seed, label) {
    this.reason = { seed, label };
    this.#deeper();
  }

  /** The picture is kept before the event that names it. @param {Seed} seed @param {Moment} moment */
  async #photograph(seed, moment) {
    try {
      const file = await choosePicture();
      if (!file) return;
      const picture = await madeSmall(file);
      const id = crypto.randomUUID();
      await store.keepPicture(id, picture);
      this.#once({ ...seed, typed: id }, moment);
    } catch (error) {
      this.#refused(error instanceof Error ? error.message : WORDS.noPicture);
      this.around.draw();
    }
  }

  /** @param {string} id */
  async #erase(id) {
    await store.erasePicture(id);
    await this.refresh();
  }

  /** The phone's own back key leaves a pad, not the job. */
  #deeper() {
    history.pushState({ ...history.state, deeper: true }, "");
  }

  #keepDraft() {
    store.keepDraft(this.session.job, this.entry).catch(() => {
      this.strip = { kind: "refused", words: WORDS.notSaved };
      this.around.draw();
    });
  }

  /** A key of the pad. @param {string} key */
  press(key) {
    const entry = this.entry;
    if (!entry) return;
    this.entry =
      key === "unit"
        ? { ...entry, unit: unitAfter(entry.pad, entry.unit) }
        : { ...entry, typed: typedAfter(entry, key, this.decimal) };
    this.#keepDraft();
    this.around.draw();
  }

  /** STORE: the value with its moment; for "did it earlier" first the minutes. */
  store() {
    const entry = this.entry;
    if (!entry || numberOf(entry.typed) === null) return;
    if (entry.how === "earlier" && entry.minutes === null) {
      this.entry = { ...entry, minutes: entry.typed, typed: "", moment: momentAt() };
      this.#keepDraft();
      this.around.draw();
      return;
    }
    let moment = entry.moment ?? momentAt();
    if (entry.minutes !== null) moment = minutesBefore(moment, numberOf(entry.minutes) ?? 0);
    const seed = { ...entry.pad.event, typed: entry.typed, unit: entry.unit || null };
    this.#record(seed, moment);
  }

  /** Words of a text field. @param {Seed} seed @param {string} typed */
  say(seed, typed) {
    this.#once({ ...seed, typed }, momentAt());
  }

  /** A second press before the view has answered is the same press.
   *  @param {Seed} seed @param {Moment} moment */
  #once(seed, moment) {
    if (!this.#judging) this.#record(seed, moment);
  }

  /** Store first, judge after. @param {Seed} seed @param {Moment} moment */
  async #record(seed, moment) {
    const { session } = this;
    if (this.saved === WORDS.saving) return;
    this.saved = WORDS.saving;
    this.#judging = true;
    try {
      const event = await session.keep(seed, moment);
      this.#leaveEntry();
      await store.keepDraft(session.job, null);
      this.saved = WORDS.saved(clock(momentAt().at));
      this.#signal("stored", null);
      this.around.draw();
      const told = await session.judge(event);
      if (told.state === "refused") this.#refused(told.message);
    } catch (error) {
      if (this.saved === WORDS.saving) {
        this.saved = "";
        this.strip = { kind: "refused", words: WORDS.notSaved };
      } else this.#stopped(error);
    }
    this.#judging = false;
    this.around.draw();
  }

  /** Whether a page of its own is open: a pad or a reason. */
  get deep() {
    return this.reason !== null || (this.entry !== null && this.entry.how !== "inline");
  }

  #leaveEntry() {
    const own = this.deep;
    this.entry = null;
    this.reason = null;
    this.strip = null;
    if (own && history.state?.deeper) history.back();
  }

  /** The view may say it in its place already. @param {string} words */
  #refused(words) {
    const blocks = this.session.view?.blocks ?? [];
    const said = blocks.some((block) => block.block === "state" && block.lines.includes(words));
    this.#signal("refused", said || !words ? null : words);
  }

  /** @param {unknown} error */
  #stopped(error) {
    const words = error instanceof Error && error.name !== "EngineError" ? error.message : "";
    this.strip = { kind: "refused", words: words || WORDS.engineStopped };
  }

  /** @param {"soon" | "due" | "stored" | "refused"} name @param {string | null} words */
  #signal(name, words) {
    if (this.around.sounds()) play(name);
    if (words !== null) this.strip = { kind: name === "refused" ? "refused" : "call", words };
  }

  /** Give the job to the engine and draw what it makes of it. */
  start() {
    return this.#seen(() => this.session.open());
  }

  /** Ask the view again: time has passed. */
  async refresh() {
    if (this.fresh) await this.#seen(() => this.session.refresh());
  }

  /** @param {() => Promise<void>} view */
  async #seen(view) {
    try {
      await view();
    } catch (error) {
      this.#stopped(error);
    }
    this.around.draw();
  }

  /** @param {string} look */
  #look(look) {
    this.session.look = look;
    this.refresh();
  }

  /** Once a second: announce and call the next reading. */
  tick() {
    const recorder = this.session.view?.blocks.find((block) => block.block === "recorder");
    if (!recorder) return;
    const call = this.#calls.next(recorder);
    if (call === "soon") this.#signal("soon", WORDS.soon(recorder.call));
    if (call === "due") this.#signal("due", recorder.call);
    if (call === "due" || call === "passed") this.refresh();
    this.around.draw();
  }

  /** One step out: of the entry, of another look, of the job. */
  back() {
    if (this.deep) this.cancel();
    else if (this.session.look) this.#look("");
    else this.around.home();
    this.around.draw();
  }

  /** Leave a pad or a reason with nothing stored. */
  cancel() {
    this.#leaveEntry();
    this.#keepDraft();
    this.around.draw();
  }

  menu() {
    this.around.menu();
  }

  aloud() {
    const { view } = this.session;
    if (view && !readAloud(view)) this.strip = { kind: "note", words: WORDS.noVoice };
    this.around.draw();
  }

  /** @param {Call} call */
  async #call(call) {
    const { session } = this;
    if (call === "home") return this.around.home();
    try {
      if (call === "print") await printRecord(session, this.around.draw);
      else if (call === "export") await exportJob(session);
      else if (call === "calendar") await saveCalendar(session);
      else await saveRecord(session, this.around.reader());
    } catch (error) {
      this.#stopped(error);
    }
    this.around.draw();
  }

}

/** A job that has never been drawn on this phone: how far the rules are. @param {unknown} progress */
const opening = (progress) =>
  html`<div class="page"><header></header><main class="content">${progress}</main></div>`;

/** @param {Entry["how"]} how @param {Pad} pad @param {Moment | null} moment @returns {Entry} */
const newEntry = (how, pad, moment) => ({
  how,
  pad,
  typed: "",
  unit: pad.unit,
  moment,
  minutes: null,
});
