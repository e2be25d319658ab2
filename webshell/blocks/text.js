// A few words, typed or dictated.
import { html } from "lit-html";
import { keyed } from "lit-html/directives/keyed.js";

/** @import {Hand, TextField} from "../contract.d.ts" */

/** @param {string} field */
export const idOf = (field) => `text-${field.replace(/\W/g, "-")}`;

/** @param {string} id */
function rawWords(id) {
  const field = document.getElementById(id);
  return field instanceof HTMLInputElement ? field.value : "";
}

/** The words in the field of `block` now. @param {TextField} block */
export const wordsIn = (block) => rawWords(idOf(block.event.field)).trim();

/** Its key is the page's main key (frame.js); Enter does the same.
 *  @param {TextField} block @param {Hand} hand */
export function text(block, hand) {
  const id = idOf(block.event.field);
  return html`<div class="text">
    <label class="label" for=${id}>${block.label}</label>
    ${keyed(id, html`<input id=${id} type="text" maxlength=${block.longest} autocomplete="off"
      .value=${hand.written.get(id) ?? ""} @input=${() => hand.written.set(id, rawWords(id))}
      enterkeyhint="done" @keydown=${(/** @type {KeyboardEvent} */ event) => {
        const words = wordsIn(block);
        if (event.key === "Enter" && words && hand.fresh) hand.say(block.event, words);
      }} />`)}
  </div>`;
}
