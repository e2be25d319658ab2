// The list of jobs on this phone, the practice cars, and the way to a new job.
import { html, nothing } from "lit-html";
import { waiting } from "../blocks/action.js";
import { pressed } from "../device/press.js";
import { edge, menuKey, more, strip } from "../draw/frame.js";
import { icon, shape, sign } from "../draw/icons.js";
import { WORDS, jobsOpen } from "../draw/words.js";
import { SPOKEN } from "../draw/words/spoken.js";
import { countdownWords } from "../job/countdown.js";
import { runningOf } from "../job/running.js";

/** Jobs that are drawn at once, and by each press on "Show more". */
export const AT_ONCE = 30;

/** @import {Hand, Kept, PracticeCar, Strip} from "../contract.d.ts" */

/** @typedef {object} Home
 *  @property {Kept[]} jobs
 *  @property {number} most how many of them are drawn
 *  @property {() => void} further draw more of them
 *  @property {PracticeCar[]} cars
 *  @property {Strip | null} strip
 *  @property {boolean} ready whether a new job can be made: the rules' name is known
 *  @property {unknown} progress
 *  @property {string} sought the words of the search
 *  @property {(words: string) => void} seek
 *  @property {(job: string) => void} open
 *  @property {() => void} create
 *  @property {() => void} shop
 *  @property {() => void} figures
 *  @property {(car: PracticeCar) => void} practise
 *  @property {(file: File) => void} take */

/** @param {Home} home @param {Hand} hand */
export const homePage = (home, hand) =>
  html`<div class="page">
    <header>
      <div class="bar home">${sign}<p class="name"><b>${WORDS.app}</b></p>${menuKey(hand)}</div>
      ${hand.others()} ${strip(home.strip)}
    </header>
    <main class="content">
      ${home.progress} ${jobList(home, found(home), "page")}
      ${home.sought && found(home).length === 0
        ? html`<p class="plain-text">${WORDS.notInList}</p>` : nothing}
      ${home.cars.length ? html`<h2 class="heading">${WORDS.practiceCars}</h2>` : nothing}
      <ul class="choice">
        ${home.cars.map((car) => html`<li>${carRow(car, home)}</li>`)}
      </ul>
    </main>
    <div class="foot">
      ${more()}
      <nav class="keys" aria-label=${SPOKEN.keys}>
        ${search(home)}
        <div class="seconds n3">
          ${home.ready
            ? html`<button class="key second" @click=${pressed(() => home.shop())}>
                <span>${WORDS.shop}</span>
              </button>`
            : waiting("second", WORDS.shop, WORDS.starting)}
          <label class="key second">
            <span>${WORDS.openFile}</span>
            <input class="hidden" type="file" accept=".json,application/json"
              aria-label=${WORDS.openFile} @change=${(/** @type {Event} */ event) => taken(event, home)} />
          </label>
          <button class="key second" @click=${pressed(() => home.figures())}>
            <span>${WORDS.lookUp}</span>
          </button>
        </div>
        ${home.ready
          ? html`<button class="main" @click=${pressed(() => home.create())}>
              <span class="face"><span class="word">${icon("plus")}${WORDS.newJob}</span></span>
            </button>`
          : waiting("main", WORDS.newJob, WORDS.starting)}
      </nav>
    </div>
  </div>`;

/** The jobs, on a page of their own or beside a job. @param {Pick<Home, "jobs" | "open" | "most" | "further">} home
 *  @param {Kept[]} shown @param {"page" | "beside"} where */
export const jobList = ({ jobs, open, most, further }, shown, where) => {
  const words = jobsOpen(jobs.filter(({ view }) => view.state.shape !== "done").length);
  return html`<div class="title">
      ${where === "page" ? html`<h1>${words}</h1>` : html`<h2>${words}</h2>`}
      <p class="count quiet">${WORDS.onThisPhone}</p>
    </div>
    <ul class="jobs">
      ${shown.slice(0, most).map((kept) => html`<li>${jobCard(kept, open)}</li>`)}
    </ul>
    ${shown.length > most
      ? html`<button class="key second" @click=${pressed(() => further())}>
          <span>${WORDS.furtherJobs(Math.min(AT_ONCE, shown.length - most), shown.length - most)}</span>
        </button>`
      : nothing}`;
};

/** So many jobs are seen at a glance; with more, they are looked for. */
const AT_A_GLANCE = 4;

/** The jobs that have all words looked for in name, number or state. @param {Home} home */
function found({ jobs, sought }) {
  const words = sought.toLowerCase().split(/\s+/).filter(Boolean);
  return jobs.filter(({ view: { bar, state } }) => {
    const all = `${bar.title} ${bar.number} ${state.word}`.toLowerCase();
    return words.every((word) => all.includes(word));
  });
}

/** @param {Home} home */
const search = (home) =>
  home.jobs.length > AT_A_GLANCE
    ? html`<label class="search">${icon("search")}
        <input type="search" aria-label=${WORDS.search} placeholder=${WORDS.search}
          .value=${home.sought} enterkeyhint="search"
          @input=${(/** @type {Event} */ event) =>
            home.seek(/** @type {HTMLInputElement} */ (event.target).value)} />
      </label>`
    : nothing;

/** @param {Kept} kept @param {(job: string) => void} open */
function jobCard(kept, open) {
  const { job, view } = kept;
  const { bar, edge: phases, state, practice } = view;
  const phase = phases.phases[phases.now] ?? "";
  const [running] = runningOf([kept]);
  const figure = running ? countdownWords(running.recorder, WORDS.inTime) : state.figure;
  return html`<button class="key job" @click=${pressed(() => open(job))}>
    <span class="job-name"><strong>${bar.title}</strong> <span class="number">${bar.number}</span></span>
    <span class="job-phase">${practice ? WORDS.practicePhase(phase) : phase}</span>
    ${edge(phases, null, false)}
    <span class="job-state ${state.shape === "now" ? "live" : ""}">
      ${shape(state.shape)} <strong>${state.word}</strong> <span class="figure">${figure}</span>
    </span>
  </button>`;
}

/** @param {PracticeCar} car @param {Home} home */
const carRow = (car, home) =>
  html`<button class="row key" ?disabled=${!home.ready} @click=${pressed(() => home.practise(car))}>
    ${shape("to_do")}
    <span class="words"><strong>${car.label}</strong> <span>${car.sub}</span></span>
  </button>`;

/** @param {Event} event @param {Home} home */
function taken(event, home) {
  const input = /** @type {HTMLInputElement} */ (event.target);
  const file = input.files?.[0];
  if (file) home.take(file);
  input.value = "";
}
