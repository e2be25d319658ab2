// One figure, as large as it can be read from the tray.
import { html, nothing } from "lit-html";
import { shape as drawn } from "../draw/icons.js";

/** @param {import("../contract.d.ts").Value} block */
export const value = ({ label, value, unit, shape, word }) =>
  html`<div class="value">
    <div>
      <p class="label">${label}</p>
      <p class="running"><b>${value}</b> <span>${unit}</span></p>
    </div>
    ${shape || word
      ? html`<p class="judged">${drawn(shape)} <strong>${word}</strong></p>`
      : nothing}
  </div>`;
