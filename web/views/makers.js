// Whose value stands for a line, what stands under it, and what the sheet itself gives: never hidden behind the number.
import { html, nothing } from "lit-html";
import { lineLabel, sayEntry, sayValue } from "../judge.js";
import { t, when, words } from "../text/say.js";
import { told } from "./parts.js";

/** @param {import("../app.js").Phone} phone @param {any} program @param {any} one a maker's value with its origin */
const say = (phone, program, one) =>
  t(`maker.of_${one.origin ?? "record"}`, {
    x: sayEntry(program, one),
    doc: [one.document, one.revision, one.page].filter(Boolean).join(", "),
    by: one.by ? t("maker.by", { who: one.name ?? phone.nameOf(one.by), at: when(one.at) }) : "",
  });

/** @param {import("../app.js").Phone} phone @param {any} program @param {string} sheet @param {any} result
 * @param {{levels: Record<string, any[]>, unclear: string[]}} makers by line, the value that rules first */
export function makersView(phone, program, sheet, result, { levels, unclear }) {
  // With the sheet's name: a torque is one of the screw, another of the base bolt.
  const label = (/** @type {string} */ line) => `${words(program.sheets[sheet]?.title)} · ${lineLabel(program, `${sheet}.${line}`)}`;
  const unused = (/** @type {any} */ text) => html`<br />${t("maker.under")} <s>${text}</s>`;
  const own = (/** @type {string} */ line) => {
    const value = result?.defaults?.[line];
    if (value === undefined) return nothing;
    if (value === null) return t("maker.no_own");
    return unused(t("working.own", { x: sayValue(program, sheet, line, value, phone.settings.all.value.units) }));
  };
  return html`${Object.entries(levels).map(
    ([line, all]) =>
      html`<p class="told"><b>${label(line)}:</b> ${t("maker.use")} ${say(phone, program, all[0])} ${own(line)}${all.slice(1).map((one) => unused(say(phone, program, one)))}</p>`,
  )}${unclear.map((line) => told(t("maker.unclear", { label: label(line) }), "care"))}`;
}

/** Values of the plant that hold for a sheet under conditions that are not met, or not known, here.
 * @param {import("../app.js").Phone} phone @param {any} bundle @param {string} sheet @param {Record<string, any[]>} levels */
export const elsewhere = (phone, bundle, sheet, levels) =>
  phone.journal
    .plantValues()
    .filter((one) => one.holds && one.line.startsWith(`${sheet}.`) && Object.keys(one.where).length)
    .filter((one) => !levels[one.line.slice(sheet.length + 1)]?.some((used) => used.event === one.event))
    .map((one) =>
      told(
        t("maker.elsewhere", {
          label: lineLabel(bundle.calc, one.line),
          said: say(phone, bundle.calc, { ...one, ...one.value, origin: "plant" }),
          where: Object.entries(one.where)
            .map(([name, entry]) => {
              const fact = bundle.facts.find((/** @type {any} */ other) => other.name === name);
              return `${words(fact?.label) || name}: ${sayEntry(bundle.calc, entry, fact)}`;
            })
            .join("; "),
        }),
      ),
    );
