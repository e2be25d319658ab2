// Rows and columns; figures line up at the right.
import { html, nothing } from "lit-html";

/** @import {Table} from "../contract.d.ts" */

const FIGURE = /^[-\u2212<>]?\s?\d/;

/** @param {Table} block */
export function table({ heads, rows }) {
  const columns = Math.max(heads.length, ...rows.map((row) => row.length));
  const right = Array.from(
    { length: columns },
    (_, i) => i > 0 && rows.some((row) => row[i]) && rows.every((row) => FIGURE.test(row[i] || "0")),
  );
  const side = (/** @type {number} */ i) => (right[i] ? "right" : "");
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
