import assert from "node:assert/strict";
import test from "node:test";
import "./node.mjs";

const { cardOf, isWhole } = await import("../../webshell/store/kept.js");
const { WORDS } = await import("../../webshell/draw/words.js");

const VIEW = {
  job: "j", practice: false, bar: { title: "Heron", number: "7" }, edge: { phases: ["Place"], now: 0 },
  step: "hold", state: { shape: "now", word: "Hold", figure: "" }, rules: "",
  blocks: [{ block: "recorder", start: null }, { block: "title", text: "Hold", count: "" }],
  foot: { caution: null, keys: [{ label: "End" }], main: { label: "READ", do: { read: {} } } },
  more: [{ label: "Export" }], awake: true, open: true,
};

test("a view that lacks what is drawn of it is not whole", () => {
  assert.ok(isWhole(VIEW));
  for (const key of ["bar", "edge", "state", "blocks", "more", "foot"]) {
    const { [key]: _, ...rest } = VIEW;
    assert.equal(isWhole(rest), false, key);
  }
  for (const view of [null, undefined, "view", { ...VIEW, bar: { title: 7, number: "" } }])
    assert.equal(isWhole(view), false);
});

test("a card of a running recorder can be read from; any other holds no block and no key", () => {
  const running = cardOf({ job: "j", seen: "s", view: VIEW }).view;
  assert.deepEqual(running.blocks.map(({ block }) => block), ["recorder"]);
  assert.equal(running.foot.main.label, "READ");
  const still = cardOf({ job: "j", seen: "s", view: { ...VIEW, awake: false } }).view;
  assert.deepEqual([still.blocks, still.foot, still.more], [[], { caution: null, keys: [], main: null }, []]);
  assert.deepEqual([still.bar, still.state, still.edge], [VIEW.bar, VIEW.state, VIEW.edge]);
});

test("a job whose view is damaged stands in the list and says so", () => {
  const card = cardOf({ job: "j", seen: "s", view: { blocks: 7 } });
  assert.deepEqual([card.job, card.seen, card.view.bar.title], ["j", "s", WORDS.damagedJob]);
  assert.equal(card.view.state.shape, "stop");
  assert.ok(isWhole(card.view));
});
