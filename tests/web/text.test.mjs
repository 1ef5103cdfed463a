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

/** The catalogues that are not English. @returns {Promise<[string, Record<string, string>][]>} */
const others = () =>
  Promise.all(
    filesBelow(join(WEB, "text"))
      .map((name) => name.replace(/\.js$/, ""))
      .filter((lang) => !["en", "say"].includes(lang))
      .map(async (lang) => [lang, (await import(`../../web/text/${lang}.js`))[lang]]),
  );
/** @type {Record<string, string>} By language: what would call a machine safe. */
const CLAIMS = JSON.parse(readFileSync(new URL("../handbook/claims.json", import.meta.url), "utf8"));

test("no sentence calls a machine safe, in any language", async () => {
  for (const [key, text] of Object.entries(en)) assert.doesNotMatch(text, /\bsafe\b(?<!Make safe)/i, key);
  for (const [lang, own] of await others()) {
    const claim = CLAIMS[lang];
    assert.ok(claim, `tests/handbook/claims.json has no words for ${lang}`);
    for (const [key, text] of Object.entries(own)) assert.doesNotMatch(text, new RegExp(claim, "i"), `${lang} ${key}`);
  }
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
  const all = await others();
  assert.ok(all.length > 0);
  for (const [lang, own] of all) {
    assert.ok(own, `${lang}.js exports no ${lang}`);
    assert.deepEqual(faults(lang, own), [], lang);
  }
});

test("the check of a catalogue finds what lacks, what is too much and a place that is not filled in", async () => {
  /** @type {Record<string, string>} */
  const own = { ...en, "unsent.events.many": "{n}" };
  for (const [lang] of await others()) assert.deepEqual(faults(lang, own).filter((one) => !/\.many$/.test(one)), []);
  delete own["app.name"];
  own["app.nick"] = "x";
  own["unsent.short"] = "nothing";
  own["positions.found.other"] = "some {of}";
  assert.deepEqual(
    faults("en", own).filter((one) => !/\.many$/.test(one)).sort(),
    ["lacks app.name", "nobody asks for app.nick", "positions.found.other fills in other places", "unsent.short fills in other places"],
  );
});
