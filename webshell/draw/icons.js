// Own icons: 24 grid, 2.5 px line, butt ends, mitred corners, angles of 0, 45 and 90 degrees and
// the drop's curve only, 2 px safe edge. State shapes: 28 grid. Decoration: the word beside it speaks.

import { html, nothing, svg } from "lit-html";
import { SHAPE } from "./words/spoken.js";

/** @import {Shape} from "../contract.d.ts" */

/** @type {Record<string, ReturnType<typeof svg>>} */
const ICONS = {
  drop: svg`<path d="M12 3.5L17.6 12.9A6.6 6.6 0 1 1 6.4 12.9Z" />`,
  pump: svg`<path d="M5 3.2h12M11 3.2v8M6.2 11.2h9.6v9.6H6.2zM15.8 16h5.2v5.2" />`,
  bump: svg`<path d="M11.2 10.8h9.6v9.6h-9.6zM3 3l5.4 5.4M11 2v4.5M2 11h4.5" />`,
  clock: svg`<circle cx="12" cy="12" r="9" /><path d="M12 6.2v6.6h5.2" />`,
  temperature: svg`<path d="M8 13.6V3.2h5v10.4" /><circle cx="10.5" cy="17.4" r="3.6" />
    <path d="M16 4.4h6M16 8.6h4" />`,
  stop: svg`<path d="M8.2 2.9h7.6l5.3 5.3v7.6l-5.3 5.3H8.2l-5.3-5.3V8.2zM8 12h8" />`,
  back: svg`<path d="M3.6 12H22M11 4.4L3.4 12l7.6 7.6" />`,
  menu: svg`<path d="M2.5 4v16M9 4v10M15 4v10M21.5 4v16" />`,
  undo: svg`<path d="M8.8 2.6L3.4 8l5.4 5.4M3.4 8h11.2a5.9 5.9 0 0 1 0 11.8H9" />`,
  camera: svg`<path d="M2.5 7.2h5l2-3.2h5l2 3.2h5v12.6h-19z" /><circle cx="12" cy="13" r="3.6" />`,
  plus: svg`<path d="M12 3v18M3 12h18" />`,
  minus: svg`<path d="M3 12h18" />`,
  same: svg`<path d="M3 8.2h18M3 15.8h18" />`,
  erase: svg`<path d="M9 4h12.7v16H9l-6.6-8zM11.6 8.6l6.2 6.8M17.8 8.6l-6.2 6.8" />`,
  tick: svg`<path d="M3 13l5.8 6L21 5" />`,
  print: svg`<path d="M6.8 8V3h10.4v5M6.8 17H2.6V8h18.8v9h-4.2M6.8 13.4h10.4v7.4H6.8z" />`,
  export: svg`<path d="M12.7 7.2V2.9H3.3v18.2h9.4v-4.3M3.3 7.6h4M3.3 16.4h4" />
    <path d="M8.2 12h13M16.4 7.2l4.8 4.8-4.8 4.8" />`,
  search: svg`<circle cx="10" cy="10" r="6.8" /><path d="M14.8 14.8l6.6 6.6" />`,
  read_aloud: svg`<path d="M2.6 9v6h4.6l5.4 4.8V4.2L7.2 9zM16.6 8v8M21 4.5v15" />`,
  jug: svg`<path d="M4 2.8h11.4v18.4H4zM15.4 7h4.8v9.6h-4.8M4 8h3.6M4 12h3.6M4 16h3.6" />`,
};

const SQUARE = "M4 4h20v20H4z";

/** @type {Record<string, ReturnType<typeof svg>>} */
const SHAPES = {
  done: svg`<path class="full" d=${SQUARE} /><path class="cut" d="M8 14.5l4.5 4.5 8-10" />`,
  now: svg`<path class="full" d="M3 2h15l9 12-9 12H3z" />`,
  to_do: svg`<path d=${SQUARE} />`,
  waits: svg`<path d="M5 4h18L5 24h18z" />`,
  not_measured: svg`<path stroke-dasharray="4 4" stroke-dashoffset="2" d=${SQUARE} />
    <path d="M8.5 14h11" />`,
  not_done: svg`<path d=${SQUARE} /><path d="M4 24L24 4" />`,
  stop: svg`<path class="full" d="M9 2h10l7 7v10l-7 7H9l-7-7V9z" /><path class="cut" d="M8 14h12" />`,
};

/** An icon or a state shape beside a word; nothing where the name is none of ours.
 *  @param {string | null} name */
export function icon(name) {
  if (name === null) return nothing;
  if (ICONS[name])
    return html`<svg class="icon" viewBox="0 0 24 24" aria-hidden="true">${ICONS[name]}</svg>`;
  if (SHAPES[name])
    return html`<svg class="icon shape" viewBox="0 0 28 28" aria-hidden="true">${SHAPES[name]}</svg>`;
  return nothing;
}

/** A state shape, 28 px, with its meaning for a screen reader. @param {Shape} name */
export const shape = (name) =>
  name === null
    ? nothing
    : html`<svg class="shape" viewBox="0 0 28 28" role="img" aria-label=${SHAPE[name]}>
        ${SHAPES[name]}
      </svg>`;

/** The app's sign: a drop falling from a mark of a rule. */
export const sign = html`<svg class="sign" viewBox="4 4 40 40" aria-hidden="true">
  <path d="M7 7.4h34v7.8h-3.4v-4.4h-2.72v4.4h-3.4v-4.4h-2.72v9h-3.4v-9h-2.72v4.4h-3.4v-4.4h-2.72v4.4h-3.4v-4.4H10.4v9H7z" />
  <path d="M27.06 22.6l6 10.3a6.95 6.95 0 1 1-12 0z" />
</svg>`;
