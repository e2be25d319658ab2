// The words of the menu and of the first page, which ask how this phone speaks.

import { AMERICAN, LANGUAGE } from "./language.js";

const NBSP = "\u00a0";
const MB = 1e6;

export const MENU = {
  title: "Menu",
  close: "Close",
  units: "Units",
  unitsTitle: "Units on your testers",
  unitsChoose: "Choose the units that your gauges show.",
  unitsLater: "A single value can still be typed in another unit. The menu changes this later.",
  english: "Words",
  light: "Light",
  sounds: "Sounds and vibration",
  soundsOn: "Sounds on",
  soundsOff: "Sounds off",
  kept: "Kept on this phone",
  keptByBrowser: "Kept by the browser",
  yes: "yes",
  no: "no",
  used: "Used",
  allowed: "Allowed",
  notMeasured: "not measured",
  megabytes: /** @param {number} bytes */ (bytes) =>
    bytes < MB ? `less than 1${NBSP}MB` : `${(bytes / MB).toFixed(0)}${NBSP}MB`,
  version: "Version",
  versionIs: /** @param {string} app @param {string} version @param {string} engine */ (
    app, version, engine) => `${app} ${version}. Calculation: ${engine}.`,
  versionLoads: /** @param {string} app @param {string} engine */ (app, engine) =>
    `${app} (Getting ready…). Calculation: ${engine}.`,
  rulesOf: /** @param {string} rules */ (rules) => `This job: ${rules}`,
  restart: "Restart the calculation",
  pictures: "Procedures as pictures",
  licences: "Licences",
  beside: "A new version is on this phone, beside the running one.",
};

/** Until the rules give their own. */
export const UNIT_SETS = [
  { id: "kpa", label: "kPa, °C, litres" },
  { id: "bar", label: "bar, °C, litres" },
  { id: "psi", label: "psi, °F, US quarts" },
];

/** In which words a page is told. @type {[string, string][]} */
export const ENGLISHES = [[LANGUAGE, "British"], [AMERICAN, "American"]];

/** @type {[import("../../contract.d.ts").Preferences["theme"], string][]} */
export const THEMES = [["day", "Day"], ["sun", "Sun"], ["under-car", "Under the car"]];
