// What stands where a page can't be drawn: what is wrong, that nothing is lost, what to do.
import { html, nothing } from "lit-html";
import { pressed } from "../device/press.js";
import { strip } from "../draw/frame.js";
import { WORDS } from "../draw/words.js";
import { SPOKEN } from "../draw/words/spoken.js";
import { momentAt } from "../job/events.js";

/** @import {Hand} from "../contract.d.ts" */

/** Words of anything that was thrown. @param {unknown} error */
export function wordsOf(error) {
  if (error instanceof DOMException) return WORDS.storeRefused(error.name);
  return error instanceof Error && error.message ? error.message : String(error);
}

/** @param {string} title @param {string[]} lines @param {unknown} said @param {unknown} keys */
const page = (title, lines, said, keys) =>
  html`<div class="page">
    <header>${said}</header>
    <main class="content" tabindex="0">
      <div class="title"><h1>${title}</h1></div>
      ${lines.map((line) => html`<p class="plain-text">${line}</p>`)}
    </main>
    <div class="foot"><nav class="keys" aria-label=${SPOKEN.keys}>${keys}</nav></div>
  </div>`;

/** @param {string} label @param {() => void} press */
const second = (label, press) =>
  html`<button class="key second" @click=${pressed(press)}><span>${label}</span></button>`;

/** @param {string} label @param {() => void} press */
const main = (label, press) =>
  html`<button class="main" @click=${pressed(press)}>
    <span class="face"><span class="word">${label}</span></span>
  </button>`;

/** A job that can't be shown: it can be given out, and left. @param {string} words
 *  @param {Pick<Hand, "act" | "strip" | "others">} hand */
export const faultPage = (words, hand) =>
  page(
    WORDS.jobFault,
    [words, WORDS.jobFaultThen],
    html`${hand.others()} ${strip(hand.strip)}`,
    html`${second(WORDS.allJobs, () => hand.act({ call: "home" }, momentAt(), WORDS.allJobs))}
    ${main(WORDS.exportJob, () => hand.act({ call: "export" }, momentAt(), WORDS.exportJob))}`,
  );

/** Any other page that can't be drawn. @param {string} words @param {() => void} home */
export const brokenPage = (words, home) =>
  page(WORDS.pageFault, [words, WORDS.nothingLost], nothing, main(WORDS.allJobs, home));

/** The store can't be opened. @param {unknown} error @param {(() => void) | null} takeOver
 *  take the release that waits, where one does */
export function shutPage(error, takeOver) {
  const name = error instanceof DOMException ? error.name : "";
  const newer = name === "VersionError";
  return page(
    newer ? WORDS.storeNewer : WORDS.storeShut,
    newer ? [WORDS.storeNewerThen] : [WORDS.storeShutWhy(name || wordsOf(error)), WORDS.storeShutThen],
    nothing,
    html`${takeOver ? second(WORDS.newVersion, takeOver) : nothing}
    ${main(WORDS.tryAgain, () => location.reload())}`,
  );
}
