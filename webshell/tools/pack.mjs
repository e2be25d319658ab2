// Packs Python for the browser, under Node, with the runtime that ships.
//   node pack.mjs stdlib TARGET.zip
//   node pack.mjs site WHEELS_DIR MICROPIP.whl STDLIB.zip TARGET.zip
// "site" first lets micropip resolve the wheels together, from files alone; last it starts the
// runtime as a phone does, imports the whole core and answers the sample of every operation.
import { readFileSync, readdirSync, writeFileSync } from "node:fs";
import { createRequire } from "node:module";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";
import { loadPyodide } from "pyodide";

const here = dirname(fileURLToPath(import.meta.url));
const runtime = dirname(createRequire(import.meta.url).resolve("pyodide/package.json"));

/**
 * A fresh runtime that knows no package of its own, so that nothing is fetched.
 * @param {string} [stdLibURL] another standard library than the stock one
 */
async function start(stdLibURL) {
  const lock = JSON.parse(readFileSync(join(runtime, "pyodide-lock.json"), "utf8"));
  const lockFileContents = { ...lock, packages: {} };
  const pyodide = await loadPyodide({ lockFileContents, packageBaseUrl: runtime, stdLibURL });
  pyodide.FS.writeFile("/home/pyodide/pack.py", readFileSync(join(here, "pack.py")));
  return { pyodide, pack: pyodide.pyimport("pack") };
}

/** @param {string} path */
const bytes = (path) => new Uint8Array(readFileSync(path));

/** @param {string[]} paths */
async function packStdlib([target]) {
  const { pyodide, pack } = await start();
  pyodide.FS.writeFile("/source.zip", bytes(join(runtime, "python_stdlib.zip")));
  const count = pack.stdlib("/source.zip", "/target.zip");
  writeFileSync(target, pyodide.FS.readFile("/target.zip"));
  console.log(`${count} files`);
}

/** @param {string[]} paths */
async function packSite([wheels, micropip, stdlib, target]) {
  const { pyodide, pack } = await start();
  pyodide.FS.mkdir("/wheels");
  for (const name of readdirSync(wheels)) pyodide.FS.writeFile(`/wheels/${name}`, bytes(join(wheels, name)));
  pyodide.unpackArchive(bytes(micropip), "wheel");
  const faults = await pack.resolve("/wheels");
  if (faults) throw new Error(`The wheels do not resolve together:\n${faults}`);
  const count = pack.site("/wheels", "/target.zip");
  const archive = pyodide.FS.readFile("/target.zip");

  const shipped = await start(stdlib);
  shipped.pyodide.unpackArchive(archive, "zip", { extractDir: "/lib/site" });
  shipped.pyodide.runPython("import sys; sys.path.insert(0, '/lib/site')");
  const answered = shipped.pack.try_out();
  writeFileSync(target, archive);
  console.log(`${count} files, ${answered} operations answer`);
}

const [command, ...paths] = process.argv.slice(2);
try {
  await (command === "stdlib" ? packStdlib : packSite)(paths);
} catch (problem) {
  // The message alone: Node would show the whole line of the runtime's source with it.
  console.error(problem instanceof Error ? problem.message : String(problem));
  process.exitCode = 1;
}
