// <kept-photo name="id">: a picture from this phone's store, or words where it was erased.

import * as store from "./store.js";
import { WORDS } from "./words.js";

class KeptPhoto extends HTMLElement {
  static observedAttributes = ["name"];
  #url = "";

  attributeChangedCallback() {
    this.#show(this.getAttribute("name") ?? "");
  }

  disconnectedCallback() {
    URL.revokeObjectURL(this.#url);
  }

  /** @param {string} name */
  async #show(name) {
    const picture = name ? await store.pictureOf(name) : undefined;
    URL.revokeObjectURL(this.#url);
    if (!picture) return this.replaceChildren(WORDS.erased);
    this.#url = URL.createObjectURL(picture);
    const image = document.createElement("img");
    image.src = this.#url;
    image.alt = this.getAttribute("label") ?? "";
    this.replaceChildren(image);
  }
}

customElements.define("kept-photo", KeptPhoto);
