// An event is a fact: what was seen or done, when, on which clock. It is completed here, once.

/** @import {Logged, Moment, Seed} from "../contract.d.ts" */

/** This load of the page: `mono` counts within it and nowhere else. */
export const BOOT = crypto.randomUUID();

/** A time-ordered id, UUID version 7 of RFC 9562: 48 bits of ms, then random bits. */
export function uuid7(ms = Date.now()) {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  for (let i = 0; i < 6; i++) bytes[i] = Math.floor(ms / 2 ** (8 * (5 - i))) % 256;
  bytes[6] = 0x70 | (Number(bytes[6]) & 0x0f);
  bytes[8] = 0x80 | (Number(bytes[8]) & 0x3f);
  const hex = [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
  return hex.replace(/^(.{8})(.{4})(.{4})(.{4})/, "$1-$2-$3-$4-");
}

/** Local time with milliseconds and offset, ISO 8601. @param {number} ms since 1970 */
export function isoLocal(ms) {
  const offset = -new Date(ms).getTimezoneOffset();
  const local = new Date(ms + offset * 60_000).toISOString().slice(0, -1);
  const size = Math.abs(offset);
  const two = (/** @type {number} */ n) => String(n).padStart(2, "0");
  return `${local}${offset < 0 ? "-" : "+"}${two(Math.floor(size / 60))}:${two(size % 60)}`;
}

/** The instant at `mono` (now, or a touch some ms ago). @returns {Moment} */
export function momentAt(mono = performance.now()) {
  const ms = Date.now() - (performance.now() - mono);
  return { at: isoLocal(ms), mono: Math.round(mono * 1000) / 1000, boot: BOOT };
}

/** The same clocks, some minutes before. @param {Moment} moment @param {number} minutes */
export function minutesBefore(moment, minutes) {
  const ms = minutes * 60_000;
  return { ...moment, at: isoLocal(Date.parse(moment.at) - ms), mono: moment.mono - ms };
}

/** Seconds from `start` to `end`: one clock within a load of the page, else the wall clock.
 *  @param {Moment} start @param {Moment} end */
export const secondsBetween = (start, end) =>
  start.boot === end.boot
    ? (end.mono - start.mono) / 1000
    : (Date.parse(end.at) - Date.parse(start.at)) / 1000;

/** All of an event but `device` and `seq`, which the store gives.
 *  @param {Seed} seed @param {string} job @param {Moment} moment
 *  @returns {Omit<Logged, "device" | "seq">} */
export function complete(seed, job, moment) {
  const { kind, field, typed, unit, supersedes } = seed;
  const { at, mono, boot } = moment;
  const event = { id: uuid7(), at, mono, boot, job, kind, field, typed, unit };
  return supersedes === undefined ? event : { ...event, supersedes };
}
