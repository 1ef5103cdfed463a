// Node resolves bare imports as the page's import map does: to the vendored files, by the lock.
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { importMap, WEB } from "./vendor_rules.mjs";

const map = importMap(JSON.parse(readFileSync(join(WEB, "vendor.lock.json"), "utf8")).packages);
const file = (/** @type {string} */ path) => pathToFileURL(join(WEB, path.slice("/phone/".length))).href;

/** @param {string} specifier @param {any} context @param {any} next */
export function resolve(specifier, context, next) {
  if (map[specifier]) return { url: file(map[specifier]), format: "module", shortCircuit: true };
  const prefix = Object.keys(map).find((key) => key.endsWith("/") && specifier.startsWith(key));
  if (prefix) return { url: file(map[prefix] + specifier.slice(prefix.length)), format: "module", shortCircuit: true };
  return next(specifier, context);
}

/** The app's .js files are modules; there is no package.json beside them.
 * @param {string} url @param {any} context @param {any} next */
export function load(url, context, next) {
  const isWeb = url.startsWith(pathToFileURL(WEB).href) && url.endsWith(".js");
  return next(url, isWeb ? { ...context, format: "module" } : context);
}
