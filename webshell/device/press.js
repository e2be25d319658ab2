// A press: its moment is when the finger (or the key) went down, its act when it is let go.

import { momentAt } from "../job/events.js";

/** @import {Moment} from "../contract.d.ts" */

/** What went down last, and when. @type {{on: Element | null, mono: number}} */
let last = { on: null, mono: 0 };

/** @param {Event} event */
function down(event) {
  if (event instanceof KeyboardEvent && (event.repeat || !/^( |Enter)$/.test(event.key))) return;
  const on = event.target instanceof Element ? event.target.closest("button") : null;
  last = { on, mono: event.timeStamp };
}

addEventListener("pointerdown", down, { capture: true });
addEventListener("keydown", down, { capture: true });

/** A click handler that knows the moment of the press. @param {(moment: Moment) => void} act */
export const pressed = (act) => (/** @type {Event} */ event) => {
  const mono = last.on === event.currentTarget ? last.mono : event.timeStamp;
  last = { on: null, mono: 0 };
  act(momentAt(mono));
};
