// The app: which page stands, and what the pages share. It computes nothing about coolant.

import { html, render } from "lit-html";
import { keepAwake } from "./device/awake.js";
import { play, unlock } from "./device/sound.js";
import { showTheme } from "./device/theme.js";
import { isWaiting, register, takeOver } from "./device/update.js";
import { showMore } from "./draw/frame.js";
import { progress } from "./draw/progress.js";
import { WORDS } from "./draw/words.js";
import { createEngine } from "./engine/client.js";
import { Figures } from "./figures/figures.js";
import { SHOP, create, keepRules, openShop, practise, takeFile } from "./job/begin.js";
import { Calls } from "./job/calls.js";
import { keyOf, newEntry } from "./job/entry.js";
import { JobPage } from "./job/page.js";
import { runningKeys, runningOf } from "./job/running.js";
import { Session } from "./job/session.js";
import { brokenPage, faultPage, shutPage, wordsOf } from "./pages/fault.js";
import { UNIT_SETS, firstPage, newPreferences } from "./pages/first.js";
import { AT_ONCE, homePage, jobList } from "./pages/home.js";
import { menuPage } from "./pages/menu.js";
import { Claim } from "./store/claim.js";
import * as store from "./store/store.js";

/** @import {About, Kept, Moment, PracticeCar, Preferences, Strip} from "./contract.d.ts" */
/** @import {Running} from "./job/running.js" */

const EACH = 30_000; // ms between views of a page that nobody touches

const state = {
  /** @type {About | null} */ about: null,
  /** @type {Preferences | null} */ preferences: null,
  /** @type {Preferences["theme"]} chosen on the first page */ light: "day",
  /** @type {Kept[]} */ jobs: [],
  /** @type {PracticeCar[]} */ cars: [],
  /** @type {JobPage | null} */ page: null,
  /** @type {JobPage | null} left for a reading of another job, and come back to */ under: null,
  /** @type {Strip | null} */ strip: null,
  /** @type {Awaited<ReturnType<typeof store.room>> | null} */ room: null,
  started: false,
  /** Why the store can't be opened. @type {unknown} */ shut: null,
};
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
    render(state.page ? faultPage(words, state.page) : brokenPage(words, home.leave), root);
  }
  const after = root.querySelector("main");
  if (before && after !== before && !dialog.open) after?.focus({ preventScroll: true });
  if (dialog.open) render(menu(), dialog);
  keepAwake(runningOf(state.jobs).length > 0 || (state.page?.session.view?.awake ?? false));
  if (state.page?.session.view) mark(state.page.fresh ? "first-step" : "first-seen");
  requestAnimationFrame(showMore);
}

/** @param {string} name */
function mark(name) {
  if (performance.getEntriesByName(name).length === 0) performance.mark(name);
}

function page() {
  if (state.shut) return shutPage(state.shut, isWaiting() ? takeOver : null);
  if (!state.preferences) return firstPage(state.about?.unit_sets ?? UNIT_SETS, firstUnits, state.light, firstLight);
  if (state.page) return state.page.template();
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
  const here = state.page?.reads ? state.page.session.job : null;
  return runningKeys(runningOf(state.jobs).filter(({ job }) => job !== here), read);
}

/** READ, from wherever one is: the time is the press's, and STORE leads back.
 *  @param {Running} one @param {Moment} moment */
async function read(one, moment) {
  dialog.close();
  const { page } = state;
  if (page?.session.job === one.job) return page.act({ read: one.pad }, moment, one.label);
  try {
    const claim = new Claim(`job-${one.job}`, () => {});
    const free = await claim.take();
    if (free) await store.keepDraft(one.job, newEntry("read", one.pad, moment));
    claim.release();
  } catch {
    tell(null, { kind: "refused", words: WORDS.notSaved });
    return draw();
  }
  if (state.under !== page) state.under?.leave();
  state.under = page;
  history.pushState({ deeper: true, elsewhere: true }, "", addressOf(one.job));
  return route();
}

/** Words for whoever looks at the screen now, or comes back to it.
 *  @param {import("./contract.d.ts").Hand | null} from @param {Strip} strip */
function tell(from, strip) {
  const to = state.page === from ? state.under : state.page;
  if (to) to.strip = strip;
  else state.strip = strip;
}

/** Once a second: announce and call the next reading of every running recorder. */
function tick() {
  const running = runningOf(state.jobs);
  for (const { job, recorder } of running) {
    const call = calls.next(job, recorder);
    if (call === "soon") signal("soon", WORDS.soon(recorder.call));
    if (call === "due") signal("due", recorder.call);
    const own = state.page?.session.job === job;
    if (own && (call === "due" || call === "passed")) state.page?.refresh();
  }
  if (running.length > 0) draw();
}

/** @param {"soon" | "due"} name @param {string} words */
function signal(name, words) {
  if (withUnits().sounds && calls.loud) play(name);
  (state.page ?? state).strip = { kind: "call", words };
}

/** @param {Kept} kept */
function onKept(kept) {
  state.jobs = [kept, ...state.jobs.filter(({ job }) => job !== kept.job)];
  tabs.postMessage(kept.job);
}

/** Another tab has kept a view. */
async function onOtherTab() {
  state.jobs = await store.cards();
  const { page } = state;
  if (page && !page.held) await page.session.recall();
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
const addressOf = (job) => `#job=${encodeURIComponent(job)}`;

/** The job that an address names. */
function jobHere() {
  const named = /^#job=(.+)$/.exec(location.hash)?.[1];
  try {
    return named && decodeURIComponent(named);
  } catch {
    return named;
  }
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
    state.page = null;
    state.strip = { kind: "refused", words: wordsOf(error) };
    draw();
  }
}

async function follow() {
  const job = jobHere();
  const open = state.page;
  if (job && open?.session.job === job) {
    if (open.deep && !history.state?.deeper) open.cancel();
    return;
  }
  const turn = ++turns;
  if (!figures.open) store.set("open", job ?? null).catch(() => {});
  state.jobs = await store.cards();
  const next = job ? await pageOf(job) : null;
  if (turn !== turns) return next?.leave();
  if (open !== state.under) open?.leave();
  if (next === state.under || !history.state?.elsewhere) {
    if (next !== state.under) state.under?.leave();
    state.under = null;
  }
  state.page = next;
  draw();
  next?.start();
}

/** Counts the turns of the address: an older one that is still under way gives up. */
let turns = 0;

/** The page of a job: the one that was left for a reading elsewhere, or a new one.
 *  @param {string} job */
async function pageOf(job) {
  if (state.under?.session.job === job) return state.under;
  const page = new JobPage(new Session(job, engine, reader, onKept), around);
  page.elsewhere = Boolean(history.state?.elsewhere);
  await page.open(made.has(job));
  return page;
}

const around = {
  draw,
  go,
  others,
  tell,
  shown: () => state.page,
  home: goHome,
  menu: openMenu,
  sounds: () => withUnits().sounds,
  reader,
  notice: isWaiting,
  progress: () => progress(started),
  beside: () =>
    matchMedia("(min-width: 1200px)").matches ? jobList(home, home.jobs, "beside") : null,
};
const figures = new Figures(engine, around);

/** The preferences with the units of the chosen set, as the rules give them. @returns {Preferences} */
function withUnits() {
  const kept = state.preferences ?? newPreferences("kpa");
  const set = state.about?.unit_sets.find(({ id }) => id === kept.unit_set);
  return { ...kept, units: set?.units ?? kept.units };
}

/** @returns {import("./contract.d.ts").Reader} */
function reader() {
  const { units, language } = withUnits();
  return { units, language };
}

/** @param {string} unit_set */
const firstUnits = (unit_set) => change({ unit_set, theme: state.light });

/** @param {Preferences["theme"]} light */
function firstLight(light) {
  state.light = light;
  theme();
  draw();
}

/** @param {Partial<Preferences>} changed */
async function change(changed) {
  state.preferences = { ...(state.preferences ?? newPreferences("kpa")), ...changed };
  state.preferences = withUnits();
  theme();
  draw();
  await store.set("preferences", state.preferences);
  state.page?.refresh();
}

const theme = () => showTheme(state.preferences?.theme ?? state.light);

async function openMenu() {
  state.room = await store.room();
  state.jobs = await store.cards();
  render(menu(), dialog);
  if (!dialog.open) dialog.showModal();
}

const menu = () =>
  menuPage({
    preferences: withUnits(),
    sets: state.about?.unit_sets ?? UNIT_SETS,
    room: state.room,
    others: others(),
    more: state.page?.fresh ? (state.page.session.view?.more ?? []) : [],
    act: (action, moment) => {
      dialog.close();
      state.page?.act(action.do, moment, action.label);
    },
    waiting: isWaiting(),
    holding: Boolean(state.page?.deep) || state.jobs.some(({ view }) => view.awake || view.open),
    version: state.about?.version ?? "",
    rules: state.page?.session.view?.rules ?? "",
    engine: started.words,
    change,
    figures: () => figures.show(),
    takeOver,
    restart: () => {
      engine.restart();
      learn();
      state.page?.start();
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
  const { page } = state;
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
  state.preferences = (await store.setting("preferences")) ?? null;
  await store.mendNumbers();
  state.cars = await fetch("scenarios.json").then((found) => found.json()).catch(() => []);
  theme();
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
  if (document.visibilityState === "visible") state.page?.refresh();
});
setInterval(tick, 1000);
tabs.addEventListener("message", onOtherTab);
setInterval(() => state.page?.refresh(), EACH);

document.fonts.ready.then(draw);
start();
register(draw);
