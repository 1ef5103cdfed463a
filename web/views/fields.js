// One field for one entry: number with unit, list of numbers, word of a list, yes/no, free text.
import { html, nothing } from "lit-html";
import { live } from "lit-html/directives/live.js";
import { splitEntry } from "../typed.js";
import { shownUnit, unitIn, otherUnit } from "../units.js";
import { t, words } from "../text/say.js";

/**
 * @typedef {{name: string, label?: any, help?: any, kind: string, unit?: string, inch?: string, choices?: any, list?: {least: number, most: number}, optional?: boolean, short?: boolean}} Spec
 * @typedef {{id: string, spec: Spec, entry: any, problem?: string | null, meant?: string, set: (entry: any) => void, program: any}} FieldProps
 */

/** @param {import("../app.js").Phone} phone @param {FieldProps} props */
export function field(phone, props) {
  const { spec } = props;
  if (spec.kind === "word") return wordField(props);
  if (spec.kind === "yesno") return yesField(props);
  if (spec.kind === "text") return textField(props);
  if (spec.list) return listField(phone, props);
  return numberField(phone, props);
}

/** @param {FieldProps} props @param {any} control @param {boolean} [group] */
function frame({ id, spec, problem, meant, entry, set, program }, control, group = false) {
  const label = html`${words(spec.label) || spec.name}${spec.optional ? html` <span class="soft">${t("field.optional")}</span>` : nothing}`;
  const help = spec.help ? html`<p class="help" id=${`${id}-help`}>${words(spec.help)}</p>` : nothing;
  const kind = `field${problem ? " bad" : ""}${spec.optional ? " may" : ""}`;
  // The field says its name itself: under it only what is wrong.
  const name = `${words(spec.label)}: `;
  const said = problem?.startsWith(name) ? `${problem.charAt(name.length).toUpperCase()}${problem.slice(name.length + 1)}` : problem;
  const typed = `${[entry?.typed].flat().join("; ")}\u00a0${shownUnit(program, meant ?? "")}`;
  const wrong = html`<p class="wrong" id=${`${id}-wrong`} role="alert">${said ?? nothing}</p>${meant ? html`<button type="button" class="word" @click=${() => set({ ...entry, unit: meant })}>${t("slip.change", { x: typed })}</button>` : nothing}`;
  return group
    ? html`<fieldset class=${kind} aria-describedby=${`${id}-wrong`}>
      <legend>${label}</legend>${help}${control}${problem ? wrong : nothing}</fieldset>`
    : html`<div class=${kind}>
      <label for=${id}>${label}</label>${help}${control}${problem ? wrong : nothing}</div>`;
}

/** @param {import("../app.js").Phone} phone @param {FieldProps} props */
function numberField(phone, props) {
  return frame(
    props,
    oneNumber(phone, props, props.id, props.entry?.typed ?? "", (typed, unit) =>
      props.set(typed === "" ? undefined : { typed, unit }),
    ),
  );
}

/** @param {import("../app.js").Phone} phone @param {FieldProps} props @param {string} id @param {string} typed @param {(typed: string, unit: string) => void} set @param {string} [name] */
function oneNumber(phone, props, id, typed, set, name) {
  const { spec, program, entry } = props;
  // A unit chosen for an empty field is remembered beside the draft until a figure is typed.
  // One instrument, one unit: what is still empty in the same reading and begins in the same unit follows.
  const group = `${props.id.split("-", 2).join("-")} ${spec.unit}`;
  const chosen = phone.unitChoice.value[group];
  const unit = entry?.unit ?? chosen ?? unitIn(program, spec.unit ?? "1", phone.settings.all.value.units, spec.inch);
  const other = otherUnit(program, unit);
  const swap = () => {
    if (!other) return;
    phone.unitChoice.value = { ...phone.unitChoice.value, [group]: other };
    if (entry) props.set({ ...entry, unit: other });
    open(other, unit);
  };
  /** @param {string} now @param {string | null} next */
  const open = (now, next) => {
    // The pad rises over the page; what is typed must stay in sight above it.
    requestAnimationFrame(() => document.getElementById(id)?.scrollIntoView({ block: "center" }));
    phone.pad.value = {
      id,
      label: name ?? words(spec.label),
      unit: shownUnit(program, now),
      other: next ? shownUnit(program, next) : null,
      swap: () => {
        if (!next) return;
        phone.unitChoice.value = { ...phone.unitChoice.value, [group]: next };
        const input = /** @type {HTMLInputElement} */ (document.getElementById(id));
        if (input?.value) set(input.value, next);
        open(next, now);
      },
    };
  };
  return html`<div class="number">
    <input id=${id} data-pad inputmode="none" autocomplete="off" autocapitalize="off" spellcheck="false" enterkeyhint="done"
      aria-label=${name ?? nothing} aria-describedby=${`${id}-unit ${props.id}-wrong`} aria-invalid=${props.problem ? "true" : "false"}
      .value=${live(typed)} @focus=${() => open(unit, other)} @click=${() => open(unit, other)}
      @input=${(/** @type {Event} */ event) => set(/** @type {HTMLInputElement} */ (event.target).value, unit)}
      @change=${(/** @type {Event} */ event) => {
        // "50 mm" or 3/8" typed or pasted whole: the unit goes where units go.
        const got = splitEntry(program.units, /** @type {HTMLInputElement} */ (event.target).value);
        if ("unit" in got && got.unit) set(got.typed, got.unit);
      }} />
    ${shownUnit(program, unit) || other ? html`<button type="button" id=${`${id}-unit`} aria-disabled=${other ? "false" : "true"} aria-label=${other ? t("pad.unit", { unit: shownUnit(program, unit), other: shownUnit(program, other) }) : shownUnit(program, unit)} @click=${swap}>${shownUnit(program, unit)}</button>` : nothing}
  </div>`;
}

/** @param {import("../app.js").Phone} phone @param {FieldProps} props */
function listField(phone, props) {
  const { spec, entry } = props;
  const list = /** @type {{least: number, most: number}} */ (spec.list);
  /** @type {string[]} */
  const typed = entry?.typed ?? [];
  const shown = Math.min(list.most, Math.max(list.least, typed.length + 1));
  return frame(
    props,
    html`<div class="stack">${Array.from({ length: shown }, (_, index) =>
      oneNumber(
        phone,
        props,
        `${props.id}-${index}`,
        typed[index] ?? "",
        (text, unit) => {
          const next = Array.from({ length: Math.max(typed.length, index + 1) }, (_, at) =>
            at === index ? text : (typed[at] ?? ""),
          );
          while (next.length && next[next.length - 1] === "") next.pop();
          props.set(next.length ? { typed: next, unit } : undefined);
        },
        `${words(spec.label)} ${index + 1}`,
      ),
    )}</div>`,
    true,
  );
}

/** Choices of a word field as a list. @param {any} program @param {any} choices @returns {{word: string, label: string}[]} */
export function choicesOf(program, choices) {
  if (!choices) return [];
  if (Array.isArray(choices))
    return choices.map((choice) =>
      typeof choice === "string"
        ? { word: choice, label: choice }
        : { word: choice.word, label: words(choice.label) || choice.word },
    );
  if (Array.isArray(choices.words)) return choicesOf(program, choices.words);
  const table = program?.tables?.[choices.table];
  if (!table) return [];
  const seen = new Set();
  for (const row of table.rows ?? []) {
    const word = Array.isArray(row)
      ? row[table.keys.findIndex((/** @type {any} */ key) => key.column === choices.column)]
      : row[choices.column];
    if (typeof word === "string") seen.add(word);
  }
  return [...seen].map((word) => ({ word, label: word }));
}

/** @param {FieldProps} props */
function wordField(props) {
  const { id, spec, entry, program, set } = props;
  const choices = choicesOf(program, spec.choices);
  if (choices.length > 6)
    return frame(
      props,
      html`<select id=${id} aria-describedby=${`${id}-wrong`} @change=${(/** @type {Event} */ event) => {
        const { value } = /** @type {HTMLSelectElement} */ (event.target);
        set(value ? { word: value } : undefined);
      }}><option value="" ?selected=${!entry?.word}>${t("field.choose")}</option>${choices.map((choice) => html`<option value=${choice.word} ?selected=${entry?.word === choice.word}>${choice.label}</option>`)}</select>`,
    );
  const longest = Math.max(...choices.map((choice) => choice.label.length));
  return frame(
    props,
    html`<div class=${`choices ${longest < 12 ? "short" : longest > 25 ? "long" : ""}`}>${choices.map(
      (choice, index) => html`<label>
      <input type="radio" id=${`${id}-${index}`} name=${id} .checked=${live(entry?.word === choice.word)} @change=${() => set({ word: choice.word })} /><span>${choice.label}</span></label>`,
    )}</div>`,
    true,
  );
}

/** @param {FieldProps} props */
function yesField(props) {
  const { id, entry, set } = props;
  return frame(
    props,
    html`<div class="choices short">${[true, false].map(
      (yes) => html`<label>
      <input type="radio" id=${`${id}-${yes ? "yes" : "no"}`} name=${id} .checked=${live(entry?.yes === yes)} @change=${() => set({ yes })} /><span>${t(yes ? "field.yes" : "field.no")}</span></label>`,
    )}</div>`,
    true,
  );
}

/** @param {FieldProps} props */
function textField(props) {
  const { id, spec, entry, set } = props;
  return frame(
    props,
    spec.short
      ? html`<input id=${id} autocomplete="off" autocapitalize="sentences" aria-describedby=${`${id}-wrong`} .value=${live(entry?.text ?? "")} @input=${(/** @type {Event} */ event) => {
          const { value } = /** @type {HTMLInputElement} */ (event.target);
          set(value === "" ? undefined : { text: value });
        }} />`
      : html`<textarea id=${id} rows="3" aria-describedby=${`${id}-wrong`} .value=${live(entry?.text ?? "")} @input=${(
      /** @type {Event} */ event,
    ) => {
      const { value } = /** @type {HTMLTextAreaElement} */ (event.target);
      set(value === "" ? undefined : { text: value });
    }}></textarea>`,
  );
}

/** A plain text box that is not an Entry: names, logins, reasons.
 * @param {{id: string, label: string, help?: string, value: string, set: (text: string) => void, problem?: string, long?: boolean, type?: string, autocomplete?: string, keys?: string}} props */
export function plain({ id, label, help, value, set, problem, long = false, type = "text", autocomplete = "off", keys = "text" }) {
  const typed = (/** @type {Event} */ event) => set(/** @type {HTMLInputElement} */ (event.target).value);
  return html`<div class=${problem ? "field bad" : "field"}>
    <label for=${id}>${label}</label>${help ? html`<p class="help" id=${`${id}-help`}>${help}</p>` : nothing}
    ${
      long
        ? html`<textarea id=${id} rows="3" aria-describedby=${`${id}-help ${id}-wrong`} .value=${live(value)} @input=${typed}></textarea>`
        : html`<input id=${id} type=${type} inputmode=${/** @type {any} */ (keys)} autocomplete=${/** @type {any} */ (autocomplete)} autocapitalize="off" aria-describedby=${`${id}-help ${id}-wrong`} .value=${live(value)} @input=${typed} />`
    }
    ${problem ? html`<p class="wrong" id=${`${id}-wrong`} role="alert">${problem}</p>` : nothing}</div>`;
}
