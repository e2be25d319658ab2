// Packs Python for the browser, under Node, with the runtime that ships.
//   node pack.mjs stdlib TARGET.zip
//   node pack.mjs site WHEELS_DIR MICROPIP.whl TARGET.zip
// "site" first lets micropip resolve the wheels together, from files alone.
import { mkdtempSync, readFileSync, readdirSync, rmSync, writeFileSync } from "node:fs";
import { createRequire } from "node:module";
import { basename, dirname, join } from "node:path";
import { fileURLToPath } from "node:url";
import { loadPyodide } from "pyodide";

const here = dirname(fileURLToPath(import.meta.url));
const runtime = dirname(createRequire(import.meta.url).resolve("pyodide/package.json"));

/** A fresh stock runtime that knows no package of its own, so that nothing is fetched. */
async function start() {
  const lock = JSON.parse(readFileSync(join(runtime, "pyodide-lock.json"), "utf8"));
  const pyodide = await loadPyodide({ lockFileContents: { ...lock, packages: {} }, packageBaseUrl: runtime });
  pyodide.FS.writeFile("/home/pyodide/pack.py", readFileSync(join(here, "pack.py")));
  return { pyodide, pack: pyodide.pyimport("pack") };
}

/** @param {string} path */
const bytes = (path) => new Uint8Array(readFileSync(path));

const [command, ...paths] = process.argv.slice(2);
const { pyodide, pack } = await start();
let count = 0;
if (command === "stdlib") {
  pyodide.FS.writeFile("/source.zip", bytes(join(runtime, "python_stdlib.zip")));
  count = pack.stdlib("/source.zip", "/target.zip");
} else {
  const [wheels, micropip] = paths;
  pyodide.FS.mkdir("/wheels");
  for (const name of readdirSync(wheels)) pyodide.FS.writeFile(`/wheels/${name}`, bytes(join(wheels, name)));
  pyodide.unpackArchive(bytes(micropip), "wheel");
  const faults = await pack.resolve("/wheels");
  if (faults) {
    console.error(`The wheels do not resolve together:\n${faults}`);
    process.exit(1);
  }
  count = pack.site("/wheels", "/target.zip");
}
const target = /** @type {string} */ (paths.at(-1));
writeFileSync(target, pyodide.FS.readFile("/target.zip"));
console.log(`${basename(target)}: ${count} files`);
