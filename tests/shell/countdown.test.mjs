import assert from "node:assert/strict";
import test from "node:test";
import "./node.mjs";

const { countdownWords, secondsLeft } = await import("../../webshell/job/countdown.js");
const { isoLocal, momentAt } = await import("../../webshell/job/events.js");

/** A recorder whose first reading was so many seconds ago. */
const begun = (ago, due) => {
  const now = momentAt();
  return { start: { ...now, mono: now.mono - ago * 1000 }, due };
};

test("nothing is due before the first reading, or where none is asked", () => {
  assert.equal(secondsLeft({ start: null, due: 60 }), null);
  assert.equal(secondsLeft(begun(5, null)), null);
  assert.equal(countdownWords({ start: null, due: 60 }), "");
});

test("seconds are left until the next reading, and less than none when it is late", () => {
  assert.ok(Math.abs(secondsLeft(begun(20, 60)) - 40) < 1);
  assert.ok(Math.abs(secondsLeft(begun(100, 60)) + 40) < 1);
});

test("after another load of the page the wall clock counts", () => {
  const start = { at: isoLocal(Date.now() - 30_000), mono: 0, boot: "another" };
  assert.ok(Math.abs(secondsLeft({ start, due: 90 }) - 60) < 1);
});

test("words: minutes and seconds to go, now, and how late", () => {
  assert.match(countdownWords(begun(0.5, 90)), /^1:(29|30)$/);
  assert.equal(countdownWords(begun(60.2, 60)), "now");
  assert.match(countdownWords(begun(100.5, 60)), /^late 0:4[01]$/);
  assert.match(countdownWords(begun(60 + 9 * 3600 + 38 * 60 + 5, 60)), /^late 9\u00a0h 38\u00a0min$/);
});
