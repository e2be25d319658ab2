// The engine: Python in a module worker. JSON text comes in, JSON text goes out; it stores nothing
// and fetches nothing but the four files beside it. It may be ended at any time.

/**
 * What the worker posts: a stage of its start (the last one is "ready"), the answer to a call, or
 * the Python error that a call ended in.
 * @typedef {{stage: number} | {id: number, answer: string} | {id: number, fault: string}} FromWorker
 * What the worker takes: one call.
 * @typedef {{id: number, name: string, text: string}} ToWorker
 */

/** @param {FromWorker} message */
const post = (message) => self.postMessage(message);

/** @param {string} name */
const runtime = (name) => new URL(`../runtime/${name}`, import.meta.url).href;

/** @param {string} name */
async function read(name) {
  const response = await fetch(runtime(name));
  if (!response.ok) throw new Error(`${name}: status ${response.status}`);
  return response.arrayBuffer();
}

// A module worker can't import scripts. The runtime, when it is loaded, tries to, to learn what kind
// of worker this is, and the policy would note the try. Without the function it learns the same.
Object.defineProperty(self, "importScripts", { value: undefined });
const { loadPyodide } = await import("pyodide");

async function start() {
  const site = read("site.zip"); // comes while Python starts
  site.catch(() => {}); // told where it is awaited
  const pyodide = await loadPyodide({
    indexURL: runtime(""),
    stdLibURL: runtime("stdlib.zip"),
    // No package is known by name: nothing can be loaded from another origin.
    lockFileContents: read("lock.json").then((bytes) => new TextDecoder().decode(bytes)),
    packageBaseUrl: runtime(""),
  });
  post({ stage: 2 });
  pyodide.unpackArchive(await site, "zip", { extractDir: "/lib/site" });
  pyodide.runPython("import sys; sys.path.insert(0, '/lib/site')");
  post({ stage: 3 });
  return pyodide.pyimport("weeptrace.bridge").ask;
}

// Held as long as this worker lives: once told, the page asks for the same lock, and gets it when
// the worker is gone, however it went.
navigator.locks.request(self.name, () => {
  post({ stage: 1 });
  return new Promise(() => {});
});

const ask = await start();

/** @param {MessageEvent<ToWorker>} event */
self.onmessage = ({ data: { id, name, text } }) => {
  try {
    post({ id, answer: ask(name, text) });
  } catch (problem) {
    // A Python error leaves Python whole; anything else ends this worker (see client.js).
    if (!(problem instanceof Error) || problem.name !== "PythonError") throw problem;
    // Its last line says what it was; the rest is where, which helps nobody on a driveway.
    post({ id, fault: problem.message.trim().split("\n").at(-1) ?? "" });
  }
};
post({ stage: 4 });
