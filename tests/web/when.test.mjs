// Dates as the app writes them, held against what the Unicode consortium's data (Intl, CLDR) calls the same months.
import assert from "node:assert/strict";
import { readdirSync } from "node:fs";
import test from "node:test";
import { join } from "node:path";
import { en } from "../../web/text/en.js";
import { language, learn, when } from "../../web/text/say.js";
import { WEB } from "./vendor_rules.mjs";

const languages = readdirSync(join(WEB, "text")).map((name) => name.replace(".js", "")).filter((name) => name !== "say");

for (const lang of languages)
  test(`a date in ${lang} has the day, the month by its name, the year and the time of this phone`, async () => {
    await learn(lang);
    language.value = lang;
    for (let month = 0; month < 12; month += 1) {
      const at = new Date(2026, month, 7, 8, 5);
      const named = new Intl.DateTimeFormat(lang, { month: "short" }).format(at).slice(0, 3).toLowerCase();
      const said = when(at.toISOString());
      assert.match(said.toLowerCase(), new RegExp(`^7\\.? ${named}\\S* 2026, 08:05$`));
    }
    assert.equal(when(null), "");
    language.value = "en";
  });

test("there are twelve months", () => assert.equal(/** @type {any} */ (en).months.split(" ").length, 12));
