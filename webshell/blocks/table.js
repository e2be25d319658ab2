// Rows and columns; columns of figures line up at the right.
import { html, nothing } from "lit-html";

/** @import {Table} from "../contract.d.ts" */

/** @param {Table} block */
export function table({ heads, rows, figures }) {
  const columns = Math.max(heads.length, ...rows.map((row) => row.length));
  // A view that an earlier version kept names no columns.
  const side = (/** @type {number} */ i) => (figures?.includes(i) ? "right" : "");
  return html`<table class=${columns > 2 ? "compared" : ""}>
    ${heads.some(Boolean)
      ? html`<thead><tr>${heads.map((head, i) =>
          head ? html`<th scope="col" class=${side(i)}>${head}</th>` : html`<td></td>`)}</tr></thead>`
      : nothing}
    <tbody>
      ${rows.map(
        (row) => html`<tr>
          ${row.map((cell, i) =>
            i === 0
              ? html`<th scope="row">${cell}</th>`
              : html`<td class=${side(i)}>${cell}</td>`,
          )}
        </tr>`,
      )}
    </tbody>
  </table>`;
}
