// What is being done, one line; right of it how much of it is done.
import { html, nothing } from "lit-html";

/** @param {import("../contract.d.ts").Title} block */
export const title = ({ text, count }) =>
  html`<div class="title">
    <h1>${text}</h1>
    ${count ? html`<p class="count">${count}</p>` : nothing}
  </div>`;
