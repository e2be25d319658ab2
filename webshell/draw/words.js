// The shell's own words, in one place. Everything about a job comes with its view.

import { plural } from "./words/language.js";

const NBSP = "\u00a0";

/** @param {string} value @param {string} unit A number never leaves its unit. */
export const withUnit = (value, unit) => (unit && unit !== "1" ? `${value}${NBSP}${unit}` : value);

export const WORDS = {
  app: "weeptrace",
  practice: "Practice data, not a real car",
  holdRuns: "Waits: a hold is running",
  starting: "Getting ready…",
  checking: "Checking…",
  practicePhase: /** @param {string} phase */ (phase) => `Practice data, ${phase}`,
  jobNamed: /** @param {string} title @param {string} number */ (title, number) => `${title} ${number}`,
  about: /** @param {string} what @param {string} words */ (what, words) => `${what}: ${words}`,
  stage: /** @param {string} words @param {number} at @param {number} all */ (words, at, all) =>
    `${words}, ${at} of ${all}`,
  lastSeen: /** @param {string} at */ (at) => `Last seen ${at}`,
  saved: /** @param {string} at */ (at) => `Saved ${at}`,
  saving: "Saving",
  notSaved: "Not saved. Keep this page open and press the key again.",
  notResumed: "This phone could not store that the job was opened again. What was stored before is safe.",
  full: /** @param {number} most */ (most) =>
    `Not saved. This job holds ${most} entries, the most a job file takes. Export it and make a new job.`,
  otherWords: /** @param {number} seq */ (seq) =>
    `Entry ${seq} is stored here with other words. Nothing was taken.`,
  farCount: /** @param {number} seq */ (seq) =>
    `Entry ${seq} of the file counts far past this phone: the file is damaged. Nothing was taken.`,
  largeFile: /** @param {string} name */ (name) =>
    `${name} is larger than any job file. Nothing was taken from it.`,
  storeRefused: /** @param {string} why */ (why) =>
    `This phone's store refused it (${why}). What was stored before is safe.`,
  storeShut: "The jobs on this phone can't be reached",
  storeShutWhy: /** @param {string} why */ (why) =>
    `The browser does not open its store (${why}). Nothing was changed or erased.`,
  storeShutThen:
    "Close the other pages of this app and press Try again. If that does not help, close the browser, see that the phone has free space, and open the app again, not in a private window. Do not clear the data of this site: that erases all jobs.",
  storeNewer: "A newer version of this app was here",
  storeNewerThen:
    "The jobs on this phone were stored by a newer version; this one can't read them and has changed nothing. Connect to the network and press Try again. If this page comes back, close every page of the app and open it once more.",
  tryAgain: "Try again",
  jobFault: "This job can't be shown",
  jobFaultThen:
    "What is stored of it is safe, and the other jobs are as they were. Export it to keep it apart.",
  pageFault: "This page can't be shown",
  nothingLost: "What is stored is safe.",
  allJobs: "All jobs",
  exportJob: "Export the job",
  damagedJob: "A stored job",
  damagedView: "Its last view is lost: open it",
  furtherJobs: /** @param {number} n @param {number} left */ (n, left) => `Show ${n} more of ${left}`,
  storeValue: /** @param {string} value */ (value) => `STORE ${value}`,
  notTyped: "Waits: value not typed",
  storedFor: /** @param {string} title @param {string} value @param {string} at */ (title, value, at) =>
    `${title}: ${value} saved ${at}`,
  otherTab: "This job is open in another tab. Close it there, or take it over here.",
  takeOverHere: "Take it over here",
  waitsForTab: "Open in the other tab",
  shop: "My tester and shop",
  picturesApart:
    "The job file names the pictures and does not hold them: they stay on this phone. The record holds them.",
  timeStopped: "Time stopped",
  sameAsLast: "Same as last",
  last: "last",
  now: "now",
  next: "next",
  inTime: /** @param {string} time */ (time) => `in ${time}`,
  late: /** @param {string} by */ (by) => `late ${by}`,
  soon: /** @param {string} call */ (call) => `In 10${NBSP}s. ${call}`,
  minutesAgo: "How many minutes ago",
  minutesNext: /** @param {string} typed */ (typed) => `${withUnit(typed, "min")} ago`,
  reasonLabel: "In a few words",
  reasonStore: "Store it",
  signHere: "Sign here",
  clear: "Clear",
  more: "more",
  caution: "CAUTION",
  warning: "WARNING",
  hides: "can hide here",
  noneAbove: `none above, 95${NBSP}% sure`,
  ownerAt: /** @param {string} figure */ (figure) => `owner ${figure}`,
  noVoice: "This phone has no voice of its own",
  engineStopped: "The app's calculation stopped. What you enter is stored. Restart it from the menu.",
  newJob: "New job",
  search: "Look for a job",
  notInList: "No job of that name is on this phone.",
  openFile: "Open a job file",
  practiceCars: "Practice cars",
  onThisPhone: "stored on this phone",
  off: "OFF",
  on: "ON",
  notOff: "not off",
  notOn: "not on",
  erase: "Erase",
  eraseNow: "Erase for good",
  erased: "Picture erased",
  noPicture: "That file is no picture that this phone can read. Take another.",
  notShared: /** @param {string} name */ (name) =>
    `This phone did not share ${name}. It is among the downloads instead.`,
  newVersion: "Take the new version",
  lookUp: "Look up a figure",
};

/** @param {number} n */
export const jobsOpen = (n) =>
  n === 0 ? "No job open" : plural(n, { one: `${n} job open`, other: `${n} jobs open` });

/** Minutes and seconds: 143 -> "2:23". @param {number} seconds */
export function minutesSeconds(seconds) {
  const whole = Math.max(0, Math.floor(seconds));
  return `${Math.floor(whole / 60)}:${String(whole % 60).padStart(2, "0")}`;
}

/** A length of time, in hours from one hour on: 143 -> "2:23", 34692 -> "9 h 38 min".
 *  @param {number} seconds */
export function howLong(seconds) {
  const minutes = Math.floor(seconds / 60);
  if (minutes < 60) return minutesSeconds(seconds);
  return `${withUnit(String(Math.floor(minutes / 60)), "h")} ${withUnit(String(minutes % 60), "min")}`;
}

/** Hour and minute of an ISO instant as this phone's clock shows it. @param {string} at */
export function clock(at) {
  const date = new Date(at);
  return `${String(date.getHours()).padStart(2, "0")}:${String(date.getMinutes()).padStart(2, "0")}`;
}
