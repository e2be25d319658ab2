// A few words before an act: they become what is typed.
import { html } from "lit-html";
import { text } from "../blocks/text.js";
import { bar, edge, strip, textKey } from "../draw/frame.js";
import { WORDS } from "../draw/words.js";
import { SPOKEN } from "../draw/words/spoken.js";

/** @import {Hand, Seed, TextField, View} from "../contract.d.ts" */

/** @param {View} view @param {{seed: Seed, label: string}} asked @param {Hand} hand */
export function reasonPage(view, { seed, label }, hand) {
  /** @type {TextField} */
  const field = {
    block: "text",
    event: seed,
    label: WORDS.reasonLabel,
    longest: 140,
    store: WORDS.reasonStore,
  };
  return html`<div class="page">
    <header>
      ${bar(view.bar.title, view.bar.number, hand)} ${edge(view.edge)}
      ${hand.others()} ${strip(hand.strip)}
    </header>
    <main class="content">
      <div class="title"><h1>${label}</h1></div>
      ${text(field, hand)}
    </main>
    <div class="foot"><nav class="keys" aria-label=${SPOKEN.keys}>${textKey(field, hand)}</nav></div>
  </div>`;
}
