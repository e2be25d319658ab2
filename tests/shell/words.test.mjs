import assert from "node:assert/strict";
import { readFileSync, readdirSync } from "node:fs";
import { dirname, join } from "node:path";
import test from "node:test";
import { fileURLToPath } from "node:url";
import { proseOf } from "./prose.mjs";

const SHELL = join(dirname(fileURLToPath(import.meta.url)), "../../webshell");
/** Where words may stand. */
const WORDS = /^draw\/words(\.js$|\/)/;

/** Strings that are no words of the shell's, each with the reason; what is found no more must go. */
const EXCEPTED = {
  // Styles, and questions to the browser about its screen.
  "app.js": ["(min-width: 1200px)"],
  "device/theme.js": ["(prefers-contrast: more)", "(prefers-color-scheme: dark)"],
  "draw/frame.js": ["content fills called", "content fills"],
  "blocks/ledger.js": ["piece 1 1"],
  "blocks/picture.js": ["t22 bb"],
  "figures/figures.js": [".figure-field, .figure-group", "input, button, summary"],
  "draw/labels.js": ['"Atkinson Hyperlegible Next", system-ui, sans-serif', "1 1px 1"],
  // Python that the worker runs.
  "engine/worker.js": ["1: status 1", "import sys; sys.path.insert(0, '/lib/site')"],
  // Thrown to whoever changes the program: the code before it would have to be wrong.
  "device/update.js": ["Not the service worker: 1"],
  "engine/client.js": ["A worker from another origin: 1"],
  "job/session.js": ["nothing was stored"],
  "store/store.js": ["a stored event can't be read back"],
};

/** The shell's modules, by their path. */
const modules = readdirSync(SHELL, { recursive: true })
  .map((path) => path.replaceAll("\\", "/"))
  .filter((path) => path.endsWith(".js") && !/^(node_modules|tools)\//.test(path));

const wordsIn = (source) => proseOf(source).map(({ words }) => words);

test("no module of the shell holds words of its own", () => {
  const outside = modules.filter((path) => !WORDS.test(path));
  assert.ok(outside.length > 60);
  const found = Object.fromEntries(
    outside
      .map((path) => [path, wordsIn(readFileSync(join(SHELL, path), "utf8"))])
      .filter(([, words]) => words.length > 0),
  );
  assert.deepEqual(found, EXCEPTED);
});

/** What a page or a manifest shows that is not filled in by the build. @param {string} text */
const unfilled = (text) => text.replace(/<(style|script)[^]*?<\/\1>/g, "").replace(/\{\{\w+\}\}/g, "");

/** The words of a page: its text, and what is read of its attributes. @param {string} page */
const wordsOfPage = (page) => {
  const named = page.matchAll(/<meta name="(?:description|author|keywords)" content="([^"]*)"/g);
  const shown = [...wordsIn(`html\`${page.replace(/<!doctype[^>]*>/i, "")}\``), ...[...named].map(([, words]) => words)];
  return shown.filter((words) => /\p{L}/u.test(words));
};

/** Members of a manifest that a person reads. @param {string} text */
const wordsOfManifest = (text) => {
  const found = [];
  JSON.parse(text, (key, value) => {
    if (/^(name|short_name|description|label|title|text)$/.test(key) && /\p{L}/u.test(value)) found.push(value);
    return value;
  });
  return found;
};

test("page, manifest and service worker hold no words of their own: the build fills them in", () => {
  const read = (name) => readFileSync(join(SHELL, name), "utf8");
  const words = JSON.parse(read("draw/words/page.json"));
  assert.deepEqual(wordsOfPage(unfilled(read("index.html"))), []);
  assert.deepEqual(wordsOfManifest(unfilled(read("manifest.webmanifest"))), []);
  assert.deepEqual(wordsIn(read("service-worker.js")), []);
  // The search is not blind: filled in, they are found.
  const fill = (name) => read(name).replace(/\{\{(\w+)\}\}/g, (_, id) => words[id] ?? "en");
  assert.deepEqual(wordsOfPage(fill("index.html")).sort(), [words.description, words.app, words.noScript].sort());
  assert.deepEqual(wordsOfManifest(fill("manifest.webmanifest")), [words.app, words.app, words.description]);
  assert.deepEqual(wordsIn(read("service-worker.js").replace("RELEASE.words.lost)", '"It was lost.")')), ["It was lost."]);
  const named = ["index.html", "manifest.webmanifest", "service-worker.js"].map(read).join("");
  for (const id of Object.keys(words)) assert.ok(named.includes(`{{${id}}}`) || named.includes(`words.${id}`), id);
});

test("where the words stand, they are found: the search is not blind", () => {
  const inside = modules.filter((path) => WORDS.test(path));
  assert.ok(inside.length >= 5);
  const found = inside.flatMap((path) => wordsIn(readFileSync(join(SHELL, path), "utf8")));
  assert.ok(found.length > 120, String(found.length));
  for (const words of ["Saving", "Close", "Decimal point", "Phase 1 of 1: 1", "1 jobs open"])
    assert.ok(found.includes(words), words);
});

test("words put into a module are found, wherever they are put", () => {
  const whole = readFileSync(join(SHELL, "pages/menu.js"), "utf8");
  assert.deepEqual(wordsIn(whole), []);
  const slips = [
    ["${MENU.title}<", "Menu<", "Menu"],
    ["${MENU.close}<", "${menu.waiting ? \"close\" : MENU.close}<", "close"],
    ["${MENU.megabytes(room.usage)}", "${room.usage} MB", "1 MB"],
    ["MENU.soundsOn]", '"Sounds on"]', "Sounds on"],
    ['<div class="menu">', '<div class="menu" aria-label="Menu">', '"Menu"'],
    ['<div class="menu">', '<div class="menu" title=${menu.version ? "new" : MENU.title}>', "new"],
  ];
  for (const [from, to, words] of slips) {
    assert.ok(whole.includes(from), from);
    assert.deepEqual(wordsIn(whole.replace(from, to)), [words]);
  }
});

test("what nobody reads is let be: classes, names, ids, what is compared or imported", () => {
  assert.deepEqual(wordsIn(`
    import { x } from "./a file.js";
    const row = (on, kind) => html\`<div class="row \${on ? "chosen" : "plain"}" id="a-\${kind}"
      @click=\${() => act({ call: "home" }, "read_aloud")}>\${kind === "to do" ? WORDS.toDo : nothing}</div>\`;
    switch (key) { case "Enter": throw new DOMException("", "AbortError"); }
    const path = svg\`<path class="tick long" d="M\${x} 0v16" />\`;
  `), []);
  assert.deepEqual(wordsIn('const said = `in ${time}`;'), ["in 1"]);
  assert.deepEqual(wordsIn('const said = n + " jobs open";'), ["jobs open"]);
  assert.deepEqual(wordsIn('html`<p>${a ?? "yes"}</p>`'), ["yes"]);
  assert.deepEqual(wordsIn('html`<p @click=${pressed(() => tell("Not saved"))}></p>`'), ["Not saved"]);
});

/** A key and a title, two keys, a state and a figure: one word that may part in another language. */
const TWICE = ["Erase", "Menu", "not measured"];

test("each word of the shell stands once, but for those that mean another thing elsewhere", () => {
  const places = new Map();
  for (const path of modules.filter((each) => WORDS.test(each)))
    for (const words of wordsIn(readFileSync(join(SHELL, path), "utf8")))
      places.set(words, [...(places.get(words) ?? []), path]);
  const twice = [...places].filter(([, paths]) => paths.length > 1).map(([words]) => words);
  assert.deepEqual(twice.sort(), TWICE);
});

test("what the shell calls its language is the page's", async () => {
  await import("./node.mjs");
  const { LANGUAGE, listed, plural } = await import("../../webshell/draw/words/language.js");
  const { jobsOpen } = await import("../../webshell/draw/words.js");
  assert.equal(LANGUAGE, document.documentElement.lang);
  assert.equal(listed(["a", "b", "c"]), "a, b, c");
  assert.equal(plural(1, { one: "x", other: "y" }), "x");
  const open = ["No job open", "1 job open", "2 jobs open", "31 jobs open"];
  assert.deepEqual([0, 1, 2, 31].map(jobsOpen), open);
  const named = modules.filter((path) => /["']en["']/.test(readFileSync(join(SHELL, path), "utf8")));
  assert.deepEqual(named, []);
});
