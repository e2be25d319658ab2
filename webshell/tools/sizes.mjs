// Sizes of the files of a folder: raw, gzip -9 and brotli -11, in bytes.
//   node sizes.mjs FOLDER PATH...   prints one JSON line: {"raw": n, "gzip": n, "brotli": n}
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { brotliCompressSync, constants, gzipSync } from "node:zlib";

const [folder, ...paths] = process.argv.slice(2);
const total = { raw: 0, gzip: 0, brotli: 0 };
for (const path of paths) {
  const content = readFileSync(join(folder, path));
  total.raw += content.length;
  total.gzip += gzipSync(content, { level: 9 }).length;
  const params = { [constants.BROTLI_PARAM_QUALITY]: 11, [constants.BROTLI_PARAM_LGWIN]: 24 };
  total.brotli += brotliCompressSync(content, { params }).length;
}
console.log(JSON.stringify(total));
