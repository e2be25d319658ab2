// Where words go on an edge: words never lie on each other.

const FAMILY = '"Atkinson Hyperlegible Next", system-ui, sans-serif';
/** Tabular figures are a little wider than the ones measured. */
const TABULAR = 1.04;
const ruler = document.createElement("canvas").getContext("2d");

/** The width of words in px. @param {string} words @param {number} size px at a root of 16 px
 *  @param {number} [weight] */
export function widthOf(words, size, weight = 650) {
  if (!ruler) return words.length * size * 0.56;
  const root = parseFloat(getComputedStyle(document.documentElement).fontSize) / 16;
  ruler.font = `${weight} ${size * root}px ${FAMILY}`;
  return ruler.measureText(words).width * TABULAR;
}

/** Words in lines not wider than `width`. @param {string} words @param {number} size
 *  @param {number} width @param {number} [weight] */
export function wrapped(words, size, width, weight = 500) {
  /** @type {string[]} */
  const lines = [];
  for (const word of words.split(" ")) {
    const longer = `${lines.at(-1) ?? ""} ${word}`.trim();
    if (lines.length && widthOf(longer, size, weight) <= width) lines[lines.length - 1] = longer;
    else lines.push(word);
  }
  return lines;
}

/** A number as an axis shows it, with a real minus sign. @param {number} value */
export const figure = (value) => String(Number(value.toPrecision(6))).replace("-", "\u2212");

/** Multiples of `step` from `low` to `high`. @param {number} low @param {number} high
 *  @param {number} step */
export function multiples(low, high, step) {
  const slack = step * 1e-6;
  const first = Math.ceil((low - slack) / step);
  const count = Math.floor((high + slack) / step) - first + 1;
  return Array.from({ length: Math.max(0, count) }, (_, i) => (first + i) * step);
}

/** @param {number} value @param {number} step */
export const isMultiple = (value, step) =>
  Math.abs(value / step - Math.round(value / step)) < 1e-6;

/** A linear map of values to px. @param {number} low @param {number} high @param {number} from
 *  @param {number} to */
export const linear = (low, high, from, to) => (/** @type {number} */ value) =>
  from + ((value - low) / (high - low)) * (to - from);

/** A logarithmic map of values to px. @param {number} low @param {number} high
 *  @param {number} from @param {number} to */
export const logarithmic = (low, high, from, to) => {
  const map = linear(Math.log(low), Math.log(high), from, to);
  return (/** @type {number} */ value) => map(Math.log(Math.min(high, Math.max(low, value))));
};

/** @typedef {{at: number, words: string}} Word */
/** @typedef {Word & {x: number, anchor: "start" | "end" | "middle", row: number}} Placed */

/** Words beside marks: right of the mark, else left of it, else a row higher.
 *  `half` is half a mark's width; `blocked` are spans of row 0 that are taken already.
 *  @param {Word[]} words @param {number} width @param {number} size @param {number} half
 *  @param {[number, number][]} [blocked] @returns {Placed[]} */
export function besideMarks(words, width, size, half, blocked = []) {
  /** @type {[number, number][][]} */
  const taken = [[...blocked, ...words.map((w) => span(w.at - half, w.at + half))], [], [], []];
  return words.map((word) => {
    const long = widthOf(word.words, size);
    for (const [row, spans] of taken.entries()) {
      const free = (/** @type {number} */ from) =>
        from >= 0 &&
        from + long <= width &&
        spans.every(([low, high]) => from + long <= low || from >= high);
      const right = word.at + half + 4;
      const left = word.at - half - 4 - long;
      if (free(right)) {
        spans.push(span(right, right + long));
        return { ...word, x: right, anchor: /** @type {const} */ ("start"), row };
      }
      if (free(left)) {
        spans.push(span(left, left + long));
        return { ...word, x: left + long, anchor: /** @type {const} */ ("end"), row };
      }
    }
    const right = word.at > width / 2;
    return {
      ...word,
      x: right ? width : 0,
      anchor: right ? /** @type {const} */ ("end") : /** @type {const} */ ("start"),
      row: taken.length - 1,
    };
  });
}

/** Those of `words`, centred on their places and kept inside, that don't touch one before them.
 *  @param {Word[]} words in order of importance @param {number} width @param {number} size
 *  @param {[number, number][]} [blocked] @returns {Placed[]} */
export function centred(words, width, size, blocked = []) {
  const spans = [...blocked];
  /** @type {Placed[]} */
  const placed = [];
  for (const word of words) {
    const half = widthOf(word.words, size) / 2;
    const x = Math.min(width - half, Math.max(half, word.at));
    if (spans.some(([low, high]) => x + half + 6 > low && x - half - 6 < high)) continue;
    spans.push(span(x - half, x + half));
    placed.push({ ...word, x, anchor: "middle", row: 0 });
  }
  return placed;
}

/** @param {number} low @param {number} high @returns {[number, number]} */
const span = (low, high) => [low, high];
