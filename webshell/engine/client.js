// The page's side of the engine: one queue to a worker that may be ended and started again.
// A job lives in the store, so after a restart the caller opens it again.

import { ENGINE } from "../draw/words/engine.js";

/** @typedef {import("./worker.js").FromWorker} FromWorker */
/**
 * How the engine stands: `stage` of `stages` counts the named steps of a start, `words` say it.
 * @typedef {{state: "starting" | "ready" | "failed", stage: number, stages: number, words: string}} EngineState
 */
/** @typedef {{name: string, text: string, timeout: number, resolve: (answer: any) => void, reject: (why: EngineError) => void}} Call */

const STAGES = ENGINE.stages;
const START_LIMIT = 120_000; // ms; a stock start with a fifth of a core took 12 s

/** Why a call has no answer. */
export class EngineError extends Error {
  /** @param {"died" | "timed_out" | "not_started" | "python_error"} code @param {string} message */
  constructor(code, message) {
    super(message);
    this.name = "EngineError";
    this.code = code;
  }
}

const policy = window.trustedTypes?.createPolicy("weeptrace-engine", {
  createScriptURL: (text) => {
    if (new URL(text, location.href).origin === location.origin) return text;
    throw new TypeError(`A worker from another origin: ${text}`);
  },
});

/** @param {string} url @param {string} name */
function newWorker(url, name) {
  const trusted = policy?.createScriptURL(url) ?? url;
  return new Worker(/** @type {string} */ (trusted), { type: "module", name });
}

/**
 * Start an engine. It promises:
 * - calls are answered one at a time, in order; a call's time-out counts from its turn;
 * - when the worker dies or a call times out, every waiting call is rejected with an `EngineError`
 *   and a new worker starts by itself; only two failed starts in a row end in the state "failed";
 * - calls made while it starts wait for it; calls made after "failed" are rejected at once.
 * @param {{url?: URL | string, onState?: (state: EngineState) => void}} [options]
 */
export function createEngine({ url = new URL("./worker.js", import.meta.url), onState } = {}) {
  /** @type {Call[]} */
  let queue = []; // the first call is with the worker when `sent` is true
  /** @type {EngineState} */
  let state = { state: "starting", stage: 1, stages: STAGES.length, words: STAGES[0] };
  /** @type {Worker} */
  let worker;
  let sent = false;
  let number = 0; // of the last call sent
  let failedStarts = 0;
  let clock = 0; // of the start, or of the call that is with the worker

  /** @param {EngineState["state"]} name @param {number} stage @param {string} words */
  function tell(name, stage, words) {
    state = { state: name, stage, stages: STAGES.length, words };
    onState?.(state);
  }

  function start() {
    const name = `weeptrace-engine-${crypto.randomUUID()}`;
    const mine = newWorker(String(url), name);
    worker = mine;
    sent = false;
    tell("starting", 1, STAGES[0]);
    clock = setTimeout(() => lose(mine, "not_started", ENGINE.slowStart), START_LIMIT);
    mine.onmessage = ({ data }) => {
      if (worker !== mine) return;
      if ("stage" in data) onStage(mine, name, data.stage);
      else if (sent && data.id === number) onAnswer(data);
    };
    mine.onerror = (event) => {
      event.preventDefault();
      lose(mine, "died", event.message ? ENGINE.stopped(event.message) : ENGINE.notLoaded);
    };
  }

  /** @param {Worker} mine @param {string} name @param {number} stage */
  function onStage(mine, name, stage) {
    if (stage === 1) {
      // The worker holds this lock for life; it comes to us when the worker is gone, even silently.
      navigator.locks.request(name, () => lose(mine, "died", ENGINE.ended));
    }
    const ready = stage === STAGES.length;
    tell(ready ? "ready" : "starting", stage, STAGES[stage - 1]);
    if (!ready) return;
    clearTimeout(clock);
    failedStarts = 0;
    performance.mark("engine-ready");
    sendNext();
  }

  function sendNext() {
    if (sent || state.state !== "ready" || queue.length === 0) return;
    const { name, text, timeout } = queue[0];
    const mine = worker;
    const late = ENGINE.late(name, timeout / 1000);
    clock = setTimeout(() => lose(mine, "timed_out", late), timeout);
    sent = true;
    number += 1;
    mine.postMessage({ id: number, name, text });
  }

  /** @param {{answer: string} | {fault: string}} data */
  function onAnswer(data) {
    clearTimeout(clock);
    sent = false;
    const call = /** @type {Call} */ (queue.shift());
    if ("fault" in data) call.reject(new EngineError("python_error", data.fault));
    else call.resolve(JSON.parse(data.answer));
    sendNext();
  }

  /** @param {Worker} mine @param {"died" | "timed_out" | "not_started"} code @param {string} words */
  function lose(mine, code, words) {
    if (worker !== mine || state.state === "failed") return;
    end(code, words);
    if (state.state === "starting") failedStarts += 1;
    if (failedStarts < 2) start();
    else tell("failed", state.stage, words);
  }

  /** @param {"died" | "timed_out" | "not_started"} code @param {string} words */
  function end(code, words) {
    clearTimeout(clock);
    worker.terminate();
    const waiting = queue;
    queue = [];
    sent = false;
    for (const call of waiting) call.reject(new EngineError(code, words));
  }

  start();
  return {
    get state() {
      return state.state;
    },

    /**
     * Ask the core. `timeout` is in ms.
     * @param {string} name @param {unknown} payload @param {{timeout?: number}} [options]
     * @returns {Promise<any>}
     */
    ask(name, payload, { timeout = 30_000 } = {}) {
      const text = JSON.stringify(payload);
      return new Promise((resolve, reject) => {
        if (state.state === "failed") return reject(new EngineError("not_started", state.words));
        queue.push({ name, text, timeout, resolve, reject });
        return sendNext();
      });
    },

    /** End the worker, reject what waits, start afresh. */
    restart() {
      end("died", ENGINE.restarted);
      failedStarts = 0;
      start();
    },
  };
}
