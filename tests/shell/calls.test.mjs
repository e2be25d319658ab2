import assert from "node:assert/strict";
import test from "node:test";
import "./node.mjs";

/** Locks of one browser: whoever asks while another holds one waits. */
const held = new Set();
const locks = {
  async request(name, _options, granted) {
    if (held.has(name)) return new Promise(() => {});
    held.add(name);
    return granted({ name });
  },
};
Object.defineProperty(globalThis, "navigator", { value: { locks }, configurable: true });

const { Calls } = await import("../../webshell/job/calls.js");
const { momentAt } = await import("../../webshell/job/events.js");

/** The time of its first reading, so that the next one is due in so many seconds. */
const recorder = (left, due = 60) => {
  const now = momentAt();
  return { start: { ...now, at: "2026-01-15T10:00:00.000+01:00", mono: now.mono - (due - left) * 1000 }, due };
};

test("a reading is announced ten seconds before, and called at its time, each once", () => {
  const calls = new Calls();
  const told = [30, 10.5, 9.8, 9, 5, 0.5, -0.2, -1, -2].map((left) => calls.next("a", recorder(left)));
  assert.deepEqual(told, [null, null, "soon", null, null, null, "due", null, null]);
});

test("the next reading is announced and called as well", () => {
  const calls = new Calls();
  const next = (left, due) => calls.next("a", recorder(left, due));
  assert.deepEqual([next(-0.2, 60), next(9.8, 120), next(-0.2, 120)], ["due", "soon", "due"]);
});

test("a call that nobody could hear in time has passed, and an announcement is left out", () => {
  const asleep = new Calls();
  assert.deepEqual([-5, -6].map((left) => asleep.next("a", recorder(left))), ["passed", null]);
  const late = new Calls();
  assert.deepEqual([6, 5, -0.2].map((left) => late.next("a", recorder(left))), [null, null, "due"]);
});

test("jobs are called each for itself, and one with nothing due not at all", () => {
  const calls = new Calls();
  assert.equal(calls.next("a", recorder(-0.2)), "due");
  assert.equal(calls.next("b", recorder(-0.2)), "due");
  assert.equal(calls.next("c", { start: null, due: 60 }), null);
});

test("of several tabs the first one sounds", async () => {
  held.clear();
  const first = new Calls();
  const second = new Calls();
  await new Promise((go) => setTimeout(go, 10));
  assert.deepEqual([first.loud, second.loud], [true, false]);
});
