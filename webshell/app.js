// The app: which page stands, and what the pages share. It computes nothing about coolant.

import { html, render } from "lit-html";
import { keepAwake } from "./device/awake.js";
import { play, unlock } from "./device/sound.js";
import { isWaiting, register, takeOver } from "./device/update.js";
import { showMore } from "./draw/frame.js";
import { progress } from "./draw/progress.js";
import { WORDS } from "./draw/words.js";
import { UNIT_SETS } from "./draw/words/menu.js";
import { createEngine } from "./engine/client.js";
import { Figures } from "./figures/figures.js";
import { SHOP, create, keepRules, openShop, practise, takeFile } from "./job/begin.js";
import { Calls } from "./job/calls.js";
import { keyOf, newEntry } from "./job/entry.js";
import { JobPage } from "./job/page.js";
import { JobPages, addressOf } from "./job/pages.js";
import { runningKeys, runningOf } from "./job/running.js";
import { Session } from "./job/session.js";
import { brokenPage, faultPage, shutPage, wordsOf } from "./pages/fault.js";
import { firstPage } from "./pages/first.js";
import { AT_ONCE, homePage, jobList } from "./pages/home.js";
import { menuPage } from "./pages/menu.js";
import { Claim } from "./store/claim.js";
import { Choice } from "./store/preferences.js";
import * as store from "./store/store.js";

/** @import {About, Kept, Moment, PracticeCar, Preferences, Strip} from "./contract.d.ts" */
/** @import {Running} from "./job/running.js" */

const EACH = 30_000; // ms between views of a page that nobody touches

const state = {
  /** @type {About | null} */ about: null,
  /** @type {Kept[]} */ jobs: [],
  /** @type {PracticeCar[]} */ cars: [],
  /** @type {Strip | null} */ strip: null,
  /** @type {Awaited<ReturnType<typeof store.room>> | null} */ room: null,
  started: false,
  /** Why the store can't be opened. @type {unknown} */ shut: null,
};
const choice = new Choice(() => state.about?.unit_sets ?? []);
/** Jobs that were made in this load of the page. @type {Set<string>} */
const made = new Set();
const calls = new Calls();
/** Tells the other tabs that a view was kept. */
const tabs = new BroadcastChannel("weeptrace-kept");

const root = /** @type {HTMLElement} */ (document.getElementById("app"));
const dialog = /** @type {HTMLDialogElement} */ (document.getElementById("menu"));

/** @type {import("./draw/progress.js").EngineState} */
let started = { state: "starting", stage: 1, stages: 1, words: "" };
const engine = createEngine({
  onState: (now) => {
    started = now;
    draw();
  },
});

function draw() {
  if (!state.started) return;
  const before = root.querySelector("main");
  try {
    render(page(), root);
  } catch (error) {
    const words = wordsOf(error);
    render(pages.shown ? faultPage(words, pages.shown) : brokenPage(words, home.leave), root);
  }
  const after = root.querySelector("main");
  if (before && after !== before && !dialog.open) after?.focus({ preventScroll: true });
  if (dialog.open) render(menu(), dialog);
  keepAwake(runningOf(state.jobs).length > 0 || (pages.shown?.session.view?.awake ?? false));
  if (pages.shown?.session.view) mark(pages.shown.fresh ? "first-step" : "first-seen");
  requestAnimationFrame(showMore);
}

/** @param {string} name */
function mark(name) {
  if (performance.getEntriesByName(name).length === 0) performance.mark(name);
}

function page() {
  if (state.shut) return shutPage(state.shut, isWaiting() ? takeOver : null);
  if (!choice.kept) return firstPage(state.about?.unit_sets ?? UNIT_SETS, firstUnits, choice.light, firstLight);
  if (pages.shown) return pages.shown.template();
  return figures.open ? figures.template(state.strip) : homePage(home, hand);
}

/** What the home page may ask of a hand: only its menu. */
const hand = /** @type {import("./contract.d.ts").Hand} */ (
  /** @type {unknown} */ ({
    menu: openMenu,
    others,
    get notice() {
      return isWaiting();
    },
  })
);

/** The keys of all running recorders but the one that is on the screen. */
function others() {
  const here = pages.shown?.reads ? pages.shown.session.job : null;
  return runningKeys(runningOf(state.jobs).filter(({ job }) => job !== here), read);
}

/** READ, from wherever one is: the time is the press's, and STORE leads back.
 *  @param {Running} one @param {Moment} moment */
async function read(one, moment) {
  dialog.close();
  const { shown } = pages;
  if (shown?.session.job === one.job) return shown.act({ read: one.pad }, moment, one.label);
  try {
    const claim = new Claim(`job-${one.job}`, () => {});
    const free = await claim.take();
    if (free) await store.keepDraft(one.job, newEntry("read", one.pad, moment));
    claim.release();
  } catch {
    tell(null, { kind: "refused", words: WORDS.notSaved });
    return draw();
  }
  pages.aside(one.job);
  return route();
}

/** Words for whoever looks at the screen now, or comes back to it.
 *  @param {import("./contract.d.ts").Hand | null} from @param {Strip} strip */
function tell(from, strip) {
  (pages.after(from) ?? state).strip = strip;
}

/** Once a second: announce and call the next reading of every running recorder. */
function tick() {
  const running = runningOf(state.jobs);
  for (const { job, recorder } of running) {
    const call = calls.next(job, recorder);
    if (call === "soon") signal("soon", WORDS.soon(recorder.call));
    if (call === "due") signal("due", recorder.call);
    const own = pages.shown?.session.job === job;
    if (own && (call === "due" || call === "passed")) pages.shown?.refresh();
  }
  if (running.length > 0) draw();
}

/** @param {"soon" | "due"} name @param {string} words */
function signal(name, words) {
  if (choice.all.sounds && calls.loud) play(name);
  (pages.shown ?? state).strip = { kind: "call", words };
}

/** @param {Kept} kept */
function onKept(kept) {
  state.jobs = [kept, ...state.jobs.filter(({ job }) => job !== kept.job)];
  tabs.postMessage(kept.job);
}

/** Another tab has kept a view. */
async function onOtherTab() {
  state.jobs = await store.cards();
  const { shown } = pages;
  if (shown && !shown.held) await shown.session.recall();
  draw();
}

const home = {
  get jobs() {
    return state.jobs.filter(({ job }) => job !== SHOP);
  },
  get cars() {
    return state.cars;
  },
  get strip() {
    return state.strip;
  },
  get ready() {
    return state.about !== null;
  },
  get progress() {
    return progress(started);
  },
  most: AT_ONCE,
  further: () => {
    home.most += AT_ONCE;
    draw();
  },
  sought: "",
  seek: (/** @type {string} */ words) => {
    home.sought = words;
    home.most = AT_ONCE;
    draw();
  },
  leave: () => go(location.pathname),
  open: show,
  create: () => then(create(state.about?.bundle ?? "", engine)),
  shop: openMyShop,
  practise: (/** @type {PracticeCar} */ car) => then(practise(car, state.about?.bundle ?? "", engine)),
  take: (/** @type {File} */ file) => then(takeFile(file, engine), false),
  figures: () => figures.show(),
};

/** Show a job that was just made or taken in; say why if it was not.
 *  @param {Promise<string>} job @param {boolean} [own] */
async function then(job, own = true) {
  state.strip = null;
  try {
    const id = await job;
    if (own) made.add(id);
    show(id);
    await store.askToKeep();
  } catch (error) {
    state.strip = { kind: "refused", words: wordsOf(error) };
    draw();
  }
}

async function openMyShop() {
  if (await openShop(state.about?.bundle ?? "")) made.add(SHOP);
  return show(SHOP);
}

/** @param {string} job */
function show(job) {
  return go(addressOf(job));
}

/** @param {string} hash */
function go(hash) {
  state.strip = null;
  history.pushState({ home: true }, "", hash);
  return route();
}

function goHome() {
  if (history.state?.home || history.state?.elsewhere) history.back();
  else {
    history.replaceState(null, "", location.pathname);
    route();
  }
}

/** Draw what the address says; where that fails, the list of jobs says why. */
async function route() {
  try {
    await follow();
  } catch (error) {
    pages.shown = null;
    state.strip = { kind: "refused", words: wordsOf(error) };
    draw();
  }
}

async function follow() {
  const another = await pages.follow(async (job) => {
    if (!figures.open) store.set("open", job).catch(() => {});
    state.jobs = await store.cards();
  });
  if (!another) return;
  draw();
  pages.shown?.start();
}

const around = {
  draw,
  go,
  others,
  tell,
  shown: () => pages.shown,
  home: goHome,
  menu: openMenu,
  sounds: () => choice.all.sounds,
  reader: () => choice.reader,
  notice: isWaiting,
  progress: () => progress(started),
  beside: () =>
    matchMedia("(min-width: 1200px)").matches ? jobList(home, home.jobs, "beside") : null,
};
const figures = new Figures(engine, around);
/** @type {JobPages} */
const pages = new JobPages(async (job) => {
  const page = new JobPage(new Session(job, engine, around.reader, onKept), around);
  page.elsewhere = Boolean(history.state?.elsewhere);
  await page.open(made.has(job));
  return page;
});

/** @param {string} unit_set */
const firstUnits = (unit_set) => change({ unit_set, theme: choice.light });

/** @param {Preferences["theme"]} light */
function firstLight(light) {
  choice.light = light;
  draw();
}

/** @param {Partial<Preferences>} changed */
async function change(changed) {
  const kept = choice.change(changed);
  draw();
  await kept;
  pages.shown?.refresh();
}

async function openMenu() {
  state.room = await store.room();
  state.jobs = await store.cards();
  render(menu(), dialog);
  if (!dialog.open) dialog.showModal();
}

const menu = () =>
  menuPage({
    preferences: choice.all,
    sets: state.about?.unit_sets ?? UNIT_SETS,
    room: state.room,
    others: others(),
    more: pages.shown?.fresh ? (pages.shown.session.view?.more ?? []) : [],
    act: (action, moment) => {
      dialog.close();
      pages.shown?.act(action.do, moment, action.label);
    },
    waiting: isWaiting(),
    holding: Boolean(pages.shown?.deep) || state.jobs.some(({ view }) => view.awake || view.open),
    version: state.about?.version ?? "",
    rules: pages.shown?.session.view?.rules ?? "",
    engine: started.words,
    change,
    figures: () => figures.show(),
    takeOver,
    restart: () => {
      engine.restart();
      learn();
      pages.shown?.start();
    },
    close: () => dialog.close(),
  });

/** Ask the rules who they are, once they run. */
async function learn() {
  state.about ??= await engine.ask("about", {}).catch(() => null);
  draw();
  // Where there is no room, the next new job says so.
  if (state.about) await keepRules(state.about.bundle, engine).catch(() => {});
}

/** A keyboard types on the pad as the keys do. @param {KeyboardEvent} event */
function typed(event) {
  const page = pages.shown;
  if (!page?.entry || !page.held || dialog.open || event.ctrlKey || event.altKey || event.metaKey) return;
  if (event.target instanceof HTMLInputElement) return;
  const key = keyOf(event.key);
  if (key) page.press(key);
  else if (event.key === "Enter" && !(event.target instanceof HTMLButtonElement)) page.store();
  else if (event.key === "Escape") page.back();
  else return;
  event.preventDefault();
}

async function start() {
  try {
    await begin();
  } catch (error) {
    state.shut = error;
  }
  state.started = true;
  draw();
  learn();
}

async function begin() {
  await choice.recall();
  await store.mendNumbers();
  state.cars = await fetch("scenarios.json").then((found) => found.json()).catch(() => []);
  // Ended in the middle, it goes on there: at the needle half read, else at the job that was open.
  const left = location.hash ? null : ((await store.jobHalfRead()) ?? (await store.setting("open")));
  await (left ? show(left) : route());
}

addEventListener("popstate", () => route());
addEventListener("pointerdown", unlock, { capture: true });
addEventListener("keydown", unlock, { capture: true });
addEventListener("keydown", typed);
addEventListener("resize", () => requestAnimationFrame(showMore));
document.addEventListener("scroll", showMore, { capture: true, passive: true });
document.addEventListener("visibilitychange", () => {
  if (document.visibilityState === "visible") pages.shown?.refresh();
});
setInterval(tick, 1000);
tabs.addEventListener("message", onOtherTab);
setInterval(() => pages.shown?.refresh(), EACH);

document.fonts.ready.then(draw);
start();
register(draw);
