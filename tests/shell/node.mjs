// What of a browser the modules under test look for as they load, for a Node that lacks it.

import { webcrypto } from "node:crypto";

globalThis.crypto ??= webcrypto;
// No canvas: a width is then told by the count of letters.
globalThis.document ??= {
  documentElement: { lang: "en" },
  createElement: () => ({ getContext: () => null }),
};

/** Random numbers from 0 to 1 that are the same in each run (mulberry32). @param {number} seed */
export const seeded = (seed) => () => {
  seed = (seed + 0x6d2b79f5) | 0;
  let t = Math.imul(seed ^ (seed >>> 15), 1 | seed);
  t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
  return ((t ^ (t >>> 14)) >>> 0) / 2 ** 32;
};
