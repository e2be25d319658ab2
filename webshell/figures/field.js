// The fields of a figure's form, made from its schema. Nothing is filled in beforehand.

import { html, nothing } from "lit-html";
import { live } from "lit-html/directives/live.js";
import { pressed } from "../device/press.js";
import { shape } from "../draw/icons.js";
import { FIGURES } from "../draw/words/figures.js";
import { at, boundsOf, join, kindOf, partsOf } from "./form.js";
import { namesOf, optionOf, titleOf } from "./words.js";

/** @import {Form, Schema, Words} from "./form.js" */

/** @typedef {object} Place One field: where it stands in the form.
 *  @property {Form} form
 *  @property {Schema} schema
 *  @property {string} path
 *  @property {string} label
 *  @property {boolean} needed
 *  @property {Words | null} words for ids
 *  @property {Record<string, Schema>} [beside] what is asked in the same group
 *  @property {() => void} draw */

/** So many fields of a row that may stay empty are not folded away. */
const MOST_SPARE = 2;
/** Letters of a choice that has room in a third of the screen. */
const SHORT = 9;

/** Where a key stands that is asked beside a path. @param {string} path @param {string} key */
const besideOf = (path, key) => path.replace(/[^.]+$/, key);

/** @param {string} path */
const idOf = (path) => `figure-${path.replace(/\W/g, "-")}`;

/** All fields of a group, the needed ones first. @param {Place} group @returns {unknown[]} */
export const fields = (group) => placesOf(group).map(field);

/** @param {Place} group @returns {Place[]} */
const placesOf = (group) =>
  partsOf(group.schema).map(([key, schema, needed]) =>
    ({ ...group, schema, needed, beside: group.schema.properties ?? {},
      path: join(group.path, key), label: titleOf(key, schema) }));

/** The fields of a row of a list; where many may stay empty, those are folded away, in all rows
 *  alike. @param {Place} row @param {string} list the list's path @param {number} count */
function rowFields(row, list, count) {
  const { form } = row;
  const all = placesOf(row);
  const spare = all.filter(({ needed }) => !needed);
  if (spare.length <= MOST_SPARE) return all.map(field);
  const rows = Array.from({ length: count }, (_, i) => `${list}[${i}]`);
  const keys = Object.keys(row.schema.properties ?? {}).filter((key) => !row.schema.required?.includes(key));
  const used = rows.some((path) => keys.some((key) => form.typed(join(path, key)) || form.refusedBelow(join(path, key))));
  return html`${all.filter(({ needed }) => needed).map(field)}
    ${folded(form, `${list}*`, FIGURES.moreOf(row.label), used, spare.map(field))}`;
}

/** What may stay empty, folded away until it is used. @param {Form} form @param {string} mark
 *  @param {string} label @param {boolean} used @param {unknown} inner */
const folded = (form, mark, label, used, inner) =>
  html`<details class="figure-group" aria-label=${label} ?open=${used || form.opened.has(mark)}
    @toggle=${(/** @type {Event} */ event) => {
      const now = /** @type {HTMLDetailsElement} */ (event.currentTarget).open;
      if (now) form.opened.add(mark);
      else form.opened.delete(mark);
    }}>
    <summary class="key second"><span>${FIGURES.ifKnownOf(label)}</span></summary>
    ${inner}
  </details>`;

/** @type {Record<ReturnType<typeof kindOf>, (place: Place) => unknown>} */
const KINDS = { quantity, group, rows, choice, either, text: plain, number: plain };

/** @param {Place} place */
const field = (place) => KINDS[kindOf(place.schema)](place);

/** What is said of a part beside its title. @param {Schema} schema */
export function hintOf(schema) {
  const absent = schema["x-absent"];
  return FIGURES.hints([schema.description ?? "", absent ? FIGURES.leftEmpty(absent) : ""]);
}

/** What a field is, in small letters below its label. @param {Place} place */
function hint({ schema, path, needed }) {
  const words = [needed ? "" : FIGURES.ifKnown, hintOf(schema), boundsOf(schema)];
  return html`<p class="hint" id="${idOf(path)}-hint">${FIGURES.hints(words)}</p>`;
}

/** Why it was refused. @param {Place} place */
function trouble({ form, path }) {
  const words = form.troubles.get(path);
  return html`<p class="trouble" id="${idOf(path)}-trouble" ?hidden=${!words}>
    ${words ? html`${shape("stop")} <span>${words}</span>` : nothing}
  </p>`;
}

/** @param {Place} place @param {string} path @param {string} text */
function typed({ form, draw }, path, text) {
  if (form.type(path, text)) draw();
}

/** One input. @param {Place} place @param {string} key "" or the part of a quantity
 *  @param {string} label "" where a label stands beside it @param {string} example
 *  @param {() => void} [also] */
function input(place, key, label, example, also = () => {}) {
  const { form, path, schema } = place;
  const at = key ? `${path}.${key}` : path;
  const words = schema.type === "string" || kindOf(schema) === "either";
  return html`<input type="text" id=${idOf(key === "value" ? path : at)}
    inputmode=${words ? "text" : "decimal"} autocomplete="off" autocapitalize="off"
    enterkeyhint="done" maxlength=${schema.maxLength ?? 200} placeholder=${example}
    aria-label=${label || nothing} aria-describedby="${idOf(path)}-hint ${idOf(path)}-trouble"
    aria-invalid=${form.troubles.has(path) ? "true" : "false"} .value=${live(form.text(at))}
    @input=${(/** @type {Event} */ event) => {
      also();
      typed(place, at, /** @type {HTMLInputElement} */ (event.target).value);
    }} />`;
}

/** @param {string} value @param {string} [unit] */
const exampleOf = (value, unit = "") => FIGURES.example(unit && unit !== "1" ? `${value}\u00a0${unit}` : value);

/** @param {Place} place */
function quantity(place) {
  const { form, schema, path, label } = place;
  const sample = at(form.figure.sample, path);
  const units = unitsOf(place);
  const chosen = units[0] ?? "";
  const settle = () => form.draft.set(`${path}.unit`, chosen);
  const example = sample && sample.unit === chosen ? exampleOf(String(sample.value), chosen) : "";
  return html`<div class="figure-field">
    <label class="label" for=${idOf(path)}>${label}</label>
    ${hint(place)}
    <div class="amount">
      ${input(place, "value", "", example, settle)}
      ${units.length > 1
        ? html`<select class="key" aria-label=${FIGURES.unitOf(label)}
            @change=${(/** @type {Event} */ event) => {
              form.type(`${path}.unit`, /** @type {HTMLSelectElement} */ (event.target).value);
              place.draw(); // the example goes with its unit
            }}>
            ${unitNames(schema).map((unit) => html`<option .value=${unit} .selected=${live(unit === chosen)}>
              ${unit}</option>`)}
          </select>`
        : html`<span class="unit">${chosen}</span>`}
    </div>
    ${schema["x-interval"] ? ends(place) : nothing}
    ${trouble(place)}
  </div>`;
}

/** The ends of the interval, where they are known. @param {Place} place */
const ends = (place) =>
  html`<div class="ends">
    <label class="hint">${FIGURES.from95} ${input(place, "low", FIGURES.from95Of(place.label), "")}</label>
    <label class="hint">${FIGURES.to95} ${input(place, "high", FIGURES.to95Of(place.label), "")}</label>
  </div>`;

/** @param {Schema} schema */
const unitNames = (schema) => schema.properties?.unit?.enum ?? [];

/** The units of a quantity, first the one to show: as chosen, as in the row before, as the schema
 *  says. @param {Place} place */
function unitsOf({ form, schema, path }) {
  const names = unitNames(schema);
  const before = path.replace(/\[(\d+)\](?=[^[]*$)/, (_, i) => `[${Number(i) - 1}]`);
  const first = [form.text(`${path}.unit`), form.text(`${before}.unit`), schema["x-default-unit"] ?? ""]
    .find((unit) => names.includes(unit));
  return first ? [first, ...names.filter((unit) => unit !== first)] : names;
}

/** One of many, by their names. @param {Place} place @param {string} at where it is kept
 *  @param {Record<string, string>} names @param {string} said @param {() => void} [also] */
const picked = ({ form, path, draw }, at, names, said, also = () => {}) =>
  html`<select class="key whole" id=${idOf(path)} aria-label=${said}
    aria-describedby="${idOf(path)}-hint ${idOf(path)}-trouble"
    @change=${(/** @type {Event} */ event) => {
      also();
      form.type(at, /** @type {HTMLSelectElement} */ (event.target).value);
      draw();
    }}>
    <option value="" .selected=${live(!(form.text(at) in names))}>${FIGURES.choose}</option>
    ${Object.entries(names).map(([id, name]) =>
      html`<option .value=${id} .selected=${live(form.text(at) === id)}>${name}</option>`)}
  </select>`;

/** An answer to the question that was chosen beside it: one of its words, or a figure.
 *  @param {Place} place */
function answered(place) {
  const { form, path, words, schema, beside } = place;
  const question = schema["x-answers"] ?? "";
  const asked = form.text(besideOf(path, question));
  const names = words?.answers[asked];
  if (!words || !names)
    return html`<p class="hint">${FIGURES.chooseFirst(titleOf(question, beside?.[question]))}</p>`;
  const label = namesOf(words, beside?.[question])?.[asked] ?? place.label;
  const units = words.units[asked];
  const word = form.text(`${path}.value`) in names;
  const setUnit = (/** @type {string} */ unit) => form.draft.set(`${path}.unit`, unit);
  const figure = form.text(`${path}.value`) !== "" && !word;
  const interval = units && figure && schema.anyOf?.some((each) => each["x-interval"]);
  return html`<div class="figure-field">
    <label class="label" for=${idOf(path)}>${label}</label>
    <p class="hint" id="${idOf(path)}-hint">${names[form.text(`${path}.value`)] ?? ""}</p>
    ${picked(place, `${path}.value`, names, label, () => form.clear(path))}
    ${units
      ? html`<div class="amount">
          <input type="text" inputmode="decimal" autocomplete="off" maxlength="20" enterkeyhint="done"
            aria-label=${FIGURES.orFigure} placeholder=${FIGURES.orFigure}
            .value=${live(word ? "" : form.text(`${path}.value`))}
            @input=${(/** @type {Event} */ event) => {
              if (!form.text(`${path}.unit`)) setUnit(units[0] ?? "");
              form.type(`${path}.value`, /** @type {HTMLInputElement} */ (event.target).value);
              place.draw();
            }} />
          <select class="key" aria-label=${FIGURES.orFigureUnit}
            @change=${(/** @type {Event} */ event) =>
              typed(place, `${path}.unit`, /** @type {HTMLSelectElement} */ (event.target).value)}>
            ${units.map((unit) => html`<option .value=${unit}
              .selected=${live(unit === (form.text(`${path}.unit`) || units[0]))}>${unit}</option>`)}
          </select>
        </div>`
      : nothing}
    ${interval ? ends({ ...place, label }) : nothing}
    ${trouble(place)}
  </div>`;
}

/** A word, or a figure with its unit. @param {Place} place */
function either(place) {
  const { form, path, label } = place;
  if (place.words && place.schema["x-answers"]) return answered(place);
  const sample = at(form.figure.sample, path);
  const example = sample === undefined ? "" : exampleOf(String(sample.value ?? sample), sample.unit);
  return html`<div class="figure-field">
    <label class="label" for=${idOf(path)}>${label}</label>
    ${hint(place)}
    <div class="amount">
      ${input(place, "value", "", example)} ${input(place, "unit", FIGURES.unitOf(label), FIGURES.unit)}
    </div>
    ${trouble(place)}
  </div>`;
}

/** A number without a unit, or words. @param {Place} place */
function plain(place) {
  const { form, path, label, beside = {} } = place;
  const names = namesOf(place.words, place.schema);
  const key = path.split(".").at(-1);
  const answers = Object.keys(beside).filter((each) => beside[each]?.["x-answers"] === key);
  if (names)
    return html`<div class="figure-field">
      <label class="label" for=${idOf(path)}>${label}</label>
      ${hint(place)}
      ${picked(place, path, names, label, () => answers.forEach((each) => form.clear(besideOf(path, each))))}
      ${trouble(place)}
    </div>`;
  const sample = at(form.figure.sample, path);
  return html`<div class="figure-field">
    <label class="label" for=${idOf(path)}>${label}</label>
    ${hint(place)} ${input(place, "", "", sample === undefined ? "" : exampleOf(String(sample)))}
    ${trouble(place)}
  </div>`;
}

/** Two to four words; a second press of the chosen one takes it back. @param {Place} place */
function choice(place) {
  const { form, schema, path, label, draw } = place;
  const options = schema.enum ?? ["true", "false"];
  const said = (/** @type {string} */ each) =>
    schema.enum ? optionOf(schema, each) : each === "true" ? FIGURES.yes : FIGURES.no;
  return html`<div class="figure-field" role="group" aria-labelledby="${idOf(path)}-label"
    aria-describedby="${idOf(path)}-hint ${idOf(path)}-trouble">
    <p class="label" id="${idOf(path)}-label">${label}</p>
    ${hint(place)}
    <div class="seconds n${options.length > 2 && options.every((each) => said(each).length <= SHORT) ? 3 : 2}">
      ${options.map((each) => {
        const chosen = form.text(path) === each;
        return html`<button class="key second ${chosen ? "chosen" : ""}" id=${each === options[0] ? idOf(path) : nothing}
          aria-pressed=${chosen ? "true" : "false"} @click=${pressed(() => {
            form.type(path, chosen ? "" : each);
            draw();
          })}>${said(each)}</button>`;
      })}
    </div>
    ${trouble(place)}
  </div>`;
}

/** Fields that belong together; those that may stay empty are folded away.
 *  @param {Place} place */
function group(place) {
  const { form, path, label, needed } = place;
  const inner = html`${hint({ ...place, needed: true })} ${trouble(place)} ${fields(place)}`;
  if (needed) return html`<fieldset class="figure-group"><legend>${label}</legend>${inner}</fieldset>`;
  return folded(form, path, label, form.typed(path) || form.refusedBelow(path), inner);
}

/** A list: a row is added and taken away at its end. @param {Place} place */
function rows(place) {
  const { form, schema, path, label, needed, draw } = place;
  const count = form.count(schema, path, needed);
  const item = schema.items?.title ?? label;
  const items = Array.from({ length: count }, (_, i) => {
    const row = { ...place, schema: schema.items ?? {}, path: `${path}[${i}]`, label: `${item} ${i + 1}`, needed: true };
    if (kindOf(row.schema) !== "group") return field(row);
    return html`<fieldset class="figure-group"><legend>${row.label}</legend>
      ${trouble(row)} ${rowFields(row, path, count)}</fieldset>`;
  });
  const change = (/** @type {number} */ to) => {
    form.setCount(path, to);
    draw();
  };
  return html`<fieldset class="figure-group">
    <legend>${label}</legend>
    ${hint(place)} ${trouble(place)} ${items}
    <div class="seconds n2">
      ${count < (schema.maxItems ?? Infinity)
        ? html`<button class="key second" @click=${pressed(() => change(count + 1))}>
            ${FIGURES.addRow(item, count + 1)}</button>`
        : nothing}
      ${count > 0
        ? html`<button class="key second" @click=${pressed(() => change(count - 1))}>
            ${FIGURES.dropRow(item, count)}</button>`
        : nothing}
    </div>
  </fieldset>`;
}
