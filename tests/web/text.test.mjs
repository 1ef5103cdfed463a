import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { join } from "node:path";
import test from "node:test";
import { en } from "../../web/text/en.js";
import { filesBelow, WEB } from "./vendor_rules.mjs";

const sources = filesBelow(WEB).filter(
  (path) => path.endsWith(".js") && !path.startsWith("vendor/") && (!path.startsWith("text/") || path === "text/say.js"),
);
const used = new Set();
/** @type {RegExp[]} */
const made = [];
for (const path of sources) {
  const source = readFileSync(join(WEB, path), "utf8");
  for (const hit of source.matchAll(/\bt\(\s*"([\w.]+)"/g)) used.add(hit[1]);
  for (const hit of source.matchAll(/"([a-z_]+\.[a-z_.]+)"/g)) used.add(hit[1]);
  for (const hit of source.matchAll(/\bt\(\s*`([^`]+)`/g))
    made.push(
      new RegExp(
        `^${/** @type {string} */ (hit[1]).replaceAll(".", "\\.").replace(/\$\{[^}]*(?:\}[^`]*)?\}/g, ".+")}$`,
      ),
    );
}
const known = (/** @type {string} */ key) => key in en || `${key}.other` in en;

test("every sentence asked for by name is in the catalogue", () => {
  for (const path of sources)
    for (const hit of readFileSync(join(WEB, path), "utf8").matchAll(/\bt\(\s*"([\w.]+)"/g))
      assert.ok(known(/** @type {string} */ (hit[1])), `${path}: ${hit[1]}`);
});

test("no sentence stands in the catalogue unused", () => {
  const idle = Object.keys(en).filter((key) => {
    const name = key.replace(/\.(one|other)$/, "");
    return !used.has(name) && !used.has(key) && !made.some((pattern) => pattern.test(name) || pattern.test(key));
  });
  assert.deepEqual(idle, []);
});

test("no sentence calls a machine safe", () => {
  for (const [key, text] of Object.entries(en)) assert.doesNotMatch(text, /\bsafe\b(?<!Make safe)/i, key);
});

test("nothing sets markup or style from a string", () => {
  for (const path of sources)
    assert.doesNotMatch(
      readFileSync(join(WEB, path), "utf8"),
      /innerHTML|outerHTML|insertAdjacentHTML|unsafeHTML|style="|eval\(|new Function/,
      path,
    );
});

/** Keys that are one sentence in several forms of number. @param {Record<string, string>} all */
const families = (all) =>
  new Set(
    Object.keys(all)
      .map((key) => key.replace(/\.other$/, ""))
      .filter((name) => `${name}.one` in all && `${name}.other` in all),
  );
const holes = (/** @type {string} */ text) => [...new Set(text.match(/\{\w+\}/g) ?? [])].sort();

/** What a catalogue lacks, has too much, or fills in otherwise than English. @param {string} lang @param {Record<string, string>} own @returns {string[]} */
function faults(lang, own) {
  const many = families(en);
  const forms = new Intl.PluralRules(lang).resolvedOptions().pluralCategories;
  const base = (/** @type {string} */ key) => {
    const found = /^(.*)\.(zero|one|two|few|many|other)$/.exec(key);
    return found && many.has(/** @type {string} */ (found[1])) ? /** @type {string} */ (found[1]) : null;
  };
  const said = [];
  for (const key of Object.keys(en)) {
    const family = base(key);
    if (family) {
      for (const form of forms) if (!(`${family}.${form}` in own)) said.push(`lacks ${family}.${form}`);
    } else if (!(key in own)) said.push(`lacks ${key}`);
    else if (String(holes(en[key] ?? "")) !== String(holes(own[key] ?? ""))) said.push(`${key} fills in other places`);
  }
  for (const [key, text] of Object.entries(own)) {
    const family = base(key);
    if (!family && !(key in en)) said.push(`nobody asks for ${key}`);
    const wanted = holes(en[family ? `${family}.other` : key] ?? "");
    // "1 entry" may say its one without the number, so a form may leave out {n} and nothing else.
    if (family && String(wanted.filter((one) => one !== "{n}")) !== String(holes(text).filter((one) => one !== "{n}")))
      said.push(`${key} fills in other places`);
    if (!text.trim()) said.push(`${key} is empty`);
  }
  return [...new Set(said)];
}

test("every catalogue says all that English says, with the same places, and nothing more", async () => {
  const others = filesBelow(join(WEB, "text")).filter((name) => !["en.js", "say.js"].includes(name));
  for (const name of others) {
    const lang = name.replace(/\.js$/, "");
    const own = (await import(`../../web/text/${name}`))[lang];
    assert.ok(own, `${name} exports no ${lang}`);
    assert.deepEqual(faults(lang, own), [], name);
  }
});

test("the check of a catalogue finds what lacks, what is too much and a place that is not filled in", () => {
  /** @type {Record<string, string>} */
  const own = { ...en, "unsent.events.many": "{n}" };
  assert.deepEqual(faults("es", own).filter((one) => !/\.many$/.test(one)), []);
  delete own["app.name"];
  own["app.nick"] = "x";
  own["unsent.short"] = "nothing";
  own["positions.found.other"] = "some {of}";
  assert.deepEqual(
    faults("en", own).filter((one) => !/\.many$/.test(one)).sort(),
    ["lacks app.name", "nobody asks for app.nick", "positions.found.other fills in other places", "unsent.short fills in other places"],
  );
});
