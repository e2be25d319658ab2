// One renderer a block. Rows of state stand together as one list.
import { html } from "lit-html";
import { bars } from "./bars.js";
import { caution } from "./caution.js";
import { checklist } from "./checklist.js";
import { choice } from "./choice.js";
import { heading } from "./heading.js";
import { ledger } from "./ledger.js";
import { pad } from "./pad.js";
import { photo } from "./photo.js";
import { picture } from "./picture.js";
import { plot } from "./plot.js";
import { prompt } from "./prompt.js";
import { recorder } from "./recorder.js";
import { scale } from "./scale.js";
import { signature } from "./signature.js";
import { state } from "./state.js";
import { table } from "./table.js";
import { text } from "./text.js";
import { title } from "./title.js";
import { value } from "./value.js";
import { verdict } from "./verdict.js";

/** @import {Block, Hand, State} from "../contract.d.ts" */

/** @type {Record<Block["block"], (block: any, hand: Hand, titled: boolean) => unknown>} */
const BLOCKS = {
  bars, caution, checklist, choice, heading, ledger, pad, photo, picture, plot, prompt, recorder, scale, signature,
  state, table, text, title, value, verdict,
};

/** @param {Block[]} blocks @param {Hand} hand */
export function drawn(blocks, hand) {
  /** @type {(Block | State[])[]} */
  const groups = [];
  for (const block of blocks) {
    const before = groups.at(-1);
    if (block.block !== "state") groups.push(block);
    else if (Array.isArray(before)) before.push(block);
    else groups.push([block]);
  }
  const titled = blocks.some(({ block }) => block === "title");
  return groups.map((group) =>
    Array.isArray(group)
      ? html`<ul class="states">${group.map((row) => html`<li>${state(row, hand)}</li>`)}</ul>`
      : BLOCKS[group.block](group, hand, titled),
  );
}
