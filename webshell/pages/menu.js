// The menu: units, sounds, theme, what is kept, a new version.
import { html, nothing } from "lit-html";
import { pressed } from "../device/press.js";
import { icon } from "../draw/icons.js";
import { WORDS } from "../draw/words.js";
import { ENGLISHES, MENU } from "../draw/words/menu.js";
import { seconds, themes, unitRows } from "./first.js";

/** @import {Action, Preferences} from "../contract.d.ts" */

/** @typedef {object} Menu
 *  @property {Preferences} preferences
 *  @property {{id: string, label: string}[]} sets
 *  @property {{kept: boolean, usage: number, quota: number} | null} room
 *  @property {unknown} others keys of running recorders
 *  @property {Action[]} more what the open job offers at any time
 *  @property {(action: Action, moment: import("../contract.d.ts").Moment) => void} act
 *  @property {boolean} waiting a new release is installed beside this one
 *  @property {boolean} holding a hold or an entry runs: no change of release now
 *  @property {string} version
 *  @property {string} rules which rules the open job runs on, where they are not this version's
 *  @property {string} engine
 *  @property {(changed: Partial<Preferences>) => void} change
 *  @property {() => void} figures
 *  @property {() => void} takeOver
 *  @property {() => void} restart
 *  @property {() => void} close */

/** @param {Menu} menu */
export const menuPage = (menu) =>
  html`<div class="menu">
    <div class="title">
      <h2 id="menu-title" tabindex="-1" autofocus>${MENU.title}</h2>
      <button class="key second" @click=${pressed(() => menu.close())}>${MENU.close}</button>
    </div>
    ${menu.others} ${menu.waiting ? newVersion(menu) : nothing}
    ${menu.more.map(
      (action) => html`<button class="key second" @click=${pressed((at) => menu.act(action, at))}>
        ${icon(action.icon)} ${action.label}
      </button>`,
    )}
    <button class="key second" @click=${pressed(() => {
      menu.close();
      menu.figures();
    })}>
      ${icon("search")} ${WORDS.lookUp}
    </button>
    <h3 class="heading">${MENU.units}</h3>
    ${unitRows(menu.sets, menu.preferences.unit_set, (unit_set) => menu.change({ unit_set }))}
    <h3 class="heading">${MENU.english}</h3>
    ${seconds(ENGLISHES, menu.preferences.language, (language) => menu.change({ language }))}
    <h3 class="heading">${MENU.light}</h3>
    ${themes(menu.preferences.theme, (theme) => menu.change({ theme }))}
    <h3 class="heading">${MENU.sounds}</h3>
    ${seconds([[true, MENU.soundsOn], [false, MENU.soundsOff]], menu.preferences.sounds, (sounds) => menu.change({ sounds }))}
    <h3 class="heading">${MENU.kept}</h3>
    ${kept(menu.room)}
    <h3 class="heading">${MENU.version}</h3>
    <p class="plain-text">
      ${menu.version ? MENU.versionIs(WORDS.app, menu.version, menu.engine)
        : MENU.versionLoads(WORDS.app, menu.engine)}
    </p>
    ${menu.rules ? html`<p class="plain-text">${MENU.rulesOf(menu.rules)}</p>` : nothing}
    <button class="key second" @click=${pressed(() => menu.restart())}>${MENU.restart}</button>
    <p class="plain-text">
      <a href="procedures/index.html" target="_blank" rel="noopener">${MENU.pictures}</a>
    </p>
    <p class="plain-text"><a href="licences/index.txt" target="_blank" rel="noopener">${MENU.licences}</a></p>
  </div>`;

/** @param {Menu} menu */
const newVersion = (menu) =>
  html`<p class="plain-text">${MENU.beside}</p>
    ${menu.holding
      ? html`<button class="waiting second" disabled>
          <span>${WORDS.newVersion}</span> <small>${WORDS.holdRuns}</small>
        </button>`
      : html`<button class="key second" @click=${pressed(() => menu.takeOver())}>
          ${WORDS.newVersion}
        </button>`}`;

/** @param {Menu["room"]} room */
function kept(room) {
  if (!room) return html`<p class="plain-text">${MENU.notMeasured}</p>`;
  return html`<table>
    <tbody>
      <tr><th scope="row">${MENU.keptByBrowser}</th><td>${room.kept ? MENU.yes : MENU.no}</td></tr>
      <tr><th scope="row">${MENU.used}</th><td>${MENU.megabytes(room.usage)}</td></tr>
      <tr><th scope="row">${MENU.allowed}</th><td>${MENU.megabytes(room.quota)}</td></tr>
    </tbody>
  </table>`;
}
