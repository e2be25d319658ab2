// Pictures that the phone keeps apart from the job: one can be erased, and the log stays whole.
import { html } from "lit-html";
import { pressed } from "../device/press.js";
import { icon } from "../draw/icons.js";
import "../draw/kept-photo.js";
import { WORDS } from "../draw/words.js";
import { SPOKEN } from "../draw/words/spoken.js";

/** @import {Hand, Photos} from "../contract.d.ts" */

/** The erase key is pressed twice: its words change in between.
 *  @param {Photos} block @param {Hand} hand */
export const photo = ({ photos }, hand) =>
  html`<ul class="photos">
    ${photos.map(({ id, caption }) => {
      const sure = hand.erasing === id;
      return html`<li>
        <kept-photo name=${id} label=${caption}></kept-photo>
        <p>${caption}</p>
        <button class="key second ${sure ? "chosen" : ""}" ?disabled=${!hand.fresh}
          aria-label=${sure ? SPOKEN.erasePictureNow(caption) : SPOKEN.erasePicture(caption)}
          @click=${pressed((moment) => hand.act({ erase: id }, moment, caption))}>
          ${icon("erase")} ${sure ? WORDS.eraseNow : WORDS.erase}
        </button>
      </li>`;
    })}
  </ul>`;
