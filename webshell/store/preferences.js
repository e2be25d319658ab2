// What the reader has chosen: units, light, sounds. Kept from one load of the page to the next.

import { showTheme } from "../device/theme.js";
import { AMERICAN, LANGUAGE } from "../draw/words/language.js";
import * as store from "./store.js";

/** @import {Preferences, Reader, UnitSet} from "../contract.d.ts" */

/** The words that the first page's units come with: American ones with American units. From then on the
 *  menu has a choice of its own, for a gauge in psi may be read in Britain. @param {string} unit_set */
export const languageOf = (unit_set) => (unit_set === "psi" ? AMERICAN : LANGUAGE);

/** What is chosen before anything is. @param {string} unit_set @returns {Preferences} */
const newPreferences = (unit_set) =>
  ({ unit_set, units: {}, language: languageOf(unit_set), sounds: true, theme: "day" });

export class Choice {
  /** null until the first page is answered. @type {Preferences | null} */
  kept = null;
  /** The light chosen on the first page, before anything is kept. @type {Preferences["theme"]} */
  #light = "day";
  #sets;

  /** @param {() => UnitSet[]} sets the unit sets of the rules; [] until they run */
  constructor(sets) {
    this.#sets = sets;
  }

  async recall() {
    this.kept = (await store.setting("preferences")) ?? null;
    this.show();
  }

  get light() {
    return this.kept?.theme ?? this.#light;
  }

  /** Of the first page. @param {Preferences["theme"]} light */
  set light(light) {
    this.#light = light;
    this.show();
  }

  show() {
    showTheme(this.light);
  }

  /** All of it, with the units of the chosen set, as the rules give them. @returns {Preferences} */
  get all() {
    const kept = this.kept ?? newPreferences("kpa");
    const set = this.#sets().find(({ id }) => id === kept.unit_set);
    return { ...kept, units: set?.units ?? kept.units };
  }

  /** What the core asks of the reader. @returns {Reader} */
  get reader() {
    const { units, language } = this.all;
    return { units, language };
  }

  /** In force at once; resolves when it is kept. @param {Partial<Preferences>} changed */
  async change(changed) {
    this.kept = { ...(this.kept ?? newPreferences(changed.unit_set ?? "kpa")), ...changed };
    this.kept = this.all;
    this.show();
    await store.set("preferences", this.kept);
  }
}
