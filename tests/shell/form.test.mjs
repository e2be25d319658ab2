import assert from "node:assert/strict";
import test from "node:test";
import "./node.mjs";

const { Form, at, boundsOf, join, kindOf, partsOf } = await import("../../webshell/figures/form.js");
const { FIGURES } = await import("../../webshell/draw/words/figures.js");

const QUANTITY = { type: "object", properties: { value: { type: "number" }, unit: { type: "string" } } };
const INPUT = {
  type: "object",
  properties: {
    note: { type: "string" },
    volume: QUANTITY,
    count: { type: "number", minimum: 1, maximum: 9 },
    dry: { type: "boolean" },
    place: { type: "object", properties: { altitude: QUANTITY }, required: ["altitude"] },
    readings: { type: "array", minItems: 1, items: {
      type: "object", properties: { time: QUANTITY, needle: QUANTITY }, required: ["time"] } },
  },
  required: ["volume", "readings"],
};
const SAMPLE = {
  volume: { value: 8, unit: "L" }, dry: true,
  readings: [{ time: { value: 0, unit: "min" } }, { time: { value: 5, unit: "min" }, needle: { value: -2, unit: "kPa" } }],
};
const form = () => new Form({ name: "x.y", title: "Y", room: "X", help: "", input: INPUT, output: {}, sample: SAMPLE, words: null });

/** A form with this typed. */
function typed(texts) {
  const made = form();
  for (const [path, text] of Object.entries(texts)) made.type(path, text);
  return made;
}
const LEAST = { "volume.value": "8", "volume.unit": "L", "readings[0].time.value": "0", "readings[0].time.unit": "min" };

test("a schema is of one kind", () => {
  const kinds = { anyOf: "either", enum: "choice" };
  for (const [key, kind] of Object.entries(kinds)) assert.equal(kindOf({ [key]: [] }), kind);
  assert.deepEqual(Object.values(INPUT.properties).map(kindOf),
    ["text", "quantity", "number", "choice", "group", "rows"]);
});

test("what is needed comes first", () => {
  assert.deepEqual(partsOf(INPUT).map(([key, , needed]) => [key, needed]).slice(0, 3),
    [["volume", true], ["readings", true], ["note", false]]);
});

test("bounds are told as the schema gives them", () => {
  assert.equal(boundsOf({}), "");
  assert.equal(boundsOf({ minimum: 1, maximum: 9 }), "1 to 9");
  assert.equal(boundsOf({ minimum: 0 }), "not below 0");
  assert.equal(boundsOf({ maximum: 5 }), "not above 5");
  assert.equal(boundsOf({ exclusiveMinimum: 0 }), "above 0");
  assert.equal(boundsOf({ exclusiveMinimum: 0, maximum: 5 }), "above 0, up to 5");
  assert.equal(boundsOf({ minimum: 0, maximum: 1e12 }), "not below 0");
});

test("paths lead into what is nested", () => {
  assert.equal(join("", "a"), "a");
  assert.equal(join("a[0]", "b"), "a[0].b");
  assert.equal(at(SAMPLE, "readings[1].needle.value"), -2);
  assert.equal(at(SAMPLE, "readings[7].needle"), undefined);
});

test("a question holds what is typed and nothing that is not", () => {
  const made = typed({ ...LEAST, count: "3", dry: "false", note: " two " });
  assert.deepEqual(made.question(), {
    volume: { value: 8, unit: "L" }, readings: [{ time: { value: 0, unit: "min" } }],
    note: "two", count: 3, dry: false,
  });
  assert.equal(made.troubles.size, 0);
});

test("what is needed and not typed is named at its field", () => {
  const made = form();
  made.question();
  assert.deepEqual([...made.troubles], [["volume", FIGURES.notTypedYet], ["readings", FIGURES.notTypedYet]]);
  const group = typed({ ...LEAST, "place.altitude.unit": "m" });
  assert.deepEqual([group.question().place, group.troubles.size], [undefined, 0]); // a unit alone is nothing
});

test("a number may have a comma and a real minus; an exponent or words are none", () => {
  const number = (text) => {
    const made = typed({ ...LEAST, count: text });
    return [made.question().count, made.troubles.get("count")];
  };
  for (const [text, value] of [["1,5", 1.5], ["\u22122", -2], [".5", 0.5], ["+4", 4], ["7.", 7]])
    assert.deepEqual(number(text), [value, undefined]);
  for (const text of ["about 4", "1.2.3", "0x10", "--1", "1 000", "1e3", "1234567890123"])
    assert.deepEqual(number(text), [undefined, FIGURES.notANumber]);
});

test("an interval goes along with its value, and not without one", () => {
  const made = typed({ ...LEAST, "volume.low": "7,5", "volume.high": "8,5" });
  assert.deepEqual(made.question().volume, { value: 8, low: 7.5, high: 8.5, unit: "L" });
  made.type("volume.value", "");
  made.question();
  assert.equal(made.troubles.get("volume"), FIGURES.notTypedYet);
});

test("empty rows at the end are none; one that is left out between is asked for", () => {
  const made = typed({ ...LEAST, "readings#": "3" });
  assert.equal(made.question().readings.length, 1);
  made.type("readings[2].time.value", "9");
  made.question();
  assert.equal(made.troubles.get("readings[1].time"), FIGURES.notTypedYet);
  made.setCount("readings", 2);
  assert.equal(made.text("readings[2].time.value"), "");
});

test("a list that is needed begins with a row, one that may be left out with none", () => {
  const made = form();
  assert.equal(made.count({ type: "array" }, "rows", true), 1);
  assert.equal(made.count({ type: "array", minItems: 0 }, "rows", true), 1);
  assert.equal(made.count({ type: "array", minItems: 2 }, "rows", true), 2);
  assert.equal(made.count({ type: "array", minItems: 2 }, "rows", false), 0);
  made.setCount("rows", 5);
  assert.equal(made.count({ type: "array" }, "rows", false), 5);
});

test("the example is the sample, and what was typed comes back after it", () => {
  const made = typed({ "volume.value": "5" });
  made.showExample();
  assert.deepEqual(made.question(), SAMPLE);
  made.showExample();
  made.putAway();
  assert.deepEqual([made.text("volume.value"), made.text("readings#"), made.own], ["5", "", null]);
});

test("in other units the example that stands there comes anew, and what was typed stays", () => {
  const made = typed({ "volume.value": "5", "volume.unit": "L" });
  const other = { ...made.figure, sample: { ...SAMPLE, volume: { value: 8.454, unit: "US qt" } } };
  made.renew(other);
  assert.deepEqual([made.text("volume.value"), made.text("volume.unit")], ["5", "L"]);
  made.renew(form().figure);
  made.showExample();
  made.renew(other);
  assert.deepEqual(made.question().volume, { value: 8.454, unit: "US qt" });
  made.putAway();
  assert.equal(made.text("volume.value"), "5");
});

test("a new figure makes the answer old, and says that one stood", () => {
  const made = typed(LEAST);
  assert.equal(made.type("count", "2"), false);
  made.answer = {};
  assert.equal(made.type("count", "3"), true);
  assert.equal(made.answer, null);
});

test("a refusal stands at the field that it names, or at the nearest one that there is", () => {
  const made = form();
  made.refuse({ code: "bad_input", message: "input.count must be smaller", path: "count", accepted: "" });
  assert.equal(made.troubles.get("count"), FIGURES.acceptedIs("1 to 9").replace(/^./, (c) => c.toUpperCase()));
  made.refuse({ code: "absurd", message: "too much.", path: "volume.value", accepted: "below 1e12" });
  assert.match(made.troubles.get("volume"), /^Too much\. .*below 1e12/);
  made.refuse({ code: "out_of_range", message: "no such place.", path: "readings[1].needle", accepted: "" });
  assert.equal(made.troubles.get("readings[1].needle"), "No such place.");
  assert.ok(made.refusedBelow("readings"));
  made.refuse({ code: "x", message: "not at all.", path: "", accepted: "" });
  assert.equal(made.trouble, "Not at all.");
});
