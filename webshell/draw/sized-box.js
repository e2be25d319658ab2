// A box that draws itself at its own size: `draw(width, height)` gives the SVG's content in px,
// so that text on an axis keeps its size whatever the box is stretched to. The browser tells the size
// once it has laid the page out; to ask for it would lay the page out again for each box.

import { html, render, svg } from "lit-html";

/** @typedef {(width: number, height: number) => ReturnType<typeof svg>} Draw */

/** Tells every box its size. */
const sizes = new ResizeObserver((entries) => {
  for (const { target, contentRect } of entries) {
    if (target instanceof SizedBox) target.sized(contentRect.width, contentRect.height);
  }
});

class SizedBox extends HTMLElement {
  /** @type {Draw | null} */
  #draw = null;
  #width = 0;
  #height = 0;

  /** @param {Draw} draw */
  set draw(draw) {
    this.#draw = draw;
    this.#redraw();
  }

  connectedCallback() {
    sizes.observe(this);
  }

  disconnectedCallback() {
    sizes.unobserve(this);
  }

  /** @param {number} width @param {number} height in px, of the box's content */
  sized(width, height) {
    const [across, down] = [Math.round(width), Math.round(height)];
    if (across === this.#width && down === this.#height) return;
    this.#width = across;
    this.#height = down;
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
