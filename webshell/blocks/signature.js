// A place to sign: drawn with a finger, kept as a picture that can be erased.
import { html } from "lit-html";
import { pressed } from "../device/press.js";
import { Signing } from "../draw/signing.js";
import { WORDS } from "../draw/words.js";

/** @import {Hand, Signature} from "../contract.d.ts" */

/** The paper over a key. @param {Event} event @returns {Signing | null} */
function paperOver(event) {
  const key = event.currentTarget;
  const paper = key instanceof Element ? key.closest(".signature")?.querySelector("signing-paper") : null;
  return paper instanceof Signing ? paper : null;
}

/** @param {Signature} block @param {Hand} hand */
export function signature({ event, label, store }, hand) {
  /** An empty sheet is no signature. @param {Event} press */
  const keep = (press) => {
    const paper = paperOver(press);
    if (paper?.signed) pressed((moment) => hand.sign(event, paper.picture(), moment))(press);
  };
  return html`<div class="signature">
    <signing-paper role="img" aria-label=${WORDS.signHere}></signing-paper>
    <p>${label}</p>
    <div class="seconds n2">
      <button class="key second" @click=${(/** @type {Event} */ press) => paperOver(press)?.clear()}>
        ${WORDS.clear}
      </button>
      <button class="key second" ?disabled=${!hand.fresh} @click=${keep}>${store}</button>
    </div>
  </div>`;
}
