// Names for what the core's operations ask and answer; what is not named here is read off its key.

/** @param {string} key "missing_before" -> "Missing before" */
const spelled = (key) => {
  const words = saidOf(key);
  return words.charAt(0).toUpperCase() + words.slice(1);
};

/** A word of the core as people write it. @param {string} word "not_measured" -> "not measured" */
export const saidOf = (word) => word.replaceAll("_", " ");

/** @type {Record<string, string>} */
const ROOMS = { warmup: "Warm-up" };

/** @type {Record<string, string>} */
const FIGURES = {
  "properties.coolant": "Coolant: freezing, boiling, density",
  "properties.water": "Water: boiling point",
  "properties.atmosphere": "Air pressure at an altitude",
  "properties.refractometer": "Strength by refractometer",
  "properties.hydrometer": "Strength by hydrometer",
  "properties.opening": "Air and liquid through an opening",
  "properties.rated_part": "Air through a rated part",
  "properties.thread": "Screw thread and its drill",
  "hold.assess": "Judge a hold",
  "hold.stored_volume": "Volume per pressure",
  "hold.hoses": "Give of the hoses",
  "hold.expected": "What the gauge should show",
  "hold.plan": "What a hold will see",
  "hold.two_level": "Hold at two pressures",
  "hold.closed_warming": "Pressure by warming alone",
  "fill.mix": "Mix plan",
  "fill.flush": "Flush plan",
  "fill.reach": "Deepest vacuum here",
  "fill.uptake": "What a vacuum fill takes",
  "fill.ran_dry": "The container ran dry",
  "fill.boil_margin": "Margin to boiling",
  "fill.contraction": "Level after cooling",
  "loss.balance": "Fluid balance",
  "loss.level_watch": "Level watch",
  "loss.rate": "How fast coolant goes",
  "loss.lines": "Transmission fluid to put back",
  "loss.classes": "Classes of loss for one car",
  "loss.reminder": "Calendar entry for a look",
  "warmup.assess": "Judge a warm-up",
  "warmup.time_to_thermostat": "Time until the thermostat opens",
  "warmup.cool_down": "Time until it is cool",
  "causes.rank": "Likely causes",
  "quote.estimate": "Price and ceiling",
};

/** @type {Record<string, string>} */
const KEYS = {
  against: "Against it",
  asks: "It asks",
  at_hand: "Stands ready",
  cautions: "Mind",
  chance_within_authorised: "Chance to stay within",
  closure: "Not accounted for",
  creep_share: "Share of settling",
  drops_per_minute: "Drops per minute",
  enough_words: "Why",
  for: "For it",
  id: "Name",
  in: "Goes in",
  lacks: "The car has none",
  leader: "Then leads",
  limit: "Limit",
  log: "Log",
  low: "Low",
  look_factor: "Standard errors for a claim",
  masked: "Not on this car",
  more_than_one: "Two faults or more",
  out: "Came out",
  per_1000_km: "Per distance",
  per_kelvin: "Per kelvin",
  rated: "Rating",
  same_sign_as: "Same sign as",
  sd: "Standard deviation",
  stored: "How much it stores",
  time_sd: "Standard deviation of the time",
  uid: "Identifier",
  words: "In words",
  would_change: "What would change the ranking",
};

/** One row of a list. @type {Record<string, string>} */
const ITEMS = {
  actions: "Action",
  at_hand: "Container",
  closed_gates: "Closed gate",
  contingencies: "Contingency",
  features: "Feature",
  lines: "Line",
  log: "Reading",
  observations: "Observation",
  phases: "Phase",
  readings: "Reading",
  stretches: "Stretch",
  temperatures: "Temperature",
  times: "Time",
  tools: "Tool",
};

/** @import {Words} from "./form.js" */

/** The names of a key's ids, where they have some. @param {Words | null} words @param {string} key */
export const namesOf = (words, key) => words?.tables[words.keys[key] ?? ""];

/** @param {number} share */
const percent = (share) =>
  share < 0.01 ? "under 1\u00a0%" : share > 0.99 ? "over 99\u00a0%" : `${Math.round(100 * share)}\u00a0%`;

/** An answer with names for its ids, and chances in %; of a reason, whose answer is told in words,
 *  not twice.
 *  @param {any} value @param {Words | null} words @param {string} [key] @returns {any} */
export function named(value, words, key = "") {
  if (!words) return value;
  if (Array.isArray(value)) return value.map((each) => named(each, words, key));
  if (typeof value === "string") return namesOf(words, key)?.[value] ?? value;
  if (words.shares.includes(key)) return percent(value);
  if (typeof value !== "object" || value === null) return value;
  const said = words.answers[value.finding]?.[value.value];
  const parts = Object.entries(value).filter(([part]) => !(said && part === "value" && "words" in value));
  return Object.fromEntries(parts.map(([part, each]) =>
    [part, said && part === "value" ? said : named(each, words, part)]));
}

/** @param {string} name of an operation */
export const roomOf = (name) => {
  const room = name.slice(0, name.indexOf("."));
  return ROOMS[room] ?? spelled(room);
};

/** @param {string} name of an operation */
export const titleOf = (name) => FIGURES[name] ?? spelled(name.slice(name.indexOf(".") + 1));

/** @param {string} key of an input or an answer */
export const labelOf = (key) => KEYS[key] ?? spelled(key);

/** @param {string} key of a list */
export const itemOf = (key) => ITEMS[key] ?? labelOf(key);
