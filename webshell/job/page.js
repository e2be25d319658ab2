// One job on the screen: touches become events, calls become strips and sounds.

import { html } from "lit-html";
import { play } from "../device/sound.js";
import { canSpeak, readAloud } from "../device/speech.js";
import { frame, unseen } from "../draw/frame.js";
import { forget } from "../draw/kept-photo.js";
import { WORDS, clock } from "../draw/words.js";
import { faultPage, wordsOf } from "../pages/fault.js";
import { padPage } from "../pages/pad.js";
import { reasonPage } from "../pages/reason.js";
import * as store from "../store/store.js";
import { newEntry } from "./entry.js";
import { momentAt } from "./events.js";
import { exportJob, printRecord, saveCalendar, saveRecord } from "./files.js";
import { Ownership } from "./ownership.js";
import { Recording } from "./recording.js";
import { Typing } from "./typing.js";

/** @import {Around, Call, Do, Hand, Moment, Seed, Strip} from "../contract.d.ts" */
/** @import {Session} from "./session.js" */

/** @implements {Hand} */
export class JobPage {
  /** @type {Strip | null} */
  strip = null;
  /** Why the job can't be shown, in words; "" where it can. */
  fault = "";
  /** Whether it was opened for one reading, from another page: STORE leads back there. */
  elsewhere = false;
  /** @type {string | null} */
  erasing = null;
  /** @type {Map<string, string>} */
  written = new Map();
  #ownership;
  #typing;
  #recording;

  /** @param {Session} session @param {Around} around */
  constructor(session, around) {
    this.session = session;
    this.around = around;
    this.#ownership = new Ownership(session.job, {
      gained: () => this.#begin(),
      lost: () => this.#lose(),
    });
    this.#typing = new Typing(session.job, (words) => {
      this.strip = { kind: "refused", words };
      around.draw();
    });
    this.#recording = new Recording(this);
  }

  /** What was seen last; then, unless another tab acts on the job, what is half typed.
   *  @param {boolean} made whether the job was made in this load */
  async open(made) {
    await this.session.recall();
    if (await this.#ownership.take()) await this.#takeUp(made);
  }

  /** @param {boolean} made */
  async #takeUp(made) {
    await this.session.resume(made).catch(() => {
      this.strip = { kind: "refused", words: WORDS.notResumed };
    });
    await this.#typing.resume();
  }

  /** From now on this tab acts, and the other one stops. */
  takeOver() {
    return this.#ownership.seize();
  }

  async #begin() {
    await this.session.recall();
    this.#ownership.held = true;
    await this.#takeUp(false);
    this.around.draw();
    await this.start();
  }

  /** Another tab acts now: what is half typed stays in the store, for that one. */
  #lose() {
    this.#recording.saved = null;
    if (this.around.shown() === this) this.leaveEntry();
    this.#typing.entry = this.#typing.reason = null;
    this.around.draw();
  }

  /** Another page is on the screen: the job is free for other tabs. */
  leave() {
    this.#ownership.release();
  }

  /** Whether this tab acts on the job. */
  get held() {
    return this.#ownership.held;
  }

  get entry() {
    return this.#typing.entry;
  }

  get decimal() {
    return this.#typing.decimal;
  }

  /** Whether a page of its own is open: a pad or a reason. */
  get deep() {
    return this.#typing.deep;
  }

  get fresh() {
    return this.held && this.session.fresh;
  }

  /** Whether the READ of this job is on the screen already, or is no matter of this tab. */
  get reads() {
    const { view } = this.session;
    const main = view?.foot.main;
    const here = !this.deep && Boolean(main && "read" in main.do);
    return !this.held || here || this.entry?.how === "read";
  }

  others() {
    return this.around.others();
  }

  get voice() {
    return canSpeak();
  }

  get notice() {
    return this.around.notice();
  }

  template() {
    const { view, seen } = this.session;
    if (this.fault) return faultPage(this.fault, this);
    if (!view) return unseen(this, this.around.progress());
    const { reason } = this.#typing;
    if (reason) return reasonPage(view, reason, this);
    this.#typing.takeUp(view.blocks.find((block) => block.block === "pad"), this.held);
    const { entry } = this;
    if (entry && entry.how !== "inline") return padPage(view, entry, this);
    return frame(view, this, {
      saved: this.#recording.saved,
      strip: this.strip,
      seen: seen ? clock(seen) : "",
      beside: this.around.beside(),
      progress: this.around.progress(),
    });
  }

  /** @param {Do} wanted @param {Moment} moment @param {string} label */
  act(wanted, moment, label) {
    this.strip = null;
    if (!this.held) return;
    if (!("erase" in wanted)) this.erasing = null;
    if ("event" in wanted) this.#recording.once(wanted.event, moment);
    else if ("photo" in wanted) this.#recording.photograph(wanted.photo, moment);
    else if ("erase" in wanted) this.#erase(wanted.erase);
    else if ("reason" in wanted) this.#typing.ask(wanted.reason, label);
    else if ("look" in wanted) this.#look(wanted.look);
    else if ("call" in wanted) this.#call(wanted.call);
    else if ("read" in wanted) this.#typing.enter(newEntry("read", wanted.read, moment));
    else if ("pad" in wanted) this.#typing.enter(newEntry("pad", wanted.pad, null));
    else this.#typing.enter(newEntry("earlier", wanted.earlier, null));
    this.around.draw();
  }

  /** @param {Seed} seed @param {Promise<Blob | null>} drawing @param {Moment} moment */
  sign(seed, drawing, moment) {
    return this.#recording.sign(seed, drawing, moment);
  }

  /** The first press asks, the second one does. @param {string} id */
  async #erase(id) {
    const sure = this.erasing === id;
    this.erasing = sure ? null : id;
    if (!sure) return;
    await store.erasePicture(id);
    forget(id);
    this.around.draw();
  }

  /** A key of the pad; nothing is typed after STORE. @param {string} key */
  press(key) {
    if (!this.entry || this.#recording.saving) return;
    this.#typing.press(key);
    this.around.draw();
  }

  /** STORE: the value with its moment; for "did it earlier" first the minutes. */
  store() {
    if (this.#recording.saving) return;
    const taken = this.#typing.taken();
    if (taken) this.#recording.record(taken.seed, taken.moment);
    else this.around.draw();
  }

  /** Words of a text field. @param {Seed} seed @param {string} typed */
  say(seed, typed) {
    this.#recording.once({ ...seed, typed }, momentAt());
  }

  /** Leave a pad or a reason, and what was said there. */
  leaveEntry() {
    this.#typing.leave();
    this.strip = null;
  }

  /** What the job is called. */
  get title() {
    return this.session.view?.bar.title ?? "";
  }

  /** Where one is: on this page, or where this reading leads back to. @param {Strip} strip */
  tell(strip) {
    if (this.elsewhere) this.around.tell(this, strip);
    else this.strip = strip;
  }

  /** The engine ended under it. @param {unknown} error */
  stopped(error) {
    const words = error instanceof Error && error.name !== "EngineError" ? error.message : "";
    this.strip = { kind: "refused", words: words || WORDS.engineStopped };
  }

  /** A sound, and words where there are any.
   *  @param {"stored" | "refused"} name @param {string | null} words */
  signal(name, words) {
    if (this.around.sounds()) play(name);
    if (words !== null) this.strip = { kind: "refused", words };
  }

  /** Give the job to the engine and draw what it makes of it. What it can't make anything of stays
   *  stored: the page says so, and gives it out. */
  async start() {
    if (!this.held) return;
    this.fault = "";
    try {
      await this.session.open();
    } catch (error) {
      const ended = error instanceof Error && error.name === "EngineError";
      if (ended && this.session.view) this.stopped(error);
      else this.fault = wordsOf(error);
    }
    this.around.draw();
  }

  /** Ask the view again: time has passed. */
  async refresh() {
    if (!this.fresh) return;
    try {
      await this.session.refresh();
    } catch (error) {
      this.stopped(error);
    }
    this.around.draw();
  }

  /** @param {string} look */
  #look(look) {
    this.session.look = look;
    this.refresh();
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
    this.written.clear();
    this.#typing.cancel();
    this.strip = null;
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
      else if (call === "export") {
        const pictures = await exportJob(session);
        if (pictures) this.strip = { kind: "note", words: WORDS.picturesApart };
      }
      else if (call === "calendar") await saveCalendar(session);
      else await saveRecord(session, this.around.reader());
    } catch (error) {
      this.stopped(error);
    }
    this.around.draw();
  }
}
