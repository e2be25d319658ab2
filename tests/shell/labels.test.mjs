import assert from "node:assert/strict";
import test from "node:test";
import { seeded } from "./node.mjs";

const { besideMarks, centred, figure, isMultiple, linear, logarithmic, multiples, widthOf, wrapped } =
  await import("../../webshell/draw/labels.js");

/** Marks with words at random places of an edge. */
function marks(random, width) {
  return Array.from({ length: 1 + Math.floor(random() * 4) }, () => ({
    at: random() * width, words: "x".repeat(1 + Math.floor(random() * 9)) }));
}

/** From where to where placed words lie. */
function lies({ x, anchor, words }, size) {
  const long = widthOf(words, size);
  const from = anchor === "start" ? x : anchor === "end" ? x - long : x - long / 2;
  return [from, from + long];
}

test("a figure has a real minus and no rest of binary fractions", () => {
  assert.equal(figure(-2), "\u22122");
  assert.equal(figure(0.1 + 0.2), "0.3");
  assert.equal(figure(1200), "1200");
});

test("multiples reach both ends and do not drift", () => {
  assert.deepEqual(multiples(0, 1, 0.25), [0, 0.25, 0.5, 0.75, 1]);
  assert.equal(multiples(0, 100, 0.1).length, 1001);
  assert.deepEqual(multiples(-4, 3, 2), [-4, -2, 0, 2]);
  assert.deepEqual(multiples(1, 2, 5), []);
  assert.ok(multiples(0, 30, 0.1).every((each) => isMultiple(each, 0.1)));
  assert.equal(isMultiple(0.25, 0.1), false);
});

test("maps lead from end to end, the logarithmic one by ratios and never past them", () => {
  assert.equal(linear(20, 120, 0, 200)(70), 100);
  assert.equal(linear(0, 8, 100, 0)(2), 75);
  const logs = logarithmic(0.01, 100, 0, 400);
  for (const [value, at] of [[0.01, 0], [1, 200], [10, 300], [1e6, 400], [1e-9, 0]])
    assert.ok(Math.abs(logs(value) - at) < 1e-9, String(value));
});

test("wrapped words are the same words, no line wider than it may be but a word alone", () => {
  const words = "Stop the engine and do not open the cap while it is hot";
  for (const width of [60, 120, 200, 1000]) {
    const lines = wrapped(words, 16, width);
    assert.equal(lines.join(" "), words);
    assert.ok(lines.every((line) => widthOf(line, 16) <= width || !line.includes(" ")));
  }
  assert.deepEqual(wrapped(words, 16, 1000), [words]);
});

test("words beside marks lie on no others, on no mark, and within the edge", () => {
  const random = seeded(7);
  let high = 0;
  for (let turn = 0; turn < 2000; turn++) {
    const width = 280 + random() * 100;
    const given = marks(random, width);
    const placed = besideMarks(given, width, 16, 7);
    assert.equal(placed.length, given.length);
    placed.forEach((one, i) => {
      if (one.row === 3) return void high++; // the last row takes what has no other place
      const [from, to] = lies(one, 16);
      assert.ok(from >= -1e-9 && to <= width + 1e-9);
      for (const other of placed.slice(0, i).filter(({ row }) => row === one.row)) {
        const [start, end] = lies(other, 16);
        assert.ok(to <= start + 1e-9 || from >= end - 1e-9);
      }
      if (one.row === 0) for (const { at } of given) assert.ok(to <= at - 7 + 1e-9 || from >= at + 7 - 1e-9);
    });
  }
  assert.ok(high < 20);
});

test("centred words stay inside, touch none before them, and the first is always there", () => {
  const random = seeded(11);
  for (let turn = 0; turn < 2000; turn++) {
    const given = marks(random, 320);
    const placed = centred(given, 320, 16);
    assert.equal(placed[0].words, given[0].words);
    const spans = placed.map((one) => lies(one, 16)).sort((a, b) => a[0] - b[0]);
    for (const [from, to] of spans) assert.ok(from >= -1e-9 && to <= 320 + 1e-9);
    spans.slice(1).forEach(([from], i) => assert.ok(from - spans[i][1] >= 6 - 1e-9));
  }
  assert.deepEqual(centred([{ at: 50, words: "a" }], 320, 16, [[40, 60]]), []);
});
