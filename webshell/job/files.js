// Files in and out: shared where the system can, else written to the downloads.

import { dataUrl } from "../device/camera.js";
import { WORDS } from "../draw/words.js";
import * as store from "../store/store.js";
import { momentAt } from "./events.js";

/** @import {Reader} from "../contract.d.ts" */
/** @import {Session} from "./session.js" */

/** Share a file where the phone can; a hand that closes the sheet has chosen. Else download it, and
 *  say so where the phone promised to share and then refused.
 *  @param {string} name @param {string} text @param {string} type */
async function give(name, text, type) {
  const file = new File([text], name, { type });
  if (!navigator.canShare?.({ files: [file] })) return download(file);
  try {
    await navigator.share({ files: [file], title: name });
  } catch (error) {
    if (error instanceof DOMException && error.name === "AbortError") return;
    download(file);
    throw new Error(WORDS.notShared(name));
  }
}

/** @param {File} file */
function download(file) {
  const link = document.createElement("a");
  link.href = URL.createObjectURL(file);
  link.download = file.name;
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 60_000);
}

/** @param {Session} session */
const nameOf = (session) => session.view?.bar.number || session.job;

/** The job as one file: all its events, with the ids of its pictures and not the pictures.
 *  @param {Session} session @returns {Promise<boolean>} whether it has pictures */
export async function exportJob(session) {
  const events = await store.eventsOf(session.job);
  const { text, error } = await session.call("job.to_file", { events });
  if (error) throw new Error(error.message);
  await give(`${nameOf(session)}.weeptrace.json`, text, "application/json");
  return events.some(({ kind }) => kind === "photo");
}

/** The record on paper, then the page as it was. @param {Session} session
 *  @param {() => void} draw */
export async function printRecord(session, draw) {
  const before = session.view;
  session.view = await session.lookAt("record");
  draw();
  await new Promise((resolve) => requestAnimationFrame(() => requestAnimationFrame(resolve)));
  window.print();
  session.view = before;
}

/** A reminder for the level watch. @param {Session} session */
export async function saveCalendar(session) {
  const { rules } = session;
  const events = await store.eventsOf(session.job);
  const { text, error } = await session.call("job.calendar", { events, now: momentAt(), rules });
  if (error) throw new Error(error.message);
  await give(`${nameOf(session)}.ics`, text, "text/calendar");
}

/** The record as a page of its own, with the pictures that were not erased.
 *  @param {Session} session @param {Reader} reader */
export async function saveRecord(session, reader) {
  const events = await store.eventsOf(session.job);
  /** @type {Record<string, string>} */
  const photos = {};
  for (const { kind, typed } of events) {
    const picture = kind === "photo" ? await store.pictureOf(typed) : undefined;
    if (picture) photos[typed] = await dataUrl(picture);
  }
  const payload = { events, now: momentAt(), preferences: reader, photos, rules: session.rules };
  const { html, error } = await session.call("job.record", payload);
  if (error) throw new Error(error.message);
  await give(`${nameOf(session)}-record.html`, html, "text/html");
}
