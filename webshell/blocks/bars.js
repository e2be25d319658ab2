// Chances on one graduated edge from 0 to 100 %: open where not proved, solid where proved.
import { html, nothing, svg } from "lit-html";
import { pressed } from "../device/press.js";

/** @import {Bars, Hand} from "../contract.d.ts" */

/** @param {Bars} block @param {Hand} hand */
export const bars = ({ rows, sentence }, hand) =>
  html`<ul class="bars" aria-label=${sentence}>
    ${rows.map((row) => html`<li>${one(row, hand)}</li>`)}
  </ul>`;

/** @param {Bars["rows"][number]} row @param {Hand} hand */
const one = (row, hand) =>
  html`<button class="row key bar-row" ?disabled=${!hand.fresh}
    @click=${pressed((moment) => hand.act(row.do, moment, row.label))}>
    <span class="words"><strong>${row.label}</strong>
      ${row.sub ? html`<span>${row.sub}</span>` : nothing}</span>
    <span class="figure">${row.figure}</span>
    <svg class="share" viewBox="0 0 100 22" preserveAspectRatio="none" aria-hidden="true">
      ${[0, 10, 20, 30, 40, 50, 60, 70, 80, 90, 100].map(
        (at) => svg`<path class="tick" d="M${at} 22v${at % 50 === 0 ? -10 : -6}" />`)}
      <path class="axis" d="M0 22H100" />
      <rect class=${row.solid ? "solid" : "open"} y="1" height="13" width=${(100 * row.share).toFixed(1)} />
    </svg>
  </button>`;
