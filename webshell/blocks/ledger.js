// What came off and where it is: OFF at the left edge, ON at the right, a row a part.
import { html, nothing } from "lit-html";
import { pressed } from "../press.js";
import { WORDS } from "../words.js";
import { secondKey } from "./action.js";

/** @import {Hand, Ledger, LedgerRow} from "../contract.d.ts" */

/** @param {Ledger} block @param {Hand} hand */
export const ledger = ({ rows }, hand) =>
  html`<ul class="ledger">
    ${rows.map((row) => html`<li>${one(row, hand)}</li>`)}
  </ul>`;

/** @param {LedgerRow} row @param {Hand} hand */
function one(row, hand) {
  const wanted = row.do;
  const cells = html`<span class="cell ${row.off}">${WORDS.off}</span>
    <span class="words">
      <strong>${row.word}</strong> ${row.lines.map((line) => html`<span>${line}</span>`)}
    </span>
    <span class="cell ${row.on}">${WORDS.on}</span>`;
  const kind = `piece ${row.now ? "now" : ""} ${row.on === "on" ? "back" : ""}`;
  const body = wanted
    ? html`<button class=${kind} ?disabled=${!hand.fresh}
        @click=${pressed((moment) => hand.act(wanted, moment, row.word))}>${cells}</button>`
    : html`<div class=${kind}>${cells}</div>`;
  return html`${body}
    ${row.more.length
      ? html`<div class="piece-keys">${row.more.map((action) => secondKey(action, hand))}</div>`
      : nothing}`;
}
