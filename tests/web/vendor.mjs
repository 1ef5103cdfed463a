// Fetch what web/vendor.toml names from the npm registry, lay it under web/vendor/ and write the lock.
import { execFileSync } from "node:child_process";
import { cpSync, mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { dirname, join } from "node:path";
import { LICENCES, readVendorToml, sha256, WEB } from "./vendor_rules.mjs";

const wanted = readVendorToml(readFileSync(join(WEB, "vendor.toml"), "utf8"));
const work = mkdtempSync(join(tmpdir(), "vendor-"));
const packages = [];
rmSync(join(WEB, "vendor"), { recursive: true, force: true });
for (const one of wanted) {
  const place = join(work, one.folder);
  mkdirSync(place, { recursive: true });
  const told = JSON.parse(
    execFileSync("npm", ["pack", "--json", `${one.name}@${one.version}`, "--pack-destination", place], {
      encoding: "utf8",
    }),
  );
  const { integrity } = Array.isArray(told) ? told[0] : /** @type {any} */ (Object.values(told)[0]);
  const tar = readdirSync(place).find((name) => name.endsWith(".tgz"));
  if (!tar) throw new Error(`${one.name}: the registry gave no archive`);
  execFileSync("tar", ["xzf", join(place, tar), "-C", place]);
  const { license } = JSON.parse(readFileSync(join(place, "package", "package.json"), "utf8"));
  if (!LICENCES.includes(license)) throw new Error(`${one.name}: licence ${license} is not allowed`);
  const files = [];
  for (const { from, to } of one.files) {
    const path = `${one.folder}/${to}`;
    mkdirSync(dirname(join(WEB, "vendor", path)), { recursive: true });
    cpSync(join(place, "package", from), join(WEB, "vendor", path));
    const bytes = readFileSync(join(WEB, "vendor", path));
    files.push({ path, sha256: sha256(bytes), bytes: bytes.length });
  }
  packages.push({
    name: one.name,
    version: one.version,
    licence: license,
    integrity,
    folder: one.folder,
    ...(one.module ? { module: one.module } : {}),
    files,
  });
}
writeFileSync(join(WEB, "vendor.lock.json"), `${JSON.stringify({ packages }, null, 2)}\n`);
rmSync(work, { recursive: true });
