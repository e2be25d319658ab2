// Opens a part of the page.
import { html } from "lit-html";

/** @param {import("../contract.d.ts").Heading} block */
export const heading = ({ text }) => html`<h2 class="heading">${text}</h2>`;
