// The figures that the core works out from what is typed: a list to choose from, then one of them.
// What is typed stays as long as this page is loaded, and is stored nowhere.

import { html, nothing } from "lit-html";
import { pressed } from "../device/press.js";
import { more, strip } from "../draw/frame.js";
import { icon } from "../draw/icons.js";
import { WORDS } from "../draw/words.js";
import { FIGURES } from "../draw/words/figures.js";
import { Form } from "./form.js";
import { figureBar, figurePage } from "./page.js";
import { titleOf } from "./words.js";

/** @import {Around, Engine, Strip} from "../contract.d.ts" */
/** @import {Figure} from "./form.js" */

/** Where the address names the list, or one figure. */
const PLACE = /^#figures(?:=(.+))?$/;

export class Figures {
  /** @type {Figure[] | null} */
  list = null;
  sought = "";
  trouble = "";
  /** The preferences that the list was asked with. */
  #asked = "";
  /** What is typed for each. @type {Map<string, Form>} */
  #forms = new Map();
  #engine;

  /** @param {Engine} engine @param {Around} around */
  constructor(engine, around) {
    this.#engine = engine;
    this.around = around;
  }

  /** Whether the address is one of this page. */
  get open() {
    return PLACE.test(location.hash);
  }

  get notice() {
    return this.around.notice();
  }

  menu() {
    this.around.menu();
  }

  /** @param {Strip | null} said */
  template(said) {
    this.#ask();
    const name = PLACE.exec(location.hash)?.[1];
    const form = name ? this.#form(name) : null;
    return form ? figurePage(form, this, said) : this.#listed(said);
  }

  /** Open the list. */
  show() {
    if (!this.list) this.#asked = "";
    this.around.go("#figures");
  }

  /** The list comes from the core, once for each choice of units. */
  async #ask() {
    const preferences = this.around.reader();
    const asked = JSON.stringify(preferences);
    if (this.#asked === asked) return;
    this.#asked = asked;
    this.trouble = "";
    try {
      const { figures } = await this.#engine.ask("figures", { preferences });
      this.list = figures;
      for (const figure of figures) {
        this.#forms.get(figure.name)?.renew(figure);
      }
    } catch (error) {
      this.trouble = wordsOf(error);
    }
    this.around.draw();
  }

  /** @param {string} name */
  #form(name) {
    const figure = this.list?.find((each) => each.name === name);
    if (figure && !this.#forms.has(name)) this.#forms.set(name, new Form(figure));
    return this.#forms.get(name) ?? null;
  }

  /** Ask the core; its answer, or what it refuses, stands on the page. @param {Form} form */
  async work(form) {
    if (form.busy) return;
    const payload = form.question();
    if (form.troubles.size === 0) await this.#judge(form, payload);
    this.around.draw();
    lead(form);
  }

  /** @param {Form} form @param {object} payload */
  async #judge(form, payload) {
    form.busy = true;
    this.around.draw();
    const operation = form.figure.name;
    try {
      const preferences = this.around.reader();
      const answer = await this.#engine.ask("figure", { operation, payload, preferences });
      if (answer.error) form.refuse(answer.error);
      else form.answer = answer;
    } catch (error) {
      form.trouble = wordsOf(error);
    }
    form.busy = false;
  }

  /** @param {Strip | null} said */
  #listed(said) {
    const own = this.trouble ? /** @type {Strip} */ ({ kind: "refused", words: this.trouble }) : null;
    const found = (this.list ?? []).filter((figure) => has(figure, this.sought));
    const rooms = [...new Set(found.map(({ room }) => room))];
    return html`<div class="page">
      <header>${figureBar(this, FIGURES.title)} ${this.around.others()} ${strip(said)} ${strip(own)}</header>
      <main class="content" tabindex="0">
        <div class="title"><h1>${WORDS.lookUp}</h1></div>
        ${this.around.progress()}
        ${rooms.map((room) => html`<h2 class="heading">${room}</h2>
          <ul class="choice">
            ${found.filter((each) => each.room === room).map((figure) => html`<li>${this.#row(figure)}</li>`)}
          </ul>`)}
        ${this.list && found.length === 0 ? html`<p class="plain-text">${FIGURES.noFigure}</p>` : nothing}
      </main>
      <div class="foot">${more()}<div class="keys">${this.#search()}</div></div>
    </div>`;
  }

  #search() {
    return html`<label class="search">${icon("search")}
      <input type="search" aria-label=${FIGURES.seekFigure} placeholder=${FIGURES.seekFigure}
        .value=${this.sought} enterkeyhint="search" @input=${(/** @type {Event} */ event) => {
          this.sought = /** @type {HTMLInputElement} */ (event.target).value;
          this.around.draw();
        }} />
    </label>`;
  }

  /** @param {Figure} figure */
  #row({ name, title, help }) {
    return html`<button class="row key" @click=${pressed(() => this.around.go(`#figures=${name}`))}>
      <span class="words"><strong>${title}</strong> <span>${help}</span></span>
    </button>`;
  }
}

/** @param {unknown} error */
const wordsOf = (error) => (error instanceof Error ? error.message : String(error));

/** Whether a figure has all words looked for, in its names, its help or what it asks.
 *  @param {Figure} figure @param {string} sought */
function has({ name, title, room, help, input }, sought) {
  const asked = Object.entries(input.properties ?? {}).map(([key, part]) => titleOf(key, part));
  const all = [name, title, room, help, ...asked].join(" ").toLowerCase();
  return sought.toLowerCase().split(/\s+/).every((word) => all.includes(word));
}

/** Eye and focus go to what came: the answer, else the first field that was refused.
 *  @param {Form} form */
function lead(form) {
  const to = form.answer
    ? document.getElementById("figure-answer")
    : document.querySelector(".trouble:not([hidden])")?.closest(".figure-field, .figure-group");
  const on = form.answer ? to : to?.querySelector("input, button, summary");
  if (on instanceof HTMLElement) on.focus({ preventScroll: true });
  to?.scrollIntoView({ block: "start" });
}
