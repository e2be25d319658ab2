// A wait is a row of ticks with what is being done: how far the rules have started.
import { html, nothing, svg } from "lit-html";
import "./sized-box.js";
import { WORDS } from "./words.js";

/** @typedef {{state: string, stage: number, stages: number, words: string}} EngineState */

/** @param {EngineState} engine */
export const progress = ({ state, stage, stages, words }) =>
  state === "ready"
    ? nothing
    : html`<div class="progress" role="status">
        <p>${state === "failed" ? words : WORDS.stage(words, stage, stages)}</p>
        <sized-box .draw=${(/** @type {number} */ width) => svg`
          ${Array.from({ length: stages + 1 }, (_, i) => svg`<path
            class=${i < stage ? "gone" : "ahead"} d="M${2 + (i / stages) * (width - 4)} 0v14" />`)}
          <path class="axis" d="M0 14.5H${width}" />`}></sized-box>
      </div>`;
