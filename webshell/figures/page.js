// One figure: what is needed for it, the key that works it out, the answer.

import { html, nothing } from "lit-html";
import { keyed } from "lit-html/directives/keyed.js";
import { waiting } from "../blocks/action.js";
import { pressed } from "../device/press.js";
import { menuKey, more, strip } from "../draw/frame.js";
import { icon } from "../draw/icons.js";
import { FIGURES } from "../draw/words/figures.js";
import { SPOKEN } from "../draw/words/spoken.js";
import { answer } from "./answer.js";
import { fields } from "./field.js";
import { named } from "./words.js";

/** @import {Strip} from "../contract.d.ts" */
/** @import {Form} from "./form.js" */
/** @import {Figures} from "./figures.js" */

/** @param {Figures} page @param {string} title */
export const figureBar = (page, title) =>
  html`<div class="bar">
    <button class="plain-key" aria-label=${SPOKEN.back} @click=${pressed(() => page.around.home())}>
      ${icon("back")}
    </button>
    <p class="name"><b>${title}</b></p>
    ${menuKey(page)}
  </div>`;

/** @param {Form} form @param {Figures} page @param {Strip | null} said */
export function figurePage(form, page, said) {
  const { figure } = form;
  const own = form.trouble ? /** @type {Strip} */ ({ kind: "refused", words: form.trouble }) : null;
  const all = {
    form, schema: figure.input, path: "", label: "", needed: true,
    words: figure.words, draw: page.around.draw,
  };
  return html`<div class="page">
    <header>
      ${figureBar(page, FIGURES.titleOf(figure.room))}
      ${page.around.others()} ${strip(said)} ${strip(own)}
    </header>
    ${keyed(figure.name, html`<main class="content figure" tabindex="0"
      @keydown=${(/** @type {KeyboardEvent} */ event) => {
        if (event.key === "Enter" && event.target instanceof HTMLInputElement) page.work(form);
      }}>
      <div class="title"><h1>${figure.title}</h1></div>
      <p class="plain-text">${figure.help}</p>
      ${example(form, page)} ${fields(all)} ${answered(form)}
    </main>`)}
    <div class="foot">
      ${more()}
      <nav class="keys" aria-label=${SPOKEN.keys}>
        ${form.busy
          ? waiting("main", FIGURES.workOut, FIGURES.waitsForAnswer)
          : html`<button class="main" @click=${pressed(() => page.work(form))}>
              <span class="face"><span class="word">${FIGURES.workOut}</span></span>
            </button>`}
      </nav>
    </div>
  </div>`;
}

/** The sample on demand, told for what it is. @param {Form} form @param {Figures} page */
function example(form, page) {
  const press = (/** @type {() => void} */ act) =>
    pressed(() => {
      act();
      page.around.draw();
    });
  return form.own
    ? html`<p class="strip practice" role="status">${FIGURES.isExample}</p>
        <button class="key second" @click=${press(() => form.putAway())}>${FIGURES.putAway}</button>`
    : html`<button class="key second" @click=${press(() => form.showExample())}>${FIGURES.showExample}</button>`;
}

/** @param {Form} form */
const answered = (form) =>
  form.answer
    ? html`<section class="answer" aria-labelledby="figure-answer">
        <h2 class="heading" id="figure-answer" tabindex="-1">
          ${form.own ? FIGURES.answerToExample : FIGURES.answer}
        </h2>
        ${answer(named(form.answer, form.figure.words, form.figure.output), form.figure.output, "")}
      </section>`
    : nothing;
