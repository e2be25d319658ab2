import assert from "node:assert/strict";
import test from "node:test";
import "./node.mjs";
import { isTyped, keyOf, minutesPad, newEntry, numberOf, typedAfter, unitAfter } from "../../webshell/job/entry.js";

const PAD = {
  block: "pad", label: "", event: { kind: "fact", field: "x", typed: "", unit: null }, unit: "kPa",
  units: ["kPa", "psi", "bar"], step: 1, division: null, signed: false, last: null,
  same_as_last: false, hints: [],
};

/** What stands on a pad after these keys, one after the other. */
function after(keys, pad = {}, decimal = ".", typed = "") {
  const entry = { ...newEntry("pad", { ...PAD, ...pad }, null), typed };
  return keys.reduce((text, key) => typedAfter({ ...entry, typed: text }, key, decimal), typed);
}

test("nothing typed is no number, and neither is a sign or a comma alone", () => {
  for (const typed of ["", "-", ","]) assert.equal(numberOf(typed), null);
  assert.equal(numberOf("0"), 0);
  assert.equal(numberOf("16,5"), 16.5);
  assert.equal(numberOf("-0.25"), -0.25);
  assert.equal(isTyped({ typed: "" }), false);
  assert.equal(isTyped({ typed: "0" }), true);
});

test("digits follow each other, and a nought in front gives way", () => {
  assert.equal(after(["1", "1", "0"]), "110");
  assert.equal(after(["0", "5"]), "5");
  assert.equal(after(["0", "0"]), "0");
  assert.equal(after(["sign", "0", "5"], { signed: true }), "-5");
});

test("a number has one decimal sign, the reader's, with a digit in front", () => {
  assert.equal(after(["decimal", "5"], {}, ","), "0,5");
  assert.equal(after(["1", "decimal", "decimal", "5", "decimal"]), "1.5");
  assert.equal(after(["0", "decimal", "0", "5"]), "0.05");
});

test("eight signs are the most, and the minus is none of them", () => {
  const nine = [..."123456789"];
  assert.equal(after(nine), "12345678");
  assert.equal(after(["sign", ...nine], { signed: true }), "-12345678");
  assert.equal(after([...nine, "erase", "9"]), "12345679");
});

test("erase takes the last sign, and of nothing nothing", () => {
  assert.equal(after(["1", "2", "erase"]), "1");
  assert.equal(after(["erase"]), "");
});

test("the sign key turns the sign, whatever is typed", () => {
  assert.equal(after(["5", "sign"], { signed: true }), "-5");
  assert.equal(after(["5", "sign", "sign"], { signed: true }), "5");
});

test("a step goes from what is typed, else from the last value, else nowhere", () => {
  assert.equal(after(["plus"], {}, ".", "10"), "11");
  assert.equal(after(["minus", "minus"], { last: { typed: "110", value: 110 } }), "108");
  assert.equal(after(["plus"]), "");
});

test("steps keep their decimals: no rest of binary fractions stands", () => {
  assert.equal(after(["plus", "plus"], { step: 0.1 }, ",", "0,1"), "0,3");
  assert.equal(after(["plus"], { step: 0.5 }, ".", "9.5"), "10.0");
  assert.equal(after(["plus"], {}, ".", "1.25"), "2.25");
});

test("a step does not go below nought where the value has no sign", () => {
  assert.equal(after(["minus", "minus"], {}, ".", "1"), "0");
  assert.equal(after(["minus"], { signed: true }, ".", "0"), "-1");
});

test("same as last is the last value as it was typed", () => {
  assert.equal(after(["same"], { last: { typed: "16.0", value: 16 } }, ".", "3"), "16.0");
  assert.equal(after(["same"], {}, ".", "3"), "3");
});

test("the unit key goes round", () => {
  assert.deepEqual(["kPa", "psi", "bar"].map((unit) => unitAfter(PAD, unit)), ["psi", "bar", "kPa"]);
  assert.equal(unitAfter({ ...PAD, units: ["kPa"] }, "kPa"), "kPa");
  assert.equal(unitAfter({ ...PAD, units: [] }, ""), "");
});

test("a keyboard types as the keys do, and nothing else", () => {
  const keys = { 0: "0", 9: "9", ".": "decimal", ",": "decimal", Backspace: "erase", "-": "sign" };
  for (const [pressed, key] of Object.entries(keys)) assert.equal(keyOf(pressed), key);
  assert.deepEqual(["ArrowUp", "ArrowDown"].map(keyOf), ["plus", "minus"]);
  for (const pressed of ["a", "Enter", "F1", "10", " "]) assert.equal(keyOf(pressed), null);
});

test("an entry begins with nothing typed, in the pad's unit", () => {
  const entry = newEntry("read", PAD, { at: "a", mono: 1, boot: "b" });
  assert.deepEqual([entry.typed, entry.unit, entry.minutes, entry.how], ["", "kPa", null, "read"]);
  assert.deepEqual([minutesPad("Ago").unit, minutesPad("Ago").last], ["min", null]);
});
