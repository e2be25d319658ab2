// One imperative, direct under the title.
import { html } from "lit-html";

/** @param {import("../contract.d.ts").Prompt} block */
export const prompt = ({ text }) => html`<p class="prompt">${text}</p>`;
