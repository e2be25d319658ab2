// Rows to choose from: the chosen one filled solid; none is chosen beforehand.
import { html, nothing } from "lit-html";
import { pressed } from "../device/press.js";
import { shape } from "../draw/icons.js";

/** @import {Choice, Hand} from "../contract.d.ts" */

/** @param {Choice} block @param {Hand} hand */
export const choice = ({ rows }, hand) =>
  html`<ul class="choice">
    ${rows.map(
      (row) => html`<li>
        <button
          class="row key ${row.chosen ? "chosen" : ""}"
          aria-pressed=${row.chosen ? "true" : "false"}
          ?disabled=${!hand.fresh}
          @click=${pressed((moment) => hand.act(row.do, moment, row.label))}
        >
          ${shape(row.chosen ? "now" : "to_do")}
          <span class="words">
            <strong>${row.label}</strong>
            ${row.sub ? html`<span>${row.sub}</span>` : nothing}
          </span>
        </button>
      </li>`,
    )}
  </ul>`;
