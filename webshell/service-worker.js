// Serves one release from its cache, and nothing else: after the install no request leaves, but for
// a file of it that the browser has lost.
//
// A file that was lost from the cache is fetched again, and taken if it is the one of this release.
//
// A file is kept under the hash of its content, so a new release fetches only what changed. It is
// installed whole beside the old one, and takes over when a page says {type: "take-over"}; then
// every open page is loaded afresh, so that no page mixes two releases.

/** @typedef {{release: string, headers: Record<string, string>, files: Record<string, string>,
 *   words: {notOfRelease: string, lost: string, lostNewer: string}}} Release */
/** @type {Release} The build writes the release here: its name, the headers, path -> SHA-256, and what is
 *  said where a file is not to be had. */
const RELEASE = JSON.parse("{}");

const worker = /** @type {ServiceWorkerGlobalScope} */ (/** @type {unknown} */ (self));
const PREFIX = "weeptrace-release-";
/** Pauses before a file is asked for again, ms: the signal on a driveway comes and goes. */
const PAUSES = [1000, 5000, 15000];
const CACHE = PREFIX + RELEASE.release;

/** @param {string} path */
const here = (path) => new URL(path, worker.registration.scope).href;

/** The address that a content has in every cache. @param {string} hash */
const contentKey = (hash) => here(`content/${hash}`);

worker.addEventListener("install", (event) => event.waitUntil(install()));
worker.addEventListener("activate", (event) => event.waitUntil(activate()));
worker.addEventListener("message", (event) => {
  if (event.data?.type !== "take-over") return;
  for (const page of event.data.stuck ?? []) stuck.add(page);
  event.waitUntil(worker.skipWaiting());
});
worker.addEventListener("fetch", (event) => event.respondWith(answer(event)));

/** Put every file into the cache that is not there yet. */
async function install() {
  const cache = await caches.open(CACHE);
  await Promise.all(
    Object.entries(RELEASE.files).map(async ([path, hash]) => {
      if (await cache.match(contentKey(hash))) return;
      await cache.put(contentKey(hash), await whole(path, hash, fetched));
    }),
  );
}

/**
 * One file: from any release that has it, else from the host, checked.
 * @param {string} path @param {string} hash @param {(path: string) => Promise<Response>} ask
 */
async function whole(path, hash, ask) {
  const found = await caches.match(contentKey(hash));
  const response = found ?? (await ask(path));
  const content = await response.arrayBuffer();
  if (!found && (!response.ok || (await sha256(content)) !== hash)) {
    throw new Another(`${path}: ${response.status}`);
  }
  // The headers of the release, whatever the host sends: the policy holds on any host.
  const type = response.headers.get("content-type") ?? "application/octet-stream";
  const headers = { ...RELEASE.headers, "content-type": type };
  return new Response(content, { headers });
}

/** The host gave another file than that of this release. */
class Another extends Error {}

/** @param {string} path */
const asked = (path) => fetch(here(path), { cache: "no-cache" });

/** Past all caches: what is lost in one may be damaged in another. @param {string} path */
const askedAnew = (path) => fetch(here(path), { cache: "reload" });

/** A file from the host; where the network fails it is asked for again. @param {string} path */
async function fetched(path) {
  for (const pause of PAUSES) {
    try {
      return await asked(path);
    } catch {
      await new Promise((go) => setTimeout(go, pause));
    }
  }
  return asked(path);
}

/** @param {ArrayBuffer} content */
async function sha256(content) {
  const digest = new Uint8Array(await crypto.subtle.digest("SHA-256", content));
  return Array.from(digest, (byte) => byte.toString(16).padStart(2, "0")).join("");
}

async function activate() {
  const older = (await caches.keys()).filter((name) => name.startsWith(PREFIX) && name !== CACHE);
  await Promise.all(older.map((name) => caches.delete(name)));
  await worker.clients.claim();
  // Not waited for: what a page asks is answered once this is done.
  for (const page of stuck) worker.clients.get(page).then(afresh).catch(() => {});
}

/** @param {Client | undefined} page */
const afresh = (page) => (page && "navigate" in page ? /** @type {WindowClient} */ (page).navigate(page.url) : null);

/** @param {FetchEvent} event */
async function answer(event) {
  const { request } = event;
  const path = request.url.split(/[?#]/)[0].replace(here(""), "") || "index.html";
  const hash = request.method === "GET" ? RELEASE.files[path] : undefined;
  if (!hash) return absent(RELEASE.words.notOfRelease);
  const found = await caches.match(contentKey(hash), { cacheName: CACHE }).catch(() => undefined);
  return found ?? mended(event, path, hash);
}

/** A file that was lost: from the host, while the rest of what was lost comes too.
 *  @param {FetchEvent} event @param {string} path @param {string} hash */
async function mended(event, path, hash) {
  try {
    const file = await whole(path, hash, askedAnew);
    event.waitUntil(restock());
    return file;
  } catch (problem) {
    if (!(problem instanceof Another)) return absent(RELEASE.words.lost);
    // The host has gone on to another release. This one can't be made whole any more: the next one takes
    // over, fetched first where the page can't even start.
    if (STARTS.has(event.request.destination)) {
      stuck.add(event.resultingClientId || event.clientId);
      event.waitUntil(handOver());
    } else worker.registration.waiting?.postMessage({ type: "take-over" });
    return absent(RELEASE.words.lostNewer);
  }
}

/** @param {string} words */
const absent = (words) => new Response(words, { status: 404 });

/** What a page can't start without. @type {Set<RequestDestination>} */
const STARTS = new Set(["document", "script"]);

/** Pages that could not start, by the ids of their clients. @type {Set<string>} */
const stuck = new Set();

/** The one handing over that runs. @type {Promise<void> | null} */
let handing = null;

/** The next release takes over, and loads the stuck pages afresh; none of them has a script to do so. */
function handOver() {
  handing ??= nextRelease()
    .then((next) => next?.postMessage({ type: "take-over", stuck: [...stuck] }))
    .catch(() => {})
    .then(() => {
      handing = null;
    });
  return handing;
}

/** The release beside this one, once it is whole on the phone; null where there is none. */
async function nextRelease() {
  const { registration } = worker;
  if (registration.waiting) return registration.waiting;
  await registration.update();
  const coming = registration.installing;
  if (coming) await new Promise((go) => coming.addEventListener("statechange", go, { once: true }));
  return registration.waiting;
}

/** The one restocking that runs. @type {Promise<void> | null} */
let restocking = null;

/** All that was lost, as on the day of the install; what can't be had now is asked for next time. */
function restock() {
  restocking ??= install()
    .catch(() => {})
    .then(() => {
      restocking = null;
    });
  return restocking;
}
