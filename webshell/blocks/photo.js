// Pictures that the phone keeps apart from the job: one can be erased, and the log stays whole.
import { html } from "lit-html";
import "../kept-photo.js";
import { icon } from "../icons.js";
import { pressed } from "../press.js";
import { WORDS } from "../words.js";

/** @import {Hand, Photos} from "../contract.d.ts" */

/** @param {Photos} block @param {Hand} hand */
export const photo = ({ photos }, hand) =>
  html`<ul class="photos">
    ${photos.map(
      ({ id, caption }) => html`<li>
        <kept-photo name=${id} label=${caption}></kept-photo>
        <p>${caption}</p>
        <button class="key second" @click=${pressed((moment) => hand.act({ erase: id }, moment, caption))}>
          ${icon("erase")} ${WORDS.erase}
        </button>
      </li>`,
    )}
  </ul>`;
