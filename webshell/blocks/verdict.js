// The verdict's plate, in the shape of its kind, its tip on the rule of classes.
import { html, nothing, svg } from "lit-html";
import { logarithmic } from "../draw/labels.js";
import "../draw/sized-box.js";
import { SPOKEN } from "../draw/words/spoken.js";
import { drawRule, plateFoot, short } from "./class_rule.js";

/** @import {Verdict} from "../contract.d.ts" */

/** @param {Verdict} block @param {unknown} _ @param {boolean} titled whether a title stands over it */
export const verdict = (block, _, titled) => {
  const { verdict: kind, over, head, figure, unit, lines, rule } = block;
  const words = head.map((line) => html`<span>${line}</span> `);
  return html`<section class="verdict" aria-label=${SPOKEN.verdict}>
    ${over ? html`<p class="label">${over}</p>` : nothing}
    <div class="plate ${kind}">
      ${FRAMES[kind] ? html`<sized-box class="frame" .draw=${FRAMES[kind]}></sized-box>` : nothing}
      ${titled ? html`<h2 class="head">${words}</h2>` : html`<h1 class="head">${words}</h1>`}
      ${figure ? html`<p class="figure"><b>${figure}</b> <span>${unit}</span></p>` : nothing}
      ${lines.map((line) => html`<p class="line">${line}</p>`)}
    </div>
    ${rule
      ? html`<div class="class-rule ${rule.owner === null ? "" : "owned"}" role="img" aria-label=${said(block)}>
          <sized-box .draw=${(/** @type {number} */ width) => {
            const x = logarithmic(rule.low, rule.high, 16, width - 16);
            return svg`${drawRule(rule, x, width, kind)}${plateFoot(kind, rule, x)}`;
          }}></sized-box>
        </div>`
      : nothing}
  </section>`;
};

/** The rule in a sentence. @param {Verdict} block */
function said({ rule, unit }) {
  if (!rule) return "";
  const classes = rule.words.map((word, i) => {
    const low = rule.limits[i - 1];
    const high = rule.limits[i];
    if (low === undefined) return SPOKEN.below(word, short(high ?? 0));
    return high === undefined ? SPOKEN.above(word, short(low)) : SPOKEN.between(word, short(low), short(high));
  });
  return rule.owner === null
    ? SPOKEN.classes(unit, classes)
    : SPOKEN.classesOwner(unit, classes, short(rule.owner));
}

/** Frames that a border can't draw. @type {Record<string, import("../draw/sized-box.js").Draw>} */
const FRAMES = {
  too_weak: (width, height) =>
    svg`<rect class="heavy" x="4" y="4" width=${width - 8} height=${height - 8} />`,
  not_judged: (width, height) =>
    svg`<rect class="thin" x="1.5" y="1.5" width=${width - 3} height=${height - 3} />
      <path class="scratch" d="M8 ${height * 0.52}L27 12M8 ${height - 6}L47 12
        M28 ${height - 6}L47 ${height * 0.52}" />`,
};
