import assert from "node:assert/strict";
import test from "node:test";
import "./node.mjs";

const { BOOT, complete, isoLocal, minutesBefore, momentAt, secondsBetween, uuid7 } = await import("../../webshell/job/events.js");

test("an id is a UUID of version 7", () => {
  // RFC 9562, A.6: the time 0x017F22E279B0 ms is the beginning of its example.
  assert.match(uuid7(0x017f22e279b0), /^017f22e2-79b0-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$/);
  const ids = Array.from({ length: 50 }, (_, i) => uuid7(1e12 + i));
  assert.deepEqual([...ids].sort(), ids);
  assert.equal(new Set(Array.from({ length: 50 }, () => uuid7(1e12))).size, 50);
});

test("a time carries the offset of where it was, half hours too", () => {
  const zone = process.env.TZ;
  const ms = Date.UTC(2026, 0, 15, 22, 30, 5, 7);
  const told = { "Asia/Kolkata": "2026-01-16T04:00:05.007+05:30", UTC: "2026-01-15T22:30:05.007+00:00",
    "America/St_Johns": "2026-01-15T19:00:05.007-03:30" };
  for (const [name, words] of Object.entries(told)) {
    process.env.TZ = name;
    assert.equal(isoLocal(ms), words);
    assert.equal(Date.parse(isoLocal(ms)), ms);
  }
  if (zone === undefined) delete process.env.TZ;
  else process.env.TZ = zone;
});

test("minutes before go back on both clocks", () => {
  const now = momentAt();
  const then = minutesBefore(now, 12.5);
  assert.equal(Date.parse(now.at) - Date.parse(then.at), 750_000);
  assert.equal(now.mono - then.mono, 750_000);
  assert.equal(then.boot, BOOT);
});

test("seconds go by the steady clock within one load, else by the wall", () => {
  const start = { at: "2026-01-15T10:00:00.000+01:00", mono: 1000, boot: "a" };
  const end = { at: "2026-01-15T10:02:00.000+01:00", mono: 61_000, boot: "a" };
  assert.equal(secondsBetween(start, end), 60); // the wall clock was set on by a minute
  assert.equal(secondsBetween(start, { ...end, boot: "b" }), 120);
  const abroad = { ...end, at: "2026-01-15T11:02:00.000+02:00", boot: "b" };
  assert.equal(secondsBetween(start, abroad), 120);
});

test("an event is its seed, its job and its moment; it supersedes only where it says so", () => {
  const moment = { at: "2026-01-15T10:00:00.000+01:00", mono: 1, boot: "a" };
  const seed = { kind: "fact", field: "x", typed: "1", unit: "L" };
  const { id, ...rest } = complete(seed, "job", moment);
  assert.equal(id.length, 36);
  assert.deepEqual(rest, { ...moment, job: "job", ...seed });
  assert.equal(complete({ ...seed, supersedes: "old" }, "job", moment).supersedes, "old");
});
