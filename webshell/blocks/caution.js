// Full bleed, pinned on the keys, so that it can't scroll away. A caution is hatched at the left; a
// warning has chevrons there, and its word on a plate.
import { html, svg } from "lit-html";
import "../draw/sized-box.js";
import { WORDS } from "../draw/words.js";
import { SPOKEN } from "../draw/words/spoken.js";

const PITCH = 26; // px from bar to bar; a bar is half as wide

/** @param {number} width @param {number} height @param {(y: number) => string} bar */
const rows = (width, height, bar) =>
  svg`${Array.from({ length: Math.ceil((height + width) / PITCH) + 2 }, (_, i) =>
    svg`<path d=${bar(i * PITCH)} />`)}`;

/** Bars of 45 degrees, as wide as what is between them. @param {number} width @param {number} height */
const hatch = (width, height) =>
  rows(width, height, (y) => `M0 ${y}L${width} ${y - width}v13L0 ${y + 13}z`);

/** Bars that point up. @param {number} width @param {number} height */
const chevrons = (width, height) =>
  rows(width, height, (y) => {
    const half = width / 2;
    return `M0 ${y}L${half} ${y - half}L${width} ${y}v13L${half} ${y + 13 - half}L0 ${y + 13}z`;
  });

/** A view of before there were levels has none: it is a caution.
 *  @param {import("../contract.d.ts").Caution} block */
export const caution = ({ level, text }) => {
  const warns = level === "warning";
  const spoken = warns ? SPOKEN.warning : SPOKEN.caution;
  return html`<section class="caution ${warns ? "warning" : ""}" aria-label=${spoken}>
    <sized-box class="hatched" .draw=${warns ? chevrons : hatch}></sized-box>
    <div>
      <strong>${warns ? WORDS.warning : WORDS.caution}</strong>
      <p>${text}</p>
    </div>
  </section>`;
};
