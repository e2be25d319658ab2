import assert from "node:assert/strict";
import test from "node:test";
import "./node.mjs";

const { named, optionOf, partOf, titleOf } = await import("../../webshell/figures/words.js");

const ID = (table) => ({ type: "string", "x-names": table });
const REASON = { type: "object", properties: {
  finding: ID("question"), value: { type: "string", "x-answers": "finding" }, chance: { type: "number", "x-share": true },
  tools: { type: "array", items: ID("tool") }, note: { type: "string" },
} };
const WORDS = {
  tables: { question: { weep: "Weep hole?" }, tool: { lamp: "UV lamp" } },
  answers: { weep: { wet: "Wet" } }, units: {},
};

test("a part is called by its title, else by its key", () => {
  assert.equal(titleOf("creep_share", { title: "Share of settling" }), "Share of settling");
  assert.equal(titleOf("creep_share", undefined), "Creep share");
});

test("a key that is left open has the schema of all such keys", () => {
  const one = { title: "Weight" };
  assert.equal(partOf({ properties: {}, additionalProperties: one }, "leak"), one);
  assert.equal(partOf({ properties: { leak: { title: "Leak" } }, additionalProperties: one }, "leak").title, "Leak");
  assert.equal(partOf({ properties: {}, additionalProperties: false }, "leak"), undefined);
});

test("an id has the name that the schema's table gives it, an answer that of its question", () => {
  const given = { finding: "weep", value: "wet", chance: 0.126, tools: ["lamp", "odd"], note: "weep" };
  assert.deepEqual(named(given, WORDS, REASON),
    { finding: "Weep hole?", value: "Wet", chance: "13\u00a0%", tools: ["UV lamp", "odd"], note: "weep" });
  assert.deepEqual(named({ finding: "weep", note: "weep" }, null, REASON), { finding: "weep", note: "weep" });
});

test("what is told in words is not told twice; an unknown answer stays as it is", () => {
  assert.deepEqual(named({ finding: "weep", value: "wet", words: "It was wet." }, WORDS, REASON),
    { finding: "Weep hole?", words: "Wet" });
  assert.equal(named({ finding: "weep", value: "dripping" }, WORDS, REASON).value, "dripping");
});

test("an id of an enum is told by its title, in a list and in an object as well", () => {
  const way = { type: "string", enum: ["drew_off", "top_up"], "x-enum-titles": ["liquid drawn off", "fill up"] };
  const schema = { type: "object", properties: { way, ways: { type: "array", items: way }, note: { type: "string" } } };
  assert.equal(optionOf(way, "top_up"), "fill up");
  assert.equal(optionOf({ enum: ["top_up"] }, "top_up"), "top up");
  assert.deepEqual(named({ way: "drew_off", ways: ["top_up", "odd_one"], note: "top_up" }, null, schema),
    { way: "liquid drawn off", ways: ["fill up", "odd one"], note: "top_up" });
});

test("a chance that is nearly none or nearly sure is told as such", () => {
  assert.equal(named(0.004, WORDS, { "x-share": true }), "under 1\u00a0%");
  assert.equal(named(0.996, WORDS, { "x-share": true }), "over 99\u00a0%");
  assert.equal(named(0.4, WORDS, {}), 0.4);
});
