// One job on the screen: touches become events, calls become strips and sounds.

import { html } from "lit-html";
import { choosePicture, madeSmall } from "../device/camera.js";
import { play } from "../device/sound.js";
import { canSpeak, readAloud } from "../device/speech.js";
import { frame, unseen } from "../draw/frame.js";
import { forget } from "../draw/kept-photo.js";
import { WORDS, clock, withUnit } from "../draw/words.js";
import { faultPage, wordsOf } from "../pages/fault.js";
import { padPage } from "../pages/pad.js";
import { reasonPage } from "../pages/reason.js";
import { Claim } from "../store/claim.js";
import * as store from "../store/store.js";
import { newEntry, numberOf, typedAfter, unitAfter } from "./entry.js";
import { minutesBefore, momentAt } from "./events.js";
import { exportJob, printRecord, saveCalendar, saveRecord } from "./files.js";

/** @import {Around, Call, Do, Entry, Hand, Moment, Seed, Strip} from "../contract.d.ts" */
/** @import {Session} from "./session.js" */

/** @implements {Hand} */
export class JobPage {
  /** @type {Entry | null} */
  entry = null;
  /** @type {{seed: Seed, label: string} | null} */
  reason = null;
  /** @type {Strip | null} */
  strip = null;
  /** Why the job can't be shown, in words; "" where it can. */
  fault = "";
  saved = "";
  /** Whether this tab acts on the job. */
  held = false;
  /** Whether it was opened for one reading, from another page: STORE leads back there. */
  elsewhere = false;
  /** @type {string | null} */
  erasing = null;
  /** @type {Map<string, string>} */
  written = new Map();
  decimal = (1.5).toLocaleString().includes(",") ? /** @type {const} */ (",") : /** @type {const} */ (".");
  /** The press whose answer is awaited, from its store until the view: "" for none. */
  #judging = "";
  #claim;

  /** @param {Session} session @param {Around} around */
  constructor(session, around) {
    this.session = session;
    this.around = around;
    this.#claim = new Claim(`job-${session.job}`, () => this.#lose());
  }

  /** What was seen last; then, unless another tab acts on the job, what is half typed.
   *  @param {boolean} made whether the job was made in this load */
  async open(made) {
    await this.session.recall();
    this.held = await this.#claim.take();
    if (this.held) await this.#takeUp(made);
    else this.#await();
  }

  /** @param {boolean} made */
  async #takeUp(made) {
    await this.session.resume(made).catch(() => {
      this.strip = { kind: "refused", words: WORDS.notResumed };
    });
    this.entry = (await store.draftOf(this.session.job)) ?? null;
  }

  /** The other tab may be closed. */
  async #await() {
    if (await this.#claim.wait()) await this.#begin();
  }

  /** From now on this tab acts, and the other one stops. */
  async takeOver() {
    if (await this.#claim.seize()) await this.#begin();
  }

  async #begin() {
    await this.session.recall();
    this.held = true;
    await this.#takeUp(false);
    this.around.draw();
    await this.start();
  }

  /** Another tab acts now: what is half typed stays in the store, for that one. */
  #lose() {
    this.held = false;
    this.saved = "";
    if (this.around.shown() === this) this.#leaveEntry();
    this.entry = this.reason = null;
    this.#await();
    this.around.draw();
  }

  /** Another page is on the screen: the job is free for other tabs. */
  leave() {
    this.#claim.release();
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
    if (!pad || !this.held) this.entry = null;
    else if (entry?.pad.event.field === pad.event.field) this.entry = { ...entry, pad };
    else this.entry = newEntry("inline", pad, null);
  }

  /** @param {Do} wanted @param {Moment} moment @param {string} label */
  act(wanted, moment, label) {
    this.strip = null;
    if (!this.held) return;
    if (!("erase" in wanted)) this.erasing = null;
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

  /** @param {Seed} seed @param {Moment} moment */
  #photograph(seed, moment) {
    const taken = choosePicture();
    this.sign(seed, taken.then((file) => file && madeSmall(file)), moment);
  }

  /** The picture is kept before the event that names it.
   *  @param {Seed} seed @param {Promise<Blob | null>} drawing @param {Moment} moment */
  async sign(seed, drawing, moment) {
    if (this.#judging || !this.held) return;
    try {
      const picture = await drawing;
      if (!picture) return;
      const id = crypto.randomUUID();
      await store.keepPicture(id, picture);
      await this.#record({ ...seed, typed: id }, moment);
    } catch (error) {
      this.#refused(error instanceof Error ? error.message : WORDS.noPicture);
      this.around.draw();
    }
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
    if (!entry || this.saved === WORDS.saving) return; // nothing is typed after STORE
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
    if (!entry || numberOf(entry.typed) === null || this.saved === WORDS.saving) return;
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

  /** The same key pressed again before the view has answered is the same press; another key is a
   *  press of its own. @param {Seed} seed @param {Moment} moment */
  #once(seed, moment) {
    if (this.#judging !== JSON.stringify(seed)) this.#record(seed, moment);
  }

  /** Store first, judge after. @param {Seed} seed @param {Moment} moment */
  async #record(seed, moment) {
    const { session, entry } = this;
    const press = JSON.stringify(seed);
    this.saved = WORDS.saving;
    this.#judging = press;
    try {
      const event = await session.keep(seed, moment);
      const at = clock(momentAt().at);
      if (this.elsewhere) {
        const value = withUnit(seed.typed, seed.unit ?? "");
        this.#say({ kind: "note", words: WORDS.storedFor(this.#title, value, at) });
      }
      if (this.entry === entry || !this.deep) this.#leaveEntry(); // not a pad opened meanwhile
      this.saved = WORDS.saved(at);
      this.#signal("stored", null);
      this.around.draw();
      const told = await session.judge(event);
      if (told.state === "refused") this.#refused(told.message);
      else this.written.clear();
    } catch (error) {
      if (this.saved === WORDS.saving) {
        this.saved = "";
        const words = error instanceof store.Full ? error.message : WORDS.notSaved;
        this.strip = { kind: "refused", words };
      } else if (this.held) this.#stopped(error);
    }
    if (this.#judging === press) this.#judging = "";
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
    if (!this.elsewhere) return this.#signal("refused", said || !words ? null : words);
    this.#signal("refused", null);
    this.#say({ kind: "refused", words: `${this.#title}: ${words}` });
  }

  get #title() {
    return this.session.view?.bar.title ?? "";
  }

  /** Where one is: on this page, or where this reading leads back to. @param {Strip} strip */
  #say(strip) {
    if (this.elsewhere) this.around.tell(this, strip);
    else this.strip = strip;
  }

  /** @param {unknown} error */
  #stopped(error) {
    const words = error instanceof Error && error.name !== "EngineError" ? error.message : "";
    this.strip = { kind: "refused", words: words || WORDS.engineStopped };
  }

  /** @param {"stored" | "refused"} name @param {string | null} words */
  #signal(name, words) {
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
      if (ended && this.session.view) this.#stopped(error);
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
      this.#stopped(error);
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
      else if (call === "export") {
        const pictures = await exportJob(session);
        if (pictures) this.strip = { kind: "note", words: WORDS.picturesApart };
      }
      else if (call === "calendar") await saveCalendar(session);
      else await saveRecord(session, this.around.reader());
    } catch (error) {
      this.#stopped(error);
    }
    this.around.draw();
  }
}
