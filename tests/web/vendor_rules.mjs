// What a vendored file must satisfy. Pure reading of folders; shared by the refresher and the checker.
import { createHash } from "node:crypto";
import { existsSync, readdirSync, readFileSync, statSync } from "node:fs";
import { dirname, join, normalize, relative } from "node:path";
import { fileURLToPath } from "node:url";

export const WEB = normalize(join(dirname(fileURLToPath(import.meta.url)), "..", "..", "web"));
export const LICENCES = ["BSD-3-Clause", "MIT", "ISC", "OFL-1.1", "Apache-2.0", "(MIT OR Apache-2.0)"];

/** @typedef {{name: string, version: string, folder: string, module?: string, files: {from: string, to: string}[]}} Wanted */
/** @typedef {{path: string, sha256: string, bytes: number}} LockedFile */
/** @typedef {{name: string, version: string, licence: string, integrity: string, folder: string, module?: string, files: LockedFile[]}} Locked */

/** The few TOML forms vendor.toml uses: [[package]] tables of one-line strings and string lists.
 * @param {string} text @returns {Wanted[]} */
export function readVendorToml(text) {
  /** @type {any[]} */
  const packages = [];
  for (const [index, raw] of text.split("\n").entries()) {
    const line = raw.trim();
    if (!line || line.startsWith("#")) continue;
    if (line === "[[package]]") {
      packages.push({});
      continue;
    }
    const pair = /^([a-z]+) = (.+)$/.exec(line);
    if (!pair || !packages.length) throw new Error(`vendor.toml:${index + 1}: not understood: ${line}`);
    packages[packages.length - 1][/** @type {string} */ (pair[1])] = JSON.parse(/** @type {string} */ (pair[2]));
  }
  for (const one of packages) {
    one.files = one.files.map((/** @type {string} */ entry) => {
      const [from, to] = entry.split(" -> ");
      return { from, to: to ?? from };
    });
  }
  return packages;
}

/** @param {Uint8Array} bytes */
export const sha256 = (bytes) => createHash("sha256").update(bytes).digest("hex");

/** @param {string} folder @returns {string[]} every file below, relative, sorted */
export function filesBelow(folder) {
  if (!existsSync(folder)) return [];
  /** @type {string[]} */
  const found = [];
  for (const name of readdirSync(folder)) {
    const path = join(folder, name);
    if (statSync(path).isDirectory()) found.push(...filesBelow(path).map((below) => join(name, below)));
    else found.push(name);
  }
  return found.sort();
}

/** Import specifiers of a module, static and dynamic.
 * @param {string} source @returns {string[]} */
export function importsOf(source) {
  const found = [];
  const pattern =
    /(?:^|[;\s}])(?:import|export)\s*(?:[\w*{}\s,$]+?from\s*)?["']([^"'\n]+)["']|import\(\s*["']([^"']+)["']\s*\)/g;
  for (const hit of source.matchAll(pattern)) found.push(/** @type {string} */ (hit[1] ?? hit[2]));
  return found;
}

/** The import map the page must carry: bare name to vendored module.
 * @param {Locked[]} locked @returns {Record<string, string>} */
export function importMap(locked) {
  /** @type {Record<string, string>} */
  const map = {};
  for (const one of locked) {
    if (!one.module) continue;
    map[one.name] = `/phone/vendor/${one.folder}/${one.module}`;
    if (one.files.some((file) => file.path.startsWith(`${one.folder}/directives/`)))
      map[`${one.name}/`] = `/phone/vendor/${one.folder}/`;
  }
  return map;
}

/** Every way the vendored folder can be wrong, as sentences. Empty = right.
 * @param {string} web @returns {string[]} */
export function vendorProblems(web) {
  const wanted = readVendorToml(readFileSync(join(web, "vendor.toml"), "utf8"));
  /** @type {{packages: Locked[]}} */
  const lock = JSON.parse(readFileSync(join(web, "vendor.lock.json"), "utf8"));
  const problems = [];
  const listed = new Set();
  for (const one of wanted) {
    const locked = lock.packages.find((other) => other.name === one.name);
    if (!locked || locked.version !== one.version) problems.push(`${one.name} ${one.version}: not in the lock`);
  }
  for (const one of lock.packages) {
    if (!wanted.some((other) => other.name === one.name)) problems.push(`${one.name}: locked but not wanted`);
    if (!LICENCES.includes(one.licence)) problems.push(`${one.name}: licence ${one.licence} is not allowed`);
    if (!one.files.some((file) => /LICENSE/.test(file.path))) problems.push(`${one.name}: its licence text is missing`);
    for (const file of one.files) {
      listed.add(normalize(file.path));
      const path = join(web, "vendor", file.path);
      if (!existsSync(path)) {
        problems.push(`${file.path}: missing`);
        continue;
      }
      const bytes = readFileSync(path);
      if (sha256(bytes) !== file.sha256 || bytes.length !== file.bytes)
        problems.push(`${file.path}: edited, or not what was locked`);
    }
  }
  for (const path of filesBelow(join(web, "vendor")))
    if (!listed.has(path)) problems.push(`vendor/${path}: not in the lock`);
  problems.push(...importProblems(web, lock.packages));
  return problems;
}

/** @param {string} web @param {Locked[]} locked @returns {string[]} */
function importProblems(web, locked) {
  const problems = [];
  const map = importMap(locked);
  const html = readFileSync(join(web, "index.html"), "utf8");
  const inline = /<script type="importmap">([\s\S]*?)<\/script>/.exec(html);
  if (!inline) problems.push("index.html: no import map");
  else if (JSON.stringify(JSON.parse(/** @type {string} */ (inline[1])).imports) !== JSON.stringify(map))
    problems.push(`index.html: its import map is not the lock's: ${JSON.stringify(map)}`);
  const modules = filesBelow(web).filter((path) => path.endsWith(".js"));
  for (const path of modules) {
    const text = readFileSync(join(web, path), "utf8");
    // an example in a borrowed file's comment imports nothing
    const source = path.startsWith("vendor/") ? text.replace(/^\s*\/\*\*[\s\S]*?\*\//gm, "") : text;
    for (const specifier of importsOf(source)) {
      if (/^(https?:)?\/\//.test(specifier)) {
        problems.push(`${path}: imports ${specifier} from a network`);
        continue;
      }
      if (!resolves(web, path, specifier, map)) problems.push(`${path}: import ${specifier} leads nowhere`);
    }
  }
  for (const path of filesBelow(web)) {
    if (!/\.(js|css|html|webmanifest)$/.test(path)) continue;
    const text = readFileSync(join(web, path), "utf8");
    const far =
      /(?:unpkg|jsdelivr|cdnjs|esm\.sh|skypack|googleapis|gstatic)\b|(?:src|href|url\(|from|fetch\()\s*=?\s*["'(]?https?:\/\//.exec(
        text,
      );
    if (far) problems.push(`${path}: reaches for a network address (${far[0]})`);
  }
  return problems;
}

/** @param {string} web @param {string} from @param {string} specifier @param {Record<string, string>} map */
function resolves(web, from, specifier, map) {
  /** @type {string | undefined} */
  let path;
  if (specifier.startsWith(".")) path = join(dirname(from), specifier);
  else if (specifier.startsWith("/phone/")) path = relative("/phone", specifier);
  else if (map[specifier]) path = relative("/phone", map[specifier]);
  else {
    const prefix = Object.keys(map).find((key) => key.endsWith("/") && specifier.startsWith(key));
    if (prefix) path = relative("/phone", map[prefix] + specifier.slice(prefix.length));
  }
  return path !== undefined && existsSync(join(web, path));
}
