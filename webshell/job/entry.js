// What a pad's keys do to the text typed so far. Nothing typed stays nothing typed.

/** @import {Entry, Moment, Pad} from "../contract.d.ts" */

const LONGEST = 8;
const MINUS = "-";

/** A number as typed, comma or point; null if it is none yet. @param {string} typed */
export function numberOf(typed) {
  return /\d/.test(typed) ? Number(typed.replace(",", ".")) : null;
}

/** @param {number} step */
const decimalsOf = (step) => (String(step).split(".")[1] ?? "").length;

/** @param {string} typed */
const decimalsTyped = (typed) => (typed.split(/[.,]/)[1] ?? "").length;

/** The minus and plus keys: from what is typed, else from the last value.
 *  @param {Entry} entry @param {1 | -1} sign @param {string} decimal */
function stepped({ pad, typed }, sign, decimal) {
  const from = typed === "" ? (pad.last?.typed ?? "") : typed;
  const number = numberOf(from);
  if (number === null) return typed;
  const decimals = Math.max(decimalsOf(pad.step), decimalsTyped(from));
  const to = (number + sign * pad.step).toFixed(decimals);
  if (!pad.signed && Number(to) < 0) return typed;
  return to.replace(".", decimal);
}

/** What is typed after a key: "0".."9", "decimal", "erase", "sign", "minus", "plus", "same".
 *  @param {Entry} entry @param {string} key @param {string} decimal @returns {string} */
export function typedAfter(entry, key, decimal) {
  const { typed, pad } = entry;
  if (key === "erase") return typed.slice(0, -1);
  if (key === "minus") return stepped(entry, -1, decimal);
  if (key === "plus") return stepped(entry, 1, decimal);
  if (key === "same") return pad.last?.typed ?? typed;
  if (key === "sign") return typed.startsWith(MINUS) ? typed.slice(1) : MINUS + typed;
  if (typed.replace(MINUS, "").length >= LONGEST) return typed;
  if (key === "decimal") {
    if (/[.,]/.test(typed)) return typed;
    return /\d/.test(typed) ? typed + decimal : `${typed}0${decimal}`;
  }
  return /^-?0$/.test(typed) ? typed.slice(0, -1) + key : typed + key;
}

/** The next of the pad's units; the typed value stays, its unit changes.
 *  @param {Pad} pad @param {string} unit */
export function unitAfter(pad, unit) {
  const at = pad.units.indexOf(unit);
  return pad.units[(at + 1) % pad.units.length] ?? unit;
}

/** The key of a physical keyboard as one of ours, or null. @param {string} key */
export function keyOf(key) {
  if (/^\d$/.test(key)) return key;
  if (key === "." || key === ",") return "decimal";
  if (key === "Backspace") return "erase";
  if (key === "-") return "sign";
  if (key === "ArrowUp") return "plus";
  if (key === "ArrowDown") return "minus";
  return null;
}

/** What a hand begins to type. @param {Entry["how"]} how @param {Pad} pad @param {Moment | null} moment @returns {Entry} */
export const newEntry = (how, pad, moment) => ({
  how,
  pad,
  typed: "",
  unit: pad.unit,
  moment,
  minutes: null,
});

/** Whether there is a number to store. @param {Entry} entry */
export const isTyped = (entry) => numberOf(entry.typed) !== null;

/** The pad that asks how many minutes ago. @param {string} label @returns {Pad} */
export function minutesPad(label) {
  return {
    block: "pad",
    event: { kind: "", field: "", typed: "", unit: null },
    label,
    unit: "min",
    units: ["min"],
    step: 1,
    division: null,
    signed: false,
    last: null,
    same_as_last: false,
    hints: [],
  };
}
