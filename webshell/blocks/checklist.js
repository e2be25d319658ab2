// Rows to go through: state square left, who and when right.
import { html, nothing } from "lit-html";
import { pressed } from "../device/press.js";
import { shape as drawn } from "../draw/icons.js";

/** @import {Checklist, Hand} from "../contract.d.ts" */

/** @param {Checklist} block @param {Hand} hand */
export const checklist = ({ rows }, hand) =>
  html`<ul class="checklist">
    ${rows.map((row) => html`<li>${one(row, hand)}</li>`)}
  </ul>`;

/** @param {Checklist["rows"][number]} row @param {Hand} hand */
function one(row, hand) {
  const wanted = row.do;
  const body = html`${drawn(row.shape)}
    <span class="words"><strong>${row.label}</strong></span>
    ${row.figure ? html`<span class="figure">${row.figure}</span>` : nothing}`;
  if (!wanted) return html`<div class="row framed">${body}</div>`;
  return html`<button
    class="row key"
    ?disabled=${!hand.fresh}
    @click=${pressed((moment) => hand.act(wanted, moment, row.label))}
  >
    ${body}
  </button>`;
}
