import assert from "node:assert/strict";
import test from "node:test";
import "./node.mjs";

const { languageOf } = await import("../../webshell/store/preferences.js");

test("whoever chooses American units first reads American words", () => {
  assert.equal(languageOf("psi"), "en-US");
});

test("any other units come with the words of the page", () => {
  assert.deepEqual(["kpa", "bar"].map(languageOf), ["en", "en"]);
});
