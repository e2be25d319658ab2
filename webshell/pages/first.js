// The first start asks once in which units this phone speaks.
import { html } from "lit-html";
import { pressed } from "../device/press.js";
import { shape, sign } from "../draw/icons.js";
import { WORDS } from "../draw/words.js";
import { MENU, THEMES } from "../draw/words/menu.js";

/** @import {Preferences} from "../contract.d.ts" */
/** @typedef {{id: string, label: string}} Named */

/** @param {Named[]} sets @param {string} chosen @param {(id: string) => void} choose */
export const unitRows = (sets, chosen, choose) =>
  html`<ul class="choice">
    ${sets.map(
      ({ id, label }) => html`<li>
        <button class="row key ${id === chosen ? "chosen" : ""}"
          aria-pressed=${id === chosen ? "true" : "false"} @click=${pressed(() => choose(id))}>
          ${shape(id === chosen ? "now" : "to_do")}
          <span class="words"><strong>${label}</strong></span>
        </button>
      </li>`,
    )}
  </ul>`;

/** Keys in a row, of which one is chosen. @template Value
 *  @param {[Value, string][]} keys @param {Value} chosen @param {(value: Value) => void} choose */
export const seconds = (keys, chosen, choose) =>
  html`<div class="seconds n${keys.length}">
    ${keys.map(
      ([value, label]) => html`<button class="key second ${value === chosen ? "chosen" : ""}"
        aria-pressed=${value === chosen ? "true" : "false"} @click=${pressed(() => choose(value))}>
        ${label}
      </button>`,
    )}
  </div>`;

/** One tap, kept on this phone; never changed by itself.
 *  @param {Preferences["theme"]} chosen @param {(theme: Preferences["theme"]) => void} choose */
export const themes = (chosen, choose) => seconds(THEMES, chosen, choose);

/** @param {Named[]} sets @param {(id: string) => void} choose
 *  @param {Preferences["theme"]} theme @param {(theme: Preferences["theme"]) => void} light */
export const firstPage = (sets, choose, theme, light) =>
  html`<div class="page">
    <header><div class="bar home">${sign}<p class="name"><b>${WORDS.app}</b></p></div></header>
    <main class="content">
      <div class="title"><h1>${MENU.unitsTitle}</h1></div>
      <p class="prompt">${MENU.unitsChoose}</p>
      ${unitRows(sets, "", choose)}
      <h2 class="heading">${MENU.light}</h2>
      ${themes(theme, light)}
      <p class="plain-text">${MENU.unitsLater}</p>
    </main>
    <div class="foot"></div>
  </div>`;
