import assert from "node:assert/strict";
import test from "node:test";
import "./node.mjs";

const { Choice, languageOf } = await import("../../webshell/store/preferences.js");

test("whoever chooses American units first reads American words", () => {
  assert.equal(languageOf("psi"), "en-US");
});

test("any other units come with the words of the page", () => {
  assert.deepEqual(["kpa", "bar"].map(languageOf), ["en", "en"]);
});

test("later the words stay as chosen, whatever the units: the menu asks for them apart", async () => {
  const kept = new Choice(() => []);
  kept.show = () => {};
  await kept.change({ unit_set: "psi" }).catch(() => {}); // no store here
  assert.equal(kept.reader.language, "en-US");
  await kept.change({ language: "en" }).catch(() => {});
  assert.deepEqual([kept.all.unit_set, kept.reader.language], ["psi", "en"]);
  await kept.change({ unit_set: "bar" }).catch(() => {});
  assert.equal(kept.reader.language, "en");
});
