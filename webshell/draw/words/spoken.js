// What is read out and not drawn: names of places, keys and pictures for someone who can't see them.

import { listed } from "./language.js";

export const SPOKEN = {
  caution: "Caution",
  warning: "Warning",
  recorder: "Recorder",
  timer: "Time to the next reading",
  running: "Running",
  verdict: "Verdict",
  keys: "Keys",
  back: "Back",
  menu: "Menu",
  menuNewVersion: "Menu, new version waits",
  aloud: "Speak aloud",
  noAloud: "Speak aloud: This phone has no voice of its own",
  phase: /** @param {number} at @param {number} all @param {string} name */ (at, all, name) =>
    `Phase ${at} of ${all}: ${name}`,
  typed: "Typed",
  unit: /** @param {string} unit @param {string} next */ (unit, next) => `Unit ${unit}, change to ${next}`,
  minus: /** @param {string} step */ (step) => `Minus ${step}`,
  plus: /** @param {string} step */ (step) => `Plus ${step}`,
  sign: "Sign",
  decimal: "Decimal point",
  erase: "Erase",
  erasePicture: /** @param {string} caption */ (caption) => `Erase: ${caption}`,
  erasePictureNow: /** @param {string} caption */ (caption) => `Erase for good: ${caption}`,
  below: /** @param {string} word @param {string} high */ (word, high) => `${word} below ${high}`,
  above: /** @param {string} word @param {string} low */ (word, low) => `${word} above ${low}`,
  between: /** @param {string} word @param {string} low @param {string} high */ (word, low, high) =>
    `${word} ${low} to ${high}`,
  classes: /** @param {string} unit @param {string[]} classes */ (unit, classes) =>
    `Classes in ${unit}: ${listed(classes)}.`,
  classesOwner: /** @param {string} unit @param {string[]} classes @param {string} owner */ (
    unit, classes, owner) => `Classes in ${unit}: ${listed(classes)}. Owner ${owner}.`,
  cautionOf: /** @param {string} text */ (text) => `Caution: ${text}`,
  warningOf: /** @param {string} text */ (text) => `Warning: ${text}`,
  figureOf: /** @param {string} label @param {string} figure */ (label, figure) => `${label}: ${figure}`,
  rangeOf: /** @param {string} label @param {string} figure @param {string} range */ (
    label, figure, range) => `${label}: ${figure}, ${range}`,
  row: /** @param {string[]} cells */ (cells) => listed(cells.filter(Boolean)),
  page: /** @param {string[]} sentences */ (sentences) => sentences.filter(Boolean).join(". "),
};

/** What a state shape says. @type {Record<Exclude<import("../../contract.d.ts").Shape, null>, string>} */
export const SHAPE = {
  done: "done",
  now: "now",
  to_do: "to do",
  waits: "waits",
  not_measured: "not measured",
  not_done: "not done",
  stop: "stop",
};
