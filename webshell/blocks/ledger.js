// What came off and where it is: OFF at the left edge, ON at the right, a row a part.
import { html, nothing } from "lit-html";
import { pressed } from "../device/press.js";
import { WORDS } from "../draw/words.js";
import { secondKey } from "./action.js";

/** @import {Hand, Ledger, LedgerRow} from "../contract.d.ts" */

/** @param {Ledger} block @param {Hand} hand */
export const ledger = ({ rows }, hand) =>
  html`<ul class="ledger">
    ${rows.map((row) => html`<li>${one(row, hand)}</li>`)}
  </ul>`;

/** A part that is on again folds to one line: its name, its time, a stroke over the right line.
 *  @param {LedgerRow} row @param {Hand} hand */
function one(row, hand) {
  const wanted = row.do;
  const back = row.on === "on";
  const lines = back ? row.lines.slice(-1) : row.lines;
  const cells = html`${cell(row.off, WORDS.off, WORDS.notOff)}
    <span class="words">
      <strong>${row.word}</strong> ${lines.map((line) => html`<span>${line}</span>`)}
    </span>
    ${cell(row.on, WORDS.on, WORDS.notOn)}`;
  const kind = `piece ${row.now ? "now" : ""} ${back ? "back" : ""}`;
  const body = wanted
    ? html`<button class=${kind} ?disabled=${!hand.fresh}
        @click=${pressed((moment) => hand.act(wanted, moment, row.word))}>${cells}</button>`
    : html`<div class=${kind}>${cells}</div>`;
  return html`${body}
    ${row.more.length
      ? html`<div class="piece-keys">${row.more.map((action) => secondKey(action, hand))}</div>`
      : nothing}`;
}

/** Filled with its word, or empty; an empty cell is told to who can't see it.
 *  @param {string} state @param {string} word @param {string} not */
const cell = (state, word, not) =>
  html`<span class="cell ${state}">
    ${state === "off" || state === "on" ? word : html`<span class="hidden">${not}</span>`}
  </span>`;
