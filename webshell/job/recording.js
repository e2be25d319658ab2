// From a press to what the core made of it: stored first, judged after.

import { choosePicture, madeSmall } from "../device/camera.js";
import { WORDS, clock, withUnit } from "../draw/words.js";
import * as store from "../store/store.js";
import { momentAt } from "./events.js";

/** @import {Moment, Seed} from "../contract.d.ts" */
/** @import {JobPage} from "./page.js" */

const SAVING = { words: WORDS.saving, short: WORDS.saving };

export class Recording {
  /** What the edge says of the last entry: being stored, stored when.
   *  @type {import("../draw/frame.js").Saved | null} */
  saved = null;
  /** The press whose answer is awaited, from its store until the view: "" for none. */
  #awaited = "";
  #page;

  /** @param {JobPage} page */
  constructor(page) {
    this.#page = page;
  }

  /** Whether an entry is on its way into the store. */
  get saving() {
    return this.saved === SAVING;
  }

  /** The same key pressed again before the view has answered is the same press; another key is a
   *  press of its own. @param {Seed} seed @param {Moment} moment */
  once(seed, moment) {
    if (this.#awaited !== JSON.stringify(seed)) this.record(seed, moment);
  }

  /** Store first, judge after. @param {Seed} seed @param {Moment} moment */
  async record(seed, moment) {
    const page = this.#page;
    const { session, entry } = page;
    const press = JSON.stringify(seed);
    this.saved = SAVING;
    this.#awaited = press;
    try {
      const event = await session.keep(seed, moment);
      const at = clock(momentAt().at);
      if (page.elsewhere) {
        const value = withUnit(seed.typed, seed.unit ?? "");
        page.tell({ kind: "note", words: WORDS.storedFor(page.title, value, at) });
      }
      if (page.entry === entry || !page.deep) page.leaveEntry(); // not a pad opened meanwhile
      this.saved = { words: WORDS.saved(at), short: at };
      page.signal("stored", null);
      page.around.draw();
      const told = await session.judge(event);
      if (told.state === "refused") this.#refused(told.message, event.id);
      else page.written.clear();
    } catch (error) {
      if (this.saving) {
        this.saved = null;
        const words = error instanceof store.Full ? error.message : WORDS.notSaved;
        page.strip = { kind: "refused", words };
      } else if (page.held) page.stopped(error);
    }
    if (this.#awaited === press) this.#awaited = "";
    page.around.draw();
  }

  /** @param {Seed} seed @param {Moment} moment */
  photograph(seed, moment) {
    const taken = choosePicture();
    this.sign(seed, taken.then((file) => file && madeSmall(file)), moment);
  }

  /** The picture is kept before the event that names it.
   *  @param {Seed} seed @param {Promise<Blob | null>} drawing @param {Moment} moment */
  async sign(seed, drawing, moment) {
    if (this.#awaited || !this.#page.held) return;
    try {
      const picture = await drawing;
      if (!picture) return;
      const id = crypto.randomUUID();
      await store.keepPicture(id, picture);
      await this.record({ ...seed, typed: id }, moment);
    } catch (error) {
      this.#refused(error instanceof Error ? error.message : WORDS.noPicture);
      this.#page.around.draw();
    }
  }

  /** The view may say it in its place already. @param {string} words
   *  @param {string} [entry] the id of the entry that was refused */
  #refused(words, entry) {
    const page = this.#page;
    const blocks = page.session.view?.blocks ?? [];
    const said = blocks.some((block) => block.block === "state" && entry && block.refused === entry);
    if (!page.elsewhere) return page.signal("refused", said || !words ? null : words);
    page.signal("refused", null);
    page.tell({ kind: "refused", words: WORDS.about(page.title, words) });
  }
}
