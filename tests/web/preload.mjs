// Unbundled modules load in one round, not one per depth: index.html names every module that app.js reaches, for boot.js.
// `node tests/web/preload.mjs` rewrites the list; the test only checks it.
import { readFileSync, writeFileSync } from "node:fs";
import { dirname, join, posix } from "node:path";
import { fileURLToPath } from "node:url";
import { importMap, WEB } from "./vendor_rules.mjs";

/** Every module the page needs at its start, as addresses. Dynamic imports load when they are wanted.
 * @param {string} web @returns {string[]} */
export function reached(web) {
  const map = importMap(JSON.parse(readFileSync(join(web, "vendor.lock.json"), "utf8")).packages);
  /** @type {Set<string>} */
  const seen = new Set();
  const walk = (/** @type {string} */ path) => {
    if (seen.has(path)) return;
    seen.add(path);
    const source = readFileSync(join(web, path), "utf8");
    for (const hit of source.matchAll(/(?:^|[;\s}])(?:import|export)\s*(?:[\w*{}\s,$]+?from\s*)?["']([^"'\n]+)["']/g)) {
      const name = /** @type {string} */ (hit[1]);
      const prefix = Object.keys(map).find((key) => key.endsWith("/") && name.startsWith(key));
      if (name.startsWith(".")) walk(posix.join(dirname(path), name));
      else if (map[name]) walk(map[name].slice("/phone/".length));
      else if (prefix) walk(map[prefix].slice("/phone/".length) + name.slice(prefix.length));
    }
  };
  walk("app.js");
  return [...seen]
    .filter((path) => path !== "app.js")
    .sort()
    .map((path) => `/phone/${path}`);
}

/** @param {string} html @param {string[]} paths */
export const withPreloads = (html, paths) =>
  html.replace(
    /<!-- preload -->[\s\S]*?<!-- \/preload -->/,
    `<!-- preload --><meta name="modules" content="${paths.join(" ")}"><!-- /preload -->`,
  );

if (process.argv[1] === fileURLToPath(import.meta.url)) {
  const file = join(WEB, "index.html");
  writeFileSync(file, withPreloads(readFileSync(file, "utf8"), reached(WEB)));
}
