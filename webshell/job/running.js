// Recorders that run, whatever page is on the screen: each can be read from there, and each calls.
import { html, nothing } from "lit-html";
import { pressed } from "../device/press.js";
import { shape } from "../draw/icons.js";
import { WORDS } from "../draw/words.js";
import { SPOKEN } from "../draw/words/spoken.js";
import { countdownWords, secondsLeft } from "./countdown.js";

/** @import {Kept, Moment, Pad, Recorder} from "../contract.d.ts" */

/** @typedef {object} Running
 *  @property {string} job
 *  @property {string} title
 *  @property {string} number
 *  @property {string} label of its key
 *  @property {Recorder} recorder
 *  @property {Pad} pad */

/** A recorder that nobody has read for so long runs no more for anyone but its own page, s. */
const LEFT_ALONE = 3600;

/** The jobs whose recorder runs. @param {Kept[]} jobs @returns {Running[]} */
export const runningOf = (jobs) =>
  jobs.flatMap(({ job, view }) => {
    const recorder = view.blocks.find((block) => block.block === "recorder");
    const main = view.foot.main;
    if (!view.awake || !recorder || !main || !("read" in main.do)) return [];
    const left = secondsLeft(recorder);
    if (left === null || left < -LEFT_ALONE) return [];
    return [{ job, ...view.bar, label: main.label, recorder, pad: main.do.read }];
  });

/** One key a running recorder: the job's name, what to do, how long until then.
 *  @param {Running[]} running @param {(one: Running, moment: Moment) => void} read */
export const runningKeys = (running, read) =>
  running.length === 0
    ? nothing
    : html`<nav class="running-keys" aria-label=${SPOKEN.running}>
        ${running.map(
          (one) => html`<button class="key" @click=${pressed((moment) => read(one, moment))}>
            ${shape("now")} <span>${named(one, running)}</span> <strong>${one.label}</strong>
            <b>${countdownWords(one.recorder)}</b>
          </button>`,
        )}
      </nav>`;

/** Two of one name are told apart by their numbers. @param {Running} one @param {Running[]} all */
const named = ({ title, number }, all) =>
  all.filter((other) => other.title === title).length > 1 ? WORDS.jobNamed(title, number) : title;
