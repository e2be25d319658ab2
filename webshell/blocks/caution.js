// Full bleed, hatched at the left; pinned on the keys, so that it can't scroll away.
import { html, svg } from "lit-html";
import "../draw/sized-box.js";
import { WORDS } from "../draw/words.js";
import { SPOKEN } from "../draw/words/spoken.js";

/** Bars of 45 degrees, as wide as what is between them. @param {number} width @param {number} height */
const hatch = (width, height) => {
  const rows = Math.ceil(height / 26) + 3;
  return svg`${Array.from({ length: rows }, (_, i) => {
    const y = i * 26;
    return svg`<path d="M0 ${y}L${width} ${y - width}v13L0 ${y + 13}z" />`;
  })}`;
};

/** @param {import("../contract.d.ts").Caution} block */
export const caution = ({ text }) =>
  html`<section class="caution" aria-label=${SPOKEN.caution}>
    <sized-box class="hatched" .draw=${hatch}></sized-box>
    <div>
      <strong>${WORDS.caution}</strong>
      <p>${text}</p>
    </div>
  </section>`;
