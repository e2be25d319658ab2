// A row with its state shape at the left, its word, its figure at the right. Pressed if it has `do`.
import { html, nothing } from "lit-html";
import { pressed } from "../device/press.js";
import { shape as drawn } from "../draw/icons.js";

/** @import {Hand, State} from "../contract.d.ts" */

/** @param {State} block @param {Hand} hand */
export function state(block, hand) {
  const { shape, word, lines, figure, framed } = block;
  const wanted = block.do;
  const body = html`${drawn(shape)}
    <span class="words">
      ${word ? html`<strong>${word}</strong>` : nothing}
      ${lines.map((line) => html`<span>${line}</span>`)}
    </span>
    ${figure ? html`<span class="figure">${figure}</span>` : nothing}`;
  if (!wanted) return html`<div class="row ${framed ? "framed" : ""}">${body}</div>`;
  return html`<button
    class="row key"
    ?disabled=${!hand.fresh}
    @click=${pressed((moment) => hand.act(wanted, moment, word))}
  >
    ${body}
  </button>`;
}
