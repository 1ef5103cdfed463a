// The one place where screens meet the calculation: entries in, judgement and words out.
import { evaluate, truth } from "./calc.js";
import { readInputs, readMakers } from "./inputs.js";
import { show, showAs, shownUnit, specOf } from "./showing.js";
import { factAsks, saidAsks, sayAsk, asks as slips } from "./slips.js";
import { isUnread, language, system as shownIn, t, words } from "./text/say.js";
import { sayCheck, sayRefusal } from "./working.js";

/** @typedef {{input: string, message: string, meant?: string}} Problem @typedef {import("./slips.js").Ask & {say: string}} Asked */

/** What was asked and answered "as typed", as it goes into the record. @param {Asked} one */
export const answered = ({ input, typed, unit, meant_unit, factor }) => ({ input, typed, unit, meant_unit, factor });

/** The questions that nobody has answered yet. @param {Asked[]} found @param {any[]} [answers] */
export const unanswered = (found, answers = []) =>
  found.filter((one) => !answers.some((other) => JSON.stringify(other) === JSON.stringify(answered(one))));

/** Judge a sheet on entries as typed. Never throws on bad input: it becomes problems.
 * @param {any} program @param {string} sheet @param {Record<string, any>} entries @param {Record<string, any>} [maker] line -> maker's value as typed
 * @returns {{result: any, problems: Problem[], say: string[], asks: Asked[]}} say: why there is no answer, in sentences; asks: slips of a unit to ask about */
export function judgeSheet(program, sheet, entries, maker = {}) {
  const read = readInputs(program, sheet, entries, language.value, shownIn.value);
  const makers = readMakers(program, sheet, maker);
  const problems = [...read.problems, ...makers.problems];
  if (read.problems.length) return { result: null, problems, say: [], asks: [] };
  const result = evaluate(program, sheet, read.values, makers.values);
  const found = slips(program, sheet, entries, read.values, makers.values, result, maker);
  return {
    result,
    problems,
    asks: saidAsks(program, sheet, found, language.value),
    say:
      result.status === "refused" ? [sayRefusal(program, sheet, result, entries, language.value, shownIn.value)] : [],
  };
}

/** A sheet of the given specs alone, so that loose fields are read by the very same reader.
 * @param {any} program @param {any[]} specs */
const loose = (program, specs) => ({
  ...program,
  sheets: {
    loose: {
      sheet: "loose",
      inputs: specs.map((spec) => ({ ...spec, optional: true })),
      lines: [],
      checks: [],
      windows: [],
    },
  },
});

/** @param {any} program @param {any} spec @param {any} entry @returns {Problem[]} */
export function singleProblems(program, spec, entry) {
  if (entry === undefined || spec.kind === "text") return [];
  return readInputs(loose(program, [spec]), "loose", { [spec.name]: entry }, language.value, shownIn.value).problems;
}

/** What is wrong with a fact: in itself, or beside the others. @param {any} bundle @param {any} fact @param {Record<string, any>} entries @returns {Problem[]} */
export function factProblems(bundle, fact, entries) {
  const { name, wrong } = fact;
  const found = singleProblems(bundle.calc, fact, entries[name]);
  return !found.length && wrong && truth(wrong.when, factValues(bundle, entries)) ? [{ input: name, message: words(wrong.message) }] : found;
}

/** Slips of a unit among a position's facts. @param {any} bundle @param {Record<string, any>} facts @returns {Asked[]} */
export const slipsOfFacts = (bundle, facts) =>
  factAsks(bundle.calc, facts).map((one) => {
    const fact = bundle.facts.find((/** @type {any} */ other) => other.name === one.input);
    return { ...one, say: sayAsk(bundle.calc, words(fact?.label), one, language.value) };
  });

/** Facts as the walker takes them: SI numbers, words, yes/no. @param {any} bundle @param {Record<string, any>} entries */
export function factValues(bundle, entries) {
  const known = Object.fromEntries(
    bundle.facts
      .filter((/** @type {any} */ fact) => entries[fact.name] !== undefined && fact.kind !== "text")
      .map((/** @type {any} */ fact) => [fact.name, entries[fact.name]]),
  );
  return readInputs(
    loose(
      bundle.calc,
      bundle.facts.filter((/** @type {any} */ fact) => fact.kind !== "text"),
    ),
    "loose",
    known,
  ).values;
}

/** Whether a fact is asked for a locking method (and, before one is chosen, whether it stands above the choice).
 * @param {any} fact @param {string | undefined} method @param {any} bundle @param {Record<string, any>} entries */
export function asks(fact, method, bundle, entries) {
  if (fact.name === "locking_method") return true;
  const list = fact.asked_for;
  const all = !list || list === "all" || (Array.isArray(list) && !list.length);
  if (!all && !(method && list.includes(method))) return false;
  if (!method && !all) return false;
  return fact.when ? truth(fact.when, factValues(bundle, entries)) !== false : true;
}

/** Sheets that a method's procedures use and that take maker's values. @param {any} bundle @param {string} method @returns {string[]} */
export function sheetsWithMaker(bundle, method) {
  const used = new Set();
  for (const procedure of Object.values(bundle.procedures)) {
    if (/** @type {any} */ (procedure).method !== method) continue;
    for (const step of /** @type {any} */ (procedure).steps) {
      if (step.number?.sheet) used.add(step.number.sheet);
      for (const reading of step.readings ?? []) if (reading.sheet) used.add(reading.sheet);
    }
  }
  return [...used].filter((sheet) => makerLines(bundle.calc, sheet).length > 0);
}

/** @param {any} program @param {string} sheet @returns {any[]} lines that a maker's value may replace */
export const makerLines = (program, sheet) =>
  program.sheets[sheet].lines.filter(
    (/** @type {any} */ line) => line.maker && line.kind !== "word" && line.kind !== "yesno",
  );

/** `sheet.line` in words. @param {any} program @param {string} path */
export function lineLabel(program, path) {
  const [sheet = "", line = ""] = path.split(".");
  return program.sheets[sheet] ? words(specOf(program, sheet, line)?.label) : path;
}

/** A computed value apart: figure and unit. @param {any} program @param {string} sheet @param {string} name @param {any} value @param {string} system @param {string} [unit] keep to this unit
 * @returns {{text: string, unit: string}} */
export function parts(program, sheet, name, value, system, unit) {
  const spec = specOf(program, sheet, name);
  if (typeof value === "boolean") return { text: t(value ? "field.yes" : "field.no"), unit: "" };
  if (typeof value === "string") {
    const choice = Array.isArray(spec?.choices)
      ? spec.choices.find((/** @type {any} */ one) => one.word === value)
      : null;
    return { text: choice ? words(choice.label) : value, unit: "" };
  }
  const shown = unit
    ? show(program, value, unit, "as_is", undefined, language.value)
    : showAs(program, value, spec, system, language.value);
  const cut = Math.max(shown.lastIndexOf(" "), shown.lastIndexOf("\u00a0"), shown.lastIndexOf("\u202f"));
  if (cut < 0 && shown.endsWith("°")) return { text: shown.slice(0, -1), unit: "°" };
  return cut < 0 ? { text: shown, unit: "" } : { text: shown.slice(0, cut), unit: shown.slice(cut + 1) };
}

/** @param {any} program @param {string} sheet @param {string} name @param {any} value @param {string} system @param {string} [unit] */
export function sayValue(program, sheet, name, value, system, unit) {
  const one = parts(program, sheet, name, value, system, unit);
  return one.unit && one.unit !== "°" ? `${one.text}\u00a0${one.unit}` : one.text + one.unit;
}

/** Where a line's number comes from, and how sure it is. @param {any} program @param {string} sheet @param {string} name @param {any} result */
export function sourceOf(program, sheet, name, result) {
  if (result?.defaults && name in result.defaults) return t("source.maker");
  const line = specOf(program, sheet, name);
  const source = program.sheets[sheet].sources?.[line?.source];
  if (!source) return t("source.none");
  const text = words(source.text);
  const sure = t(`certainty.${source.certainty}`);
  return text.includes(sure) || source.certainty === "common_practice" ? text : `${text} · ${sure}`;
}

/** The windows worth drawing: those with a reading, else the first with a limit.
 * @param {any} program @param {string} sheet @param {any} result @param {Record<string, any>} entries @param {string} system
 * @returns {{name: string, label: string, words: string, window: import("./views/geometry.js").Window, shown: {low?: string, high?: string, value?: string}, verdict: any}[]} */
export function gauges(program, sheet, result, entries, system) {
  const bounded = (result.windows ?? []).filter((/** @type {any} */ one) => isNumber(one.low) || isNumber(one.high));
  const read = bounded.filter((/** @type {any} */ one) => isNumber(one.value));
  return (read.length ? read : bounded.slice(0, 1)).map((/** @type {any} */ one) => {
    const spec = program.sheets[sheet].windows.find((/** @type {any} */ other) => other.name === one.name);
    const unit = entries[spec.value]?.unit;
    const say = (/** @type {any} */ value) =>
      isNumber(value) ? parts(program, sheet, spec.value, value, system, unit).text : undefined;
    const unitShown = parts(program, sheet, spec.value, one.low ?? one.high, system, unit).unit;
    const shown = { low: say(one.low), high: say(one.high), value: say(one.value) };
    const span =
      shown.low && shown.high
        ? t("gauge.window", { low: shown.low, high: shown.high })
        : shown.low
          ? t("gauge.from", { low: shown.low })
          : t("gauge.to", { high: shown.high ?? "" });
    return {
      name: one.name,
      label: words(spec.label),
      words: `${span} ${unitShown}`,
      window: {
        low: one.low,
        high: one.high,
        value: one.value,
        resolution: one.resolution,
        neverBelow: one.never_below,
        neverAbove: one.never_above,
      },
      shown,
      verdict: isNumber(one.value) ? one.position : "none",
    };
  });
}

const isNumber = (/** @type {any} */ x) => typeof x === "number";

/** @typedef {{text: string, english: string}} Line english: to show below, or "" */

/** What a judgement says, in sentences; with the English of a stop, a caution or a refusal whose translation nobody has read.
 * @param {any} program @param {string} sheet @param {any} result @param {Record<string, any>} entries @param {string} system @returns {Line[]} */
export function linesOf(program, sheet, result, entries, system) {
  const twice = (/** @type {boolean} */ safety, /** @type {(lang: string) => string} */ say) => ({
    text: say(language.value),
    english: safety ? say("en") : "",
  });
  const unread = (/** @type {string} */ name) =>
    isUnread(program.sheets[sheet].checks.find((/** @type {any} */ one) => one.name === name)?.message);
  if (result.status === "refused")
    return [
      twice(isUnread(program.words) || unread(result.refusal.where), (lang) =>
        sayRefusal(program, sheet, result, entries, lang, system),
      ),
    ];
  const said = (result.checks ?? []).map((/** @type {any} */ check) =>
    twice(check.level !== "note" && unread(check.name), (lang) =>
      sayCheck(program, sheet, check.name, result, entries, lang, system),
    ),
  );
  const togo = result.verdict === "not_yet" ? stillToGo(program, sheet, result, system) : [];
  return [...togo.map((text) => ({ text, english: "" })), ...said];
}

/** While driving: the sheet's headline lines about what is reached and what is left, in its own words.
 * @param {any} program @param {string} sheet @param {any} result @param {string} system @returns {string[]} */
function stillToGo(program, sheet, result, system) {
  return program.sheets[sheet].results
    .filter((/** @type {string} */ name) => /reached|to_go/.test(name) && isNumber(result.values[name]))
    .map(
      (/** @type {string} */ name) =>
        `${words(specOf(program, sheet, name)?.label)}: ${sayValue(program, sheet, name, result.values[name], system)}`,
    );
}

/** An entry as it was given. @param {any} program @param {any} entry @param {any} [spec] */
export function sayEntry(program, entry, spec) {
  if (!entry) return "";
  if ("typed" in entry)
    return `${[entry.typed].flat().join("; ")}\u00a0${program?.units?.[entry.unit] ? shownUnit(program, entry.unit, language.value) : entry.unit}`;
  if ("yes" in entry) return t(entry.yes ? "field.yes" : "field.no");
  if ("word" in entry) {
    const choice = Array.isArray(spec?.choices)
      ? spec.choices.find((/** @type {any} */ one) => one.word === entry.word)
      : null;
    return choice?.label ? words(choice.label) : entry.word;
  }
  return entry.text ?? "";
}
