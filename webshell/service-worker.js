// Serves one release from its cache, and nothing else: after the install no request leaves.
//
// A file is kept under the hash of its content, so a new release fetches only what changed. It is
// installed whole beside the old one, and takes over when a page says {type: "take-over"}; then
// every open page is loaded afresh, so that no page mixes two releases.

/** @typedef {{release: string, headers: Record<string, string>, files: Record<string, string>}} Release */
/** @type {Release} The build writes the release here: its name, the headers, path -> SHA-256. */
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
  if (event.data?.type === "take-over") event.waitUntil(worker.skipWaiting());
});
worker.addEventListener("fetch", (event) => event.respondWith(answer(event.request)));

async function install() {
  const cache = await caches.open(CACHE);
  await Promise.all(Object.entries(RELEASE.files).map(([path, hash]) => keep(cache, path, hash)));
}

/**
 * Put one file into the cache: from any release that has it, else from the host, checked.
 * @param {Cache} cache @param {string} path @param {string} hash
 */
async function keep(cache, path, hash) {
  const found = await caches.match(contentKey(hash));
  const response = found ?? (await fetched(path));
  const content = await response.arrayBuffer();
  if (!found && (!response.ok || (await sha256(content)) !== hash)) {
    throw new Error(`${path} is not the file of this release (status ${response.status})`);
  }
  // The headers of the release, whatever the host sends: the policy holds on any host.
  const type = response.headers.get("content-type") ?? "application/octet-stream";
  const headers = { ...RELEASE.headers, "content-type": type };
  await cache.put(contentKey(hash), new Response(content, { headers }));
}

/** A file from the host; where the network fails it is asked for again. @param {string} path */
async function fetched(path) {
  for (const pause of PAUSES) {
    try {
      return await fetch(here(path), { cache: "no-cache" });
    } catch {
      await new Promise((go) => setTimeout(go, pause));
    }
  }
  return fetch(here(path), { cache: "no-cache" });
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
}

/** @param {Request} request */
async function answer(request) {
  const path = request.url.split(/[?#]/)[0].replace(here(""), "") || "index.html";
  const hash = request.method === "GET" ? RELEASE.files[path] : undefined;
  const found = hash && (await caches.match(contentKey(hash), { cacheName: CACHE }));
  return found || new Response("Not a file of this release.", { status: 404 });
}
