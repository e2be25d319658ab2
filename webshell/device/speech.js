// Reads a view aloud, with a voice that lives on this phone only: another one needs the net.

import { withUnit } from "../draw/words.js";
import { LANGUAGE } from "../draw/words/language.js";
import { SPOKEN } from "../draw/words/spoken.js";

/** @import {Block, View} from "../contract.d.ts" */

const voice = () =>
  globalThis.speechSynthesis?.getVoices().find(
    ({ localService, lang }) => localService && lang.startsWith(LANGUAGE),
  ) ?? null;

export const canSpeak = () => voice() !== null;

/** Read the view; stop if it is being read. @param {View} view */
export function readAloud(view) {
  const found = voice();
  if (!found) return false;
  if (speechSynthesis.speaking) {
    speechSynthesis.cancel();
    return true;
  }
  const speech = new SpeechSynthesisUtterance(SPOKEN.page(sentences(view)));
  speech.voice = found;
  speechSynthesis.speak(speech);
  return true;
}

/** @param {View} view @returns {string[]} */
function sentences({ blocks, foot }) {
  const loud = foot.caution?.level === "warning" ? SPOKEN.warningOf : SPOKEN.cautionOf;
  const caution = foot.caution ? [loud(foot.caution.text)] : [];
  const main = foot.main ? [foot.main.label] : [];
  return [...blocks.flatMap(said), ...caution, ...main];
}

/** @param {Block} block @returns {string[]} */
function said(block) {
  switch (block.block) {
    case "title":
    case "prompt":
    case "heading":
    case "caution":
      return [block.text];
    case "state":
      return [SPOKEN.row([block.word, block.figure]), ...block.lines];
    case "value":
      return [block.label, withUnit(block.value, block.unit), block.word];
    case "scale":
    case "plot":
    case "picture":
      return [block.sentence];
    case "choice":
      return block.rows.map((row) => row.label);
    case "bars":
    case "checklist":
      return block.rows.map((row) => SPOKEN.row([row.label, row.figure]));
    case "verdict":
      return [`${block.head.join(" ")} ${block.figure ?? ""} ${block.unit}`, ...block.lines];
    case "recorder": {
      const { last, fall, due_label: due, plot } = block;
      return [
        last ? SPOKEN.figureOf(last.label, withUnit(last.value, last.unit)) : "",
        fall ? SPOKEN.rangeOf(fall.label, withUnit(fall.value, fall.unit), fall.interval) : "",
        plot?.sentence ?? "",
        due,
      ];
    }
    case "table":
      return block.rows.map(SPOKEN.row);
    case "ledger":
      return block.rows.filter((row) => row.off === "off").map((row) => row.word);
    case "photo":
      return block.photos.map((each) => each.caption);
    case "pad":
    case "signature":
    case "text":
      return [block.label];
  }
}
