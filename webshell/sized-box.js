// A box that draws itself at its own size: `draw(width, height)` gives the SVG's content in px,
// so that text on an axis keeps its size whatever the box is stretched to.

import { html, render, svg } from "lit-html";

/** @typedef {(width: number, height: number) => ReturnType<typeof svg>} Draw */

export class SizedBox extends HTMLElement {
  /** @type {Draw | null} */
  #draw = null;
  #width = 0;
  #height = 0;
  #observer = new ResizeObserver(() => this.#measure());

  /** @param {Draw} draw */
  set draw(draw) {
    this.#draw = draw;
    this.#redraw();
  }

  connectedCallback() {
    this.#observer.observe(this);
    this.#measure();
  }

  disconnectedCallback() {
    this.#observer.disconnect();
  }

  #measure() {
    const { clientWidth, clientHeight } = this;
    if (clientWidth === this.#width && clientHeight === this.#height) return;
    this.#width = clientWidth;
    this.#height = clientHeight;
    this.#redraw();
  }

  #redraw() {
    if (!this.#draw || this.#width === 0 || this.#height === 0) return;
    const [width, height] = [this.#width, this.#height];
    const box = `0 0 ${width} ${height}`;
    render(html`<svg viewBox=${box} aria-hidden="true">${this.#draw(width, height)}</svg>`, this);
  }
}

customElements.define("sized-box", SizedBox);
