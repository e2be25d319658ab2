// The list of jobs on this phone, the practice cars, and the way to a new job.
import { html, nothing } from "lit-html";
import { waiting } from "../blocks/action.js";
import { edge, menuKey, more } from "../frame.js";
import { icon, shape, sign } from "../icons.js";
import { pressed } from "../press.js";
import { WORDS, jobsOpen } from "../words.js";

/** @import {Hand, Kept, PracticeCar, Strip} from "../contract.d.ts" */

/** @typedef {object} Home
 *  @property {Kept[]} jobs
 *  @property {PracticeCar[]} cars
 *  @property {Strip | null} strip
 *  @property {boolean} ready whether a new job can be made: the rules' name is known
 *  @property {unknown} progress
 *  @property {(job: string) => void} open
 *  @property {() => void} create
 *  @property {(car: PracticeCar) => void} practise
 *  @property {(file: File) => void} take */

/** @param {Home} home @param {Hand} hand */
export const homePage = (home, hand) =>
  html`<div class="page">
    <header>
      <div class="bar home">${sign}<p class="name"><b>${WORDS.app}</b></p>${menuKey(hand)}</div>
      <div role="status" aria-live="assertive">
        ${home.strip ? html`<p class="strip ${home.strip.kind}">${home.strip.words}</p>` : nothing}
      </div>
    </header>
    <main class="content">
      ${home.progress} ${jobList(home)}
      ${home.cars.length ? html`<h2 class="heading">${WORDS.practiceCars}</h2>` : nothing}
      <ul class="choice">
        ${home.cars.map((car) => html`<li>${carRow(car, home)}</li>`)}
      </ul>
    </main>
    <div class="foot">
      ${more()}
      <nav class="keys" aria-label="Keys">
        <label class="key second">
          ${icon("export")} ${WORDS.openFile}
          <input class="hidden" type="file" accept=".json,application/json"
            aria-label=${WORDS.openFile} @change=${(/** @type {Event} */ event) => taken(event, home)} />
        </label>
        ${home.ready
          ? html`<button class="main" @click=${pressed(() => home.create())}>
              <span class="face"><span class="word">${icon("plus")}${WORDS.newJob}</span></span>
            </button>`
          : waiting("main", WORDS.newJob, WORDS.waitsForRules)}
      </nav>
    </div>
  </div>`;

/** @param {Home} home */
export const jobList = ({ jobs, open }) =>
  html`<div class="title">
      <h1>${jobsOpen(jobs.filter(({ view }) => view.state.shape !== "done").length)}</h1>
      <p class="count quiet">${WORDS.onThisPhone}</p>
    </div>
    <ul class="jobs">
      ${jobs.map((kept) => html`<li>${jobCard(kept, open)}</li>`)}
    </ul>`;

/** @param {Kept} kept @param {(job: string) => void} open */
function jobCard({ job, view }, open) {
  const { bar, edge: phases, state, practice } = view;
  return html`<button class="key job" @click=${pressed(() => open(job))}>
    <span class="job-name"><strong>${bar.title}</strong> <span class="number">${bar.number}</span></span>
    <span class="job-phase">${practice ? "Practice data, " : ""}${phases.phases[phases.now] ?? ""}</span>
    ${edge(phases, "", false)}
    <span class="job-state ${state.shape === "now" ? "live" : ""}">
      ${shape(state.shape)} <strong>${state.word}</strong> <span class="figure">${state.figure}</span>
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
