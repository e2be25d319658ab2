// <signing-paper>: ink under a finger, as a small black-on-white picture. Nothing else is kept of it.

const INK = 3;
const QUALITY = 0.9;

export class Signing extends HTMLElement {
  #sheet = document.createElement("canvas");
  #drawing = false;
  /** Whether there is a stroke on it. */
  signed = false;

  connectedCallback() {
    if (!this.#sheet.isConnected) this.append(this.#sheet);
    this.clear();
    this.addEventListener("pointerdown", this.#begin);
    this.addEventListener("pointermove", this.#go);
    for (const end of ["pointerup", "pointercancel"]) this.addEventListener(end, this.#end);
  }

  /** A clean sheet, as wide as its place. */
  clear() {
    const { width, height } = this.getBoundingClientRect();
    this.#sheet.width = Math.max(1, Math.round(width * devicePixelRatio));
    this.#sheet.height = Math.max(1, Math.round(height * devicePixelRatio));
    const paper = this.#paper;
    if (paper) {
      paper.fillStyle = "white";
      paper.fillRect(0, 0, this.#sheet.width, this.#sheet.height);
    }
    this.signed = false;
  }

  get #paper() {
    return this.#sheet.getContext("2d");
  }

  /** @param {PointerEvent} event @returns {[number, number]} */
  #at({ clientX, clientY }) {
    const { left, top } = this.getBoundingClientRect();
    return [(clientX - left) * devicePixelRatio, (clientY - top) * devicePixelRatio];
  }

  #begin = (/** @type {PointerEvent} */ event) => {
    event.preventDefault();
    this.setPointerCapture(event.pointerId);
    this.#drawing = true;
    const paper = this.#paper;
    if (!paper) return;
    paper.strokeStyle = "black";
    paper.lineWidth = INK * devicePixelRatio;
    paper.lineCap = paper.lineJoin = "round";
    paper.beginPath();
    paper.moveTo(...this.#at(event));
  };

  #go = (/** @type {PointerEvent} */ event) => {
    if (!this.#drawing) return;
    this.#paper?.lineTo(...this.#at(event));
    this.#paper?.stroke();
    this.signed = true;
  };

  #end = () => {
    this.#drawing = false;
  };

  /** @returns {Promise<Blob | null>} */
  picture() {
    return new Promise((resolve) => this.#sheet.toBlob(resolve, "image/jpeg", QUALITY));
  }
}

customElements.define("signing-paper", Signing);
