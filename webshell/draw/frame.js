// The frame of every page: bar, edge, strip, content that scrolls, foot that is pinned.
import { html, nothing, svg } from "lit-html";
import { keyed } from "lit-html/directives/keyed.js";
import { mainKey, secondKey, waiting } from "../blocks/action.js";
import { caution } from "../blocks/caution.js";
import { drawn } from "../blocks/index.js";
import { keypad, storeKey, typedPart } from "../blocks/pad.js";
import { countdown } from "../blocks/recorder.js";
import { wordsIn } from "../blocks/text.js";
import { pressed } from "../device/press.js";
import { icon } from "./icons.js";
import { besideMarks, widthOf } from "./labels.js";
import "./sized-box.js";
import { WORDS } from "./words.js";
import { SPOKEN } from "./words/spoken.js";

/** @import {Edge, Entry, Hand, Strip, TextField, View} from "../contract.d.ts" */

const LABEL = 17;
const SMALL = 16;

/** "Saved 14:09", and "14:09" where there is no room for it. @typedef {{words: string, short: string}} Saved */

/** @typedef {object} Around What stands around a view.
 *  @property {Saved | null} saved what the edge says of the last entry
 *  @property {Strip | null} strip
 *  @property {string} seen when the view was kept, if it was not judged in this run
 *  @property {unknown} beside what a wide screen shows left of it
 *  @property {unknown} progress how far the rules have started */

/** A new step is a new page: no key or field of the last one stays under the finger or the focus.
 *  @param {View} view @param {Hand} hand @param {Around} around */
export function frame(view, hand, around) {
  const recorder = view.blocks.find((block) => block.block === "recorder");
  const entry = hand.entry?.how === "inline" ? hand.entry : null;
  const fills = around.strip?.kind === "call" ? "content fills called" : "content fills";
  return html`<div class="page">
    ${around.beside ? html`<aside class="beside">${around.beside}</aside>` : nothing}
    <header>
      ${bar(view.bar.title, view.bar.number, hand)} ${edge(view.edge, around.saved)}
      ${view.practice ? html`<p class="strip practice">${WORDS.practice}</p>` : nothing}
      ${hand.others()} ${strip(around.strip)}
    </header>
    ${keyed(view.step, html`<main class=${recorder ? fills : "content"} tabindex="0">
      ${hand.fresh ? nothing : !hand.held ? takenElsewhere(hand)
        : html`<div class="last-seen" role="status">${WORDS.lastSeen(around.seen)}
            ${around.progress}</div>`}
      ${drawn(view.blocks, hand)}
    </main>`)}
    ${keyed(view.step, html`<div class=${entry ? "foot typing" : "foot"}>
      ${more()}
      ${recorder ? html`<div class="wide">${countdown(recorder)}</div>` : nothing}
      ${view.foot.caution ? caution(view.foot.caution) : nothing}
      ${entry ? [typedPart(entry, hand), keypad(entry, hand)] : nothing}
      ${hand.held ? keys(view, hand, entry) : takeOverKey(hand)}
    </div>`)}
  </div>`;
}

/** A job that has never been drawn on this phone. @param {Hand} hand @param {unknown} progress how
 *  far the rules are */
export const unseen = (hand, progress) =>
  html`<div class="page">
    <header></header>
    <main class="content">
      <h1 class="hidden">${WORDS.app}</h1>
      ${hand.held ? progress : takenElsewhere(hand)}
    </main>
    <div class="foot">${hand.held ? nothing : takeOverKey(hand)}</div>
  </div>`;

/** What happened stays in its place until the next act. @param {Strip | null} said */
export const strip = (said) =>
  html`<div aria-live="assertive" role="status">
    ${said ? html`<p class="strip ${said.kind}">${said.words}</p>` : nothing}
  </div>`;

/** Another tab acts on the job; this one shows what was seen last. @param {Hand} hand */
const takenElsewhere = (hand) =>
  html`<div class="last-seen" role="status">${WORDS.otherTab}</div>`;

/** @param {Hand} hand */
const takeOverKey = (hand) =>
  html`<nav class="keys" aria-label=${SPOKEN.keys}>
    <button class="main" @click=${pressed(() => hand.takeOver())}>
      <span class="face"><span class="word">${WORDS.takeOverHere}</span></span>
    </button>
  </nav>`;

/** @param {string} title @param {string} number @param {Hand} hand */
export const bar = (title, number, hand) =>
  html`<div class="bar">
    <button class="plain-key" aria-label=${SPOKEN.back} @click=${pressed(() => hand.back())}>
      ${icon("back")}
    </button>
    <p class="name"><b>${title}</b> <span class="number">${number}</span></p>
    <button class="plain-key" @click=${pressed(() => hand.aloud())}
      aria-label=${hand.voice ? SPOKEN.aloud : SPOKEN.noAloud}>
      ${icon("read_aloud")}
    </button>
    ${menuKey(hand)}
  </div>`;

/** @param {Pick<Hand, "menu" | "notice">} hand */
export const menuKey = (hand) =>
  html`<button class="plain-key" @click=${pressed(() => hand.menu())}
    aria-label=${hand.notice ? SPOKEN.menuNewVersion : SPOKEN.menu}>
    ${icon("menu")}${hand.notice ? html`<span class="notice" aria-hidden="true"></span>` : nothing}
  </button>`;

/** One tick a phase: thick behind, thin ahead, the wedge at the present one with its name.
 *  @param {Edge} phases @param {Saved | null} [saved] @param {boolean} [named] */
export function edge({ phases, now }, saved = null, named = true) {
  const name = phases[now] ?? "";
  return html`<div class="edge">
    <div role="img" aria-label=${SPOKEN.phase(now + 1, phases.length, name)}>
      <sized-box .draw=${(/** @type {number} */ w, /** @type {number} */ h) =>
        drawEdge(phases.length, now, named ? name : "", saved, w, h)}>
      </sized-box>
    </div>
    <span class="hidden" role="status">${saved?.words ?? ""}</span>
  </div>`;
}

/** @param {number} count @param {number} now @param {string} name @param {Saved | null} saved
 *  @param {number} width @param {number} height */
function drawEdge(count, now, name, saved, width, height) {
  const at = (/** @type {number} */ i) => 2 + (i / Math.max(1, count - 1)) * (width - 4);
  const ticks = Array.from({ length: count }, (_, i) => {
    if (i === now) return nothing;
    return svg`<path class=${i < now ? "behind" : "ahead"} d="M${at(i)} 0v${i % 5 ? 9 : 16}" />`;
  });
  const x = Math.min(width - 8, Math.max(8, at(now)));
  return svg`${ticks}<path class="wedge ink" d="M${x - 7} 0h14v11l-7 8-7-8z" />
    ${phaseName(x, name, saved, width, height - 3)}`;
}

/** The phase's name beside its wedge, "Saved" at the end that is free, shortened if it must be.
 *  @param {number} x @param {string} name @param {Saved | null} saved @param {number} width
 *  @param {number} y */
function phaseName(x, name, saved, width, y) {
  for (const words of saved ? [saved.words, saved.short] : [""]) {
    const long = widthOf(words, SMALL) + (words ? 8 : 0);
    for (const from of [width - long, 0]) {
      const [word] = besideMarks([{ at: x, words: name }], width, LABEL, 8, [[from, from + long]]);
      if (!word || word.row > 0 || (words && from < x + 8 && from + long > x - 8)) continue;
      return svg`<text class="t17 b" x=${word.x} y=${y} text-anchor=${word.anchor}>${name}</text>
        <text class="t16 quiet" x=${from === 0 ? 0 : width} y=${y}
          text-anchor=${from === 0 ? "start" : "end"}>${words}</text>`;
    }
  }
  const [word] = besideMarks([{ at: x, words: name }], width, LABEL, 8);
  return svg`<text class="t17 b" x=${word?.x ?? 0} y=${y} text-anchor=${word?.anchor ?? "start"}>${name}</text>`;
}

/** The keys of a view; a pad's STORE is the main key where the view has none of its own.
 *  @param {View} view @param {Hand} hand @param {Entry | null} entry */
function keys(view, hand, entry) {
  const { keys: seconds, main } = view.foot;
  const own = view.blocks.find((block) => block.block === "text");
  return html`<nav class="keys ${entry ? "entering" : ""}" aria-label=${SPOKEN.keys}>
    ${seconds.length
      ? html`<div class="seconds n${Math.min(seconds.length, 4)}">
          ${seconds.map((key) => secondKey(key, hand))}
        </div>`
      : nothing}
    ${(entry || own) && main ? secondKey(main, hand) : nothing}
    ${entry ? storeKey(entry, hand) : own ? textKey(own, hand) : main ? mainKey(main, hand) : nothing}
  </nav>`;
}

/** @param {TextField} block @param {Hand} hand */
export function textKey(block, hand) {
  if (!hand.fresh) return waiting("main", block.store, WORDS.checking);
  return html`<button class="main" @click=${pressed(() => {
    const words = wordsIn(block);
    if (words) hand.say(block.event, words);
  })}>
    <span class="face"><span class="word">${block.store}</span></span>
  </button>`;
}

/** Stands on the foot's line while content runs on under it. */
export const more = () =>
  html`<button class="more" hidden @click=${pressed(() => {
    const content = document.querySelector(".content");
    content?.scrollBy({ top: content.clientHeight * 0.8 });
  })}><span>${WORDS.more}</span></button>`;

/** Show or hide the "more" tab. */
export function showMore() {
  const content = document.querySelector(".content");
  const tab = document.querySelector(".more");
  if (!content || !(tab instanceof HTMLElement)) return;
  tab.hidden = content.scrollHeight - content.scrollTop - content.clientHeight < 8;
}
