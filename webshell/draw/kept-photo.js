// <kept-photo name="id">: a picture from this phone's store, or words where it was erased.

import * as store from "../store/store.js";
import { WORDS } from "./words.js";

/** Those on the screen. @type {Set<KeptPhoto>} */
const shown = new Set();

/** A picture was erased from the store. @param {string} id */
export function forget(id) {
  for (const photo of shown) if (photo.getAttribute("name") === id) photo.show(id);
}

class KeptPhoto extends HTMLElement {
  static observedAttributes = ["name"];
  #url = "";

  attributeChangedCallback() {
    this.show(this.getAttribute("name") ?? "");
  }

  connectedCallback() {
    shown.add(this);
  }

  disconnectedCallback() {
    shown.delete(this);
    URL.revokeObjectURL(this.#url);
  }

  /** @param {string} name */
  async show(name) {
    const picture = name ? await store.pictureOf(name) : undefined;
    URL.revokeObjectURL(this.#url);
    this.toggleAttribute("erased", !picture);
    if (!picture) return this.replaceChildren(WORDS.erased);
    this.#url = URL.createObjectURL(picture);
    const image = document.createElement("img");
    image.src = this.#url;
    image.alt = this.getAttribute("label") ?? "";
    this.replaceChildren(image);
  }
}

customElements.define("kept-photo", KeptPhoto);
