// Stands in for the engine in the gallery: answers with the fixture that the address names.

import { BOOT, isoLocal } from "../job/events.js";

const asked = new URLSearchParams(location.search);
let name = asked.get("view") ?? "gate";
const left = Number(asked.get("left") ?? 23);
const running = asked.get("running"); // the id of a job whose recorder runs
const unfoldable = asked.get("unfoldable"); // the id of a job that the engine can't fold
const kept = asked.has("core") ? "gallery/core.json" : "gallery/views.json";
const views = await fetch(kept).then((found) => found.json());

/** Draw another view of the same job, in the same page. @param {string} next */
globalThis.showView = (next) => {
  name = next;
  document.dispatchEvent(new Event("visibilitychange"));
};

/** Ids of the pictures that the job's events name. @type {string[]} */
let taken = [];

/** @param {{kind: string, typed: string}[]} events */
const picturesOf = (events) => events.filter(({ kind }) => kind === "photo").map(({ typed }) => typed);

/** The pictures that were taken, where there are any; a recorder's clock as if `left` seconds were left. */
function started(view) {
  for (const block of view.blocks) {
    if (block.block === "photo" && taken.length)
      block.photos = taken.map((id, i) => ({ id, caption: `picture ${i + 1}` }));
    if (block.block !== "recorder" || block.start === null) continue;
    const ago = block.due - left;
    const at = isoLocal(performance.timeOrigin - ago * 1000 + 1000);
    block.start = { at, mono: 1000 - ago * 1000, boot: BOOT };
  }
  return view;
}

const answers = {
  about: () => ({
    bundle: "gallery", version: "0.1.0",
    unit_sets: [
      { id: "kpa", label: "kPa, °C, litres", units: { pressure: "kPa" } },
      { id: "psi", label: "psi, °F, US quarts", units: { pressure: "psi" } },
    ],
  }),
  open: ({ job, events }) => {
    if (job === unfoldable) return { error: { message: "The app could not answer “open”." } };
    taken = picturesOf(events);
    return { count: events.length };
  },
  advance: ({ event, job }) => {
    taken = [...taken, ...picturesOf([event])];
    const refused = asked.get("refuse");
    const state = refused ? "refused" : "accepted";
    return { state, message: refused ?? "", view: answers.view({ job }) };
  },
  rules: () => ({ bundle: { hash: "gallery" } }),
  new: () => ({ events: [] }),
  view: ({ job }) => ({ ...started(structuredClone(views[job === running ? "recorder" : name])), job }),
  call: ({ operation, payload }) => {
    if (operation === "job.to_file") return { text: JSON.stringify(payload) };
    if (operation === "job.from_file") return JSON.parse(payload.text);
    return { error: { code: "gallery", message: "The gallery has no core.", path: "", accepted: "" } };
  },
};

export function createEngine({ onState }) {
  const ready = { state: "ready", stage: 4, stages: 4, words: "Ready" };
  const slow = asked.has("starting");
  const now = slow ? { state: "starting", stage: 2, stages: 4, words: "Unpacking" } : ready;
  queueMicrotask(() => onState(now));
  return {
    state: now.state,
    restart() {},
    ask: (question, payload) =>
      slow ? new Promise(() => {}) : Promise.resolve(JSON.parse(JSON.stringify(answers[question](payload)))),
  };
}
