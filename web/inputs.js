// Entries as typed -> SI values, or what is wrong with each field in the user's own unit. The twin of calc/inputs.py.
import { runner } from "./calc.js";
import { labelOf, sentence, show, wordsOf } from "./showing.js";
import { given, meantUnit } from "./slips.js";
import { parseNumber, tidy } from "./typed.js";

/** @typedef {{input: string, code: string, message: string, expects: string, meant?: string}} Problem */

/** What a field takes, in words. @param {any} program @param {any} spec @param {string} lang @param {string} system @param {string} [unit] @returns {string} */
function expects(program, spec, lang, system, unit) {
  if (spec.kind === "word") return sentence(program, "takes.word", lang, { choices: choicesSaid(spec, lang) });
  if (spec.kind === "yesno") return sentence(program, "takes.yesno", lang);
  const span = range(program, spec, lang, system, unit);
  if (spec.list) {
    const listed = sentence(program, "takes.list", lang, { least: spec.list.least, most: spec.list.most });
    return span ? `${listed}, ${span}` : listed;
  }
  return (
    span || sentence(program, "takes.number", lang, { example: `5\u00a0${program.units[spec.unit].shown}`.trim() })
  );
}

/** What may be typed, with its meaning where that is another word. @param {any} spec @param {string} lang */
const choicesSaid = (spec, lang) =>
  spec.choices
    .map((/** @type {any} */ one) =>
      wordsOf(one.label, lang) === one.word ? one.word : `${one.word} (${wordsOf(one.label, lang)})`,
    )
    .join(", ");

/** @param {any} program @param {any} spec @param {string} lang @param {string} system @param {string} [unit] */
function range(program, spec, lang, system, unit) {
  const say = (/** @type {number} */ value) =>
    unit ? show(program, value, unit, "as_is", undefined, lang) : show(program, value, spec.unit, system, undefined, lang);
  if ("least" in spec && "most" in spec)
    return sentence(program, "range.both", lang, { least: say(spec.least), most: say(spec.most) });
  if ("least" in spec) return sentence(program, "range.least", lang, { least: say(spec.least) });
  return "most" in spec ? sentence(program, "range.most", lang, { most: say(spec.most) }) : "";
}

class Reading {
  /** @param {any} program @param {string} lang @param {string} system */
  constructor(program, lang, system) {
    this.program = program;
    this.lang = lang;
    this.system = system;
    /** @type {Problem[]} */
    this.problems = [];
  }

  /** @param {any} spec @param {string} code @param {string} message @param {string} [unit] @param {string} [meant] the unit it would fit in @returns {null} */
  fault(spec, code, message, unit, meant) {
    this.problems.push({
      input: spec.name,
      code,
      message,
      expects: expects(this.program, spec, this.lang, this.system, unit),
      ...(meant ? { meant } : {}),
    });
    return null;
  }

  /** @param {any} spec @param {string} code @param {string} given @param {string} [unit] @param {Record<string, string>} [parts] */
  typedFault(spec, code, given, unit, parts = {}) {
    const said = sentence(this.program, `typed.${code}`, this.lang, { given, ...parts });
    return this.fault(spec, code, `${wordsOf(spec.label, this.lang)}: ${said}`, unit);
  }

  /** The value of an entry, null with a problem noted, or null where nothing was given. @param {any} spec @param {any} entry @returns {any} */
  value(spec, entry) {
    if (entry === null || entry === undefined) return null;
    const wrong = () =>
      this.fault(
        spec,
        "type",
        sentence(this.program, "bad_input.type", this.lang, {
          label: wordsOf(spec.label, this.lang),
          takes: expects(this.program, spec, this.lang, this.system),
        }),
      );
    if (typeof entry !== "object") return wrong();
    if (spec.kind === "word") return typeof entry.word === "string" ? entry.word : wrong();
    if (spec.kind === "yesno") return typeof entry.yes === "boolean" ? entry.yes : wrong();
    const texts = spec.list ? entry.typed : [entry.typed];
    if (!Array.isArray(texts) || !texts.every((one) => typeof one === "string")) return wrong();
    const code = entry.unit || (spec.unit === "1" || spec.unit === "%" ? "1" : "");
    if (typeof code !== "string") return wrong();
    if (code === "") return this.typedFault(spec, "unit_needed", texts.join("; "));
    const unit = this.program.units[code];
    if (!unit) return this.typedFault(spec, "unknown_unit", code);
    if (!unit.kinds.includes(spec.kind))
      return this.typedFault(spec, "wrong_kind", code, undefined, {
        unit: unit.shown || code,
        kind: spec.kind.replaceAll("_", " "),
      });
    const zero = spec.kind === "temperature_difference" ? 0 : unit.zero;
    const out = [];
    for (const text of texts) {
      const got = parseNumber(text);
      if (typeof got !== "number") {
        const plain = tidy(text);
        const parts = { point: plain.replaceAll(",", "."), whole: plain.replaceAll(",", "") };
        return this.typedFault(spec, got.fault, text, code, parts);
      }
      out.push(got * unit.factor + zero);
    }
    return spec.list ? out : out[0];
  }
}

/** Entries -> SI values and what is wrong, field by field. A required field not given is no problem here:
 * evaluating refuses with `missing_input`.
 * @param {any} program @param {string} sheet @param {Record<string, any>} entries @param {string} [lang] @param {string} [system]
 * @returns {{values: Record<string, any>, problems: Problem[]}} */
export function readInputs(program, sheet, entries, lang = "en", system = "metric") {
  const reading = new Reading(program, lang, system);
  /** @type {Map<string, {spec: any, test: (value: any) => string | null}>} */
  const known = new Map(runner(program, sheet).inputs.map((/** @type {any} */ one) => [one.name, one]));
  /** @type {Record<string, any>} */
  const values = {};
  for (const [name, entry] of Object.entries(entries)) {
    const one = known.get(name);
    if (!one) {
      reading.problems.push({
        input: name,
        code: "unknown",
        message: sentence(program, "bad_input.unknown", lang, { label: name }),
        expects: [...known.keys()].join(", "),
      });
      continue;
    }
    const value = reading.value(one.spec, entry);
    if (value === null) continue;
    const reason = one.test(value);
    if (reason) {
      const said = badInput(program, one.spec, reason, value, lang, system, entry.unit);
      const meant = reason === "range" ? meantUnit(program, one.spec.kind, entry, one.test) : undefined;
      const ask = meant ? ` ${sentence(program, "bad_input.meant", lang, { given: given(program, entry, meant) })}` : "";
      reading.fault(one.spec, reason, said + ask, entry.unit, meant);
    } else values[name] = value;
  }
  return { values, problems: reading.problems };
}

/** Why a value is not what a field takes, in the unit it was typed in.
 * @param {any} program @param {any} spec @param {string} reason @param {any} value @param {string} lang @param {string} system @param {string} [unit] @returns {string} */
export function badInput(program, spec, reason, value, lang, system, unit) {
  const label = wordsOf(spec.label, lang);
  if (reason === "word")
    return sentence(program, "bad_input.word", lang, { label, given: value, choices: choicesSaid(spec, lang) });
  if (reason === "range") {
    const outside = (/** @type {number} */ one) =>
      ("least" in spec && one < spec.least) || ("most" in spec && one > spec.most);
    const given = Array.isArray(value) ? (value.find(outside) ?? value[0]) : value;
    const shown = unit ? show(program, given, unit, "as_is", undefined, lang) : show(program, given, spec.unit, system, undefined, lang);
    return sentence(program, "bad_input.range", lang, {
      label,
      given: shown,
      range: range(program, spec, lang, system, unit),
    });
  }
  if (reason === "count")
    return sentence(program, "bad_input.count", lang, {
      label,
      n: value.length,
      least: spec.list.least,
      most: spec.list.most,
    });
  if (reason === "whole") return sentence(program, "bad_input.whole", lang, { label });
  return sentence(program, "bad_input.type", lang, { label, takes: expects(program, spec, lang, system) });
}

/** The bearing maker's values, line -> entry with document, -> SI values and problems.
 * @param {any} program @param {string} sheet @param {Record<string, any>} makers @param {string} [lang] @param {string} [system]
 * @returns {{values: Record<string, any>, problems: Problem[]}} */
export function readMakers(program, sheet, makers, lang = "en", system = "metric") {
  const reading = new Reading(program, lang, system);
  const lines = new Map(
    program.sheets[sheet].lines
      .filter((/** @type {any} */ line) => line.maker)
      .map((/** @type {any} */ line) => [line.name, line]),
  );
  /** @type {Record<string, any>} */
  const values = {};
  for (const [name, entry] of Object.entries(makers)) {
    const spec = lines.get(name);
    if (!spec) {
      reading.problems.push({
        input: name,
        code: "no_maker",
        message: sentence(program, "bad_input.no_maker", lang, { label: labelOf(program, sheet, name, lang) }),
        expects: [...lines.keys()].join(", "),
      });
      continue;
    }
    const value = reading.value(spec, entry);
    if (value !== null) values[name] = value;
  }
  return { values, problems: reading.problems };
}
