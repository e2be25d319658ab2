// What this phone keeps: events (append only), the rules that jobs began on, the last view of each
// job and its card in the list, what is half typed, settings. A write is confirmed on disk and read back before anyone may say "saved".

import { openDB } from "idb";
import { WORDS } from "../draw/words.js";
import { cardOf, isWhole } from "./kept.js";

/** @import {Bundle, Entry, Kept, Logged} from "../contract.d.ts" */
/** @import {IDBPDatabase, IDBPTransaction} from "idb" */
/** @typedef {Omit<Logged, "device" | "seq">} Fresh */

const NAME = "weeptrace";
const VERSION = 4;
const TRIES = 3;
/** Views that are read at once while the store is brought to a new version. */
const AT_A_TIME = 100;
/** Entries of a job at most, as a job file takes them (core: job/files.py). */
export const MOST = 20_000;
/** No phone's own count comes so far (core: job/files.py). */
const COUNTS_TO = 1e9;
/** So far a file may be ahead of this phone's count: more than a phone of many years. */
const AHEAD = 1e6;

/** A job takes no more entries. */
export class Full extends Error {
  constructor() {
    super(WORDS.full(MOST));
  }
}

/** @type {Promise<IDBPDatabase> | null} */
let connection = null;

function connect() {
  connection ??= openDB(NAME, VERSION, {
    async upgrade(db, from, _to, change) {
      if (from < 3) db.createObjectStore("bundles");
      if (from < 2) db.createObjectStore("photos");
      if (from < 1) {
        const events = db.createObjectStore("events", { keyPath: ["device", "seq"] });
        events.createIndex("job", "job");
        db.createObjectStore("views", { keyPath: "job" });
        db.createObjectStore("drafts");
        db.createObjectStore("settings");
      }
      const cards = db.createObjectStore("cards", { keyPath: "job" });
      const views = change.objectStore("views");
      let some = /** @type {Kept[]} */ (await views.getAll(null, AT_A_TIME));
      while (some.length > 0) {
        for (const kept of some) cards.put(cardOf(kept));
        some = await views.getAll(IDBKeyRange.lowerBound(some.at(-1)?.job, true), AT_A_TIME);
      }
    },
    blocking: (_current, _blocked, event) => {
      /** @type {IDBDatabase} */ (event.target).close();
      connection = null;
    },
    terminated: () => {
      connection = null;
    },
  });
  return connection;
}

/** Do `work`; a connection that the system dropped in the background is opened again.
 *  @template T @param {(db: IDBPDatabase) => Promise<T>} work @returns {Promise<T>} */
async function withStore(work) {
  for (let tried = 1; ; tried++) {
    try {
      return await work(await connect());
    } catch (error) {
      const name = error instanceof DOMException ? error.name : "";
      const dropped = ["InvalidStateError", "AbortError", "UnknownError"].includes(name);
      if (!dropped || tried === TRIES) throw error;
      connection = null;
    }
  }
}

/** Store new events, durably, with the next sequence numbers of this device; read them back. What
 *  was half typed for a job ends in the same write: killed at any time, it is one or the other.
 *  @param {Fresh[]} fresh @param {string | null} [typed] the job whose draft has become an event
 *  @returns {Promise<Logged[]>} */
export function append(fresh, typed = null) {
  return withStore(async (db) => {
    const stores = ["events", "settings", "drafts"];
    const write = db.transaction(stores, "readwrite", { durability: "strict" });
    const settings = write.objectStore("settings");
    await hold(write, fresh[0]?.job ?? "", fresh.length);
    const device = (await settings.get("device")) ?? crypto.randomUUID();
    let seq = (await settings.get("next_seq")) ?? 1;
    const logged = fresh.map((event) => ({ ...event, device, seq: seq++ }));
    await Promise.all([
      settings.put(device, "device"),
      settings.put(seq, "next_seq"),
      ...logged.map((event) => write.objectStore("events").add(event)),
      typed === null ? null : write.objectStore("drafts").delete(typed),
    ]);
    await write.done;
    await confirm(db, logged);
    return logged;
  });
}

/** Give the write up where it makes a job longer than a job file takes.
 *  @param {IDBPTransaction<unknown, string[], "readwrite">} write @param {string} job
 *  @param {number} more entries that are still to come */
async function hold(write, job, more) {
  const stored = await write.objectStore("events").index("job").count(job);
  if (stored + more > MOST) giveUp(write, new Full());
}

/** @param {IDBPTransaction<unknown, string[], "readwrite">} write @param {Error} why
 *  @returns {never} */
function giveUp(write, why) {
  write.done.catch(() => {});
  write.abort();
  throw why;
}

/** Store events of a file under their own keys; those already here stay as they are, and a file
 *  that says something else of one of them is refused whole.
 *  @param {Logged[]} events @returns {Promise<number>} how many were new */
export function adopt(events) {
  return withStore(async (db) => {
    const write = db.transaction(["events", "settings"], "readwrite", { durability: "strict" });
    const [store, settings] = [write.objectStore("events"), write.objectStore("settings")];
    // This phone counts on from the highest number in the file: what is done next comes after it.
    const after = events.reduce((highest, { seq }) => Math.max(highest, seq), 0) + 1;
    const next = (await settings.get("next_seq")) ?? 1;
    if (after > next + AHEAD) giveUp(write, new Error(WORDS.farCount(after - 1)));
    await settings.put(Math.max(after, next), "next_seq");
    let added = 0;
    for (const event of events) {
      const here = await store.get([event.device, event.seq]);
      if (here === undefined) {
        await store.add(event);
        added++;
      } else if (here.id !== event.id) giveUp(write, new Error(WORDS.otherWords(event.seq)));
    }
    if (added > 0) await hold(write, events[0]?.job ?? "", 0);
    await write.done;
    return added;
  });
}

/** @param {IDBPDatabase} db @param {Logged[]} logged */
async function confirm(db, logged) {
  for (const event of logged) {
    const read = await db.get("events", [event.device, event.seq]);
    if (read?.id !== event.id) throw new Error("a stored event can't be read back");
  }
}

/** The events of a job in order of device and sequence. @param {string} job
 *  @returns {Promise<Logged[]>} */
export const eventsOf = (job) => withStore((db) => db.getAllFromIndex("events", "job", job));

/** The view, and its card in the list. @param {Kept} kept */
export const keepView = (kept) =>
  withStore(async (db) => {
    const write = db.transaction(["views", "cards"], "readwrite");
    await Promise.all([
      write.objectStore("views").put(kept),
      write.objectStore("cards").put(cardOf(kept)),
      write.done,
    ]);
  });

/** @param {string} job @returns {Promise<Kept | undefined>} undefined where it is damaged, too */
export async function keptView(job) {
  const kept = await withStore((db) => db.get("views", job));
  return isWhole(kept?.view) ? kept : undefined;
}

/** The list of jobs: of each view what a list shows, newest first. @returns {Promise<Kept[]>} */
export async function cards() {
  const all = /** @type {Kept[]} */ (await withStore((db) => db.getAll("cards")));
  return all.sort((a, b) => Date.parse(b.seen) - Date.parse(a.seen));
}

/** Entries that an earlier version numbered past all counting, by a file that it took in: there no new
 *  entry finds a number of its own. They are numbered again, in their order, after all others. */
export const mendNumbers = () =>
  withStore(async (db) => {
    if (((await db.get("settings", "next_seq")) ?? 1) <= COUNTS_TO) return;
    const write = db.transaction(["events", "settings"], "readwrite", { durability: "strict" });
    const store = write.objectStore("events");
    const keys = /** @type {[string, number][]} */ (await store.getAllKeys());
    let seq = keys.reduce((most, [, each]) => (each < COUNTS_TO ? Math.max(most, each) : most), 0) + 1;
    const beyond = keys.filter(([, each]) => each >= COUNTS_TO).sort(([, a], [, b]) => a - b);
    for (const key of beyond) {
      const event = await store.get(key);
      await store.delete(key);
      await store.add({ ...event, seq: seq++ });
    }
    await write.objectStore("settings").put(seq, "next_seq");
    await write.done;
  });

/** @param {string} job @param {Entry | null} entry null: nothing is half typed any more */
export const keepDraft = (job, entry) =>
  withStore(async (db) => {
    const write = db.transaction("drafts", "readwrite", { durability: "strict" });
    await (entry ? write.store.put(entry, job) : write.store.delete(job));
    await write.done;
  });

/** @param {string} job @returns {Promise<Entry | undefined>} */
export const draftOf = (job) => withStore((db) => db.get("drafts", job));

/** The job whose READ was pressed and whose value was never typed, if there is one.
 *  @returns {Promise<string | null>} */
export const jobHalfRead = () =>
  withStore(async (db) => {
    for (const job of await db.getAllKeys("drafts")) {
      if ((await db.get("drafts", job))?.how === "read") return String(job);
    }
    return null;
  });

/** Keep a picture under an id, durably. @param {string} id @param {Blob} picture */
export const keepPicture = (id, picture) =>
  withStore(async (db) => {
    const write = db.transaction("photos", "readwrite", { durability: "strict" });
    await write.store.put(picture, id);
    await write.done;
  });

/** @param {string} id @returns {Promise<Blob | undefined>} undefined where it was erased */
export const pictureOf = (id) => withStore((db) => db.get("photos", id));

/** Erase a picture; the event that names it stays. @param {string} id */
export const erasePicture = (id) => withStore((db) => db.delete("photos", id));

/** Keep rules for the jobs that run on them, once and for good. @param {Bundle} bundle */
export const keepBundle = (bundle) =>
  withStore(async (db) => {
    const write = db.transaction("bundles", "readwrite", { durability: "strict" });
    await write.store.put(bundle, bundle.hash);
    await write.done;
  });

/** @param {string} hash @returns {Promise<Bundle | undefined>} undefined where it was never here */
export const bundleOf = (hash) => withStore((db) => db.get("bundles", hash));

/** @param {string} hash */
export const hasBundle = (hash) =>
  withStore(async (db) => (await db.getKey("bundles", hash)) !== undefined);

/** @template T @param {string} name @returns {Promise<T | undefined>} */
export const setting = (name) => withStore((db) => db.get("settings", name));

/** @param {string} name @param {unknown} value */
export const set = (name, value) => withStore((db) => db.put("settings", value, name));

/** The next number of a local counter: "L" -> "L-014". @param {string} letter */
export const nextNumber = (letter) =>
  withStore(async (db) => {
    const write = db.transaction("settings", "readwrite", { durability: "strict" });
    const number = ((await write.store.get(`number_${letter}`)) ?? 0) + 1;
    await write.store.put(number, `number_${letter}`);
    await write.done;
    return `${letter}-${String(number).padStart(3, "0")}`;
  });

/** Ask the browser to keep this origin when space runs short. */
export const askToKeep = async () => (await navigator.storage?.persist?.()) ?? false;

/** Whether the browser keeps it, and bytes used and allowed. */
export async function room() {
  const kept = (await navigator.storage?.persisted?.()) ?? false;
  const { usage = 0, quota = 0 } = (await navigator.storage?.estimate?.()) ?? {};
  return { kept, usage, quota };
}
