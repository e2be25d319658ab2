// Where a module of the shell holds words that a person reads: by its syntax tree, without running it.

import ts from "../../webshell/node_modules/typescript/lib/typescript.js";

/** Attributes whose value is read out or shown. */
const READ = new Set(["alt", "aria-description", "aria-label", "aria-roledescription", "placeholder", "title"]);
const MARKUP = new Set(["html", "svg"]);

/** @typedef {{line: number, words: string}} Prose */

/** The words in a module's strings and templates.
 *  @param {string} source @param {string} [name] @returns {Prose[]} */
export function proseOf(source, name = "module.js") {
  const file = ts.createSourceFile(name, source, ts.ScriptTarget.ES2022, true, ts.ScriptKind.JS);
  /** @type {Prose[]} */
  const found = [];
  const note = (/** @type {ts.Node} */ node, /** @type {string} */ words) =>
    found.push({
      line: file.getLineAndCharacterOfPosition(node.getStart()).line + 1,
      words: words.replace(/\s+/g, " ").trim(),
    });

  /** @param {ts.Node} node @param {boolean} shown whether it is put before a reader as it is */
  function visit(node, shown) {
    if (ts.isTaggedTemplateExpression(node) && MARKUP.has(node.tag.getText())) return markup(node);
    if (ts.isTemplateExpression(node)) {
      const parts = [node.head, ...node.templateSpans.map(({ literal }) => literal)];
      const words = parts.map(({ text }) => text).join("1");
      if (shown ? /\p{L}/u.test(words) : reads(words)) note(node, words);
      return node.templateSpans.forEach(({ expression }) => visit(expression, shown));
    }
    if (ts.isStringLiteralLike(node)) {
      if (!decides(node) && (shown ? /\p{L}/u.test(node.text) : reads(node.text))) note(node, node.text);
      return;
    }
    ts.forEachChild(node, (child) => visit(child, shown && passes(node, child)));
  }

  /** A template of markup: its text, the attributes that are read, and the values put into either.
   *  @param {ts.TaggedTemplateExpression} node */
  function markup({ template }) {
    if (ts.isNoSubstitutionTemplateLiteral(template)) return parsed(template, template.text, []);
    const { head, templateSpans } = template;
    const text = templateSpans.reduce((all, { literal }, i) => `${all}\0${i}\0${literal.text}`, head.text);
    return parsed(template, text, templateSpans.map(({ expression }) => expression));
  }

  /** @param {ts.Node} at @param {string} text with "\0i\0" for the value i
   *  @param {ts.Expression[]} values */
  function parsed(at, text, values) {
    const tags = /<!--[^]*?-->|<\/?[a-z][^\0>]*(?:\0\d+\0[^\0>]*)*>/gi;
    for (const tag of text.match(tags) ?? []) {
      for (const [, attribute, value] of tag.matchAll(/([^\s=<>"']+)=("[^"]*"|'[^']*'|[^\s>]+)/g)) {
        const isRead = READ.has(attribute);
        if (isRead && /\p{L}/u.test(value.replace(/\0\d+\0/g, ""))) note(at, value);
        // A class, a path or an address is no sentence, whatever is put into it.
        for (const [, i] of value.matchAll(/\0(\d+)\0/g)) within(values[Number(i)], isRead, !isRead);
      }
    }
    for (const part of text.replace(tags, "\n").split("\n")) {
      const words = part.replace(/\0\d+\0/g, " 1 ");
      if (/\p{L}/u.test(words)) note(at, words);
      for (const [, i] of part.matchAll(/\0(\d+)\0/g)) within(values[Number(i)], true, false);
    }
  }

  /** @param {ts.Expression} value @param {boolean} shown @param {boolean} quiet its own strings are not read */
  function within(value, shown, quiet) {
    if (!quiet) return visit(value, shown);
    if (ts.isArrowFunction(value) || ts.isCallExpression(value)) return visit(value, false);
    ts.forEachChild(value, function deeper(child) {
      if (ts.isTaggedTemplateExpression(child)) visit(child, false);
      else ts.forEachChild(child, deeper);
    });
  }

  visit(file, false);
  return found;
}

/** Whether a string by itself is a sentence or a label: two words, or one with a capital. (A single small
 *  word is found only where markup shows it: elsewhere it may be a name.)
 *  @param {string} text */
const reads = (text) => /\p{L}{2,}[,.:;]?[\s\u00a0]+\S|[\s\u00a0]\p{L}{2,}|^\p{Lu}\p{Ll}+[.:]?$/u.test(text);

/** Whether a value passes through `node` unchanged from its part `child`.
 *  @param {ts.Node} node @param {ts.Node} child */
function passes(node, child) {
  if (ts.isParenthesizedExpression(node)) return true;
  if (ts.isConditionalExpression(node)) return child !== node.condition;
  return ts.isBinaryExpression(node) && /^(\?\?|\|\||&&|\+)$/.test(node.operatorToken.getText());
}

/** Whether a string is compared, imported, or names a property or a type: nobody reads it.
 *  @param {ts.Node} node */
function decides({ parent }) {
  if (ts.isBinaryExpression(parent)) return /^[!=]==?$|^in$/.test(parent.operatorToken.getText());
  return ts.isCaseClause(parent) || ts.isImportDeclaration(parent) || ts.isElementAccessExpression(parent);
}
