// The PIN on the screen: set after a sign-in, and asked for where somebody shows that they are at this phone.
import { html, nothing } from "lit-html";
import { Refused } from "../net.js";
import { MOST_WRONG, pinProblem } from "../pin.js";
import { t } from "../text/say.js";
import { plain } from "./fields.js";
import { screen } from "./parts.js";

/** @typedef {import("../app.js").Phone} Phone @typedef {import("../types.js").Person} Person */

/** What is being typed, for whom and where; never kept. */
const typing = { place: "", who: "", pin: "", again: "", wrong: "" };

/** @param {Phone} phone @param {Partial<typeof typing>} to */
function change(phone, to) {
  Object.assign(typing, to);
  phone.version.value += 1;
}

/** Spaces of a paste fall away. @param {string} text */
const digits = (text) => text.replace(/\s/g, "");

/** @param {Phone} phone @param {"pin" | "again"} name @param {string} label @param {string} [wrong] @param {string} [help] */
const pinField = (phone, name, label, wrong = "", help = "") =>
  plain({ id: name, label, help, value: typing[name], set: (text) => change(phone, { [name]: digits(text) }), problem: wrong, type: "password", keys: "numeric" });

/** After a sign-in: the PIN for this phone. @param {Phone} phone @param {Person} person */
export function pinScreen(phone, person) {
  if (typing.place !== "set" || typing.who !== person.id) Object.assign(typing, { place: "set", who: person.id, pin: "", again: "", wrong: "" });
  const done = (/** @type {string | null} */ pin) =>
    phone.doing(async () => {
      await phone.people.setPin(person.id, pin);
      change(phone, { place: "", pin: "", again: "" });
      if (phone.route.at.value[0] === "people") phone.route.go("");
    });
  const save = (/** @type {Event} */ event) => {
    event.preventDefault();
    const problem = pinProblem(typing.pin) ?? (typing.pin === typing.again ? null : "differ");
    change(phone, { wrong: problem ? t(`pin.${problem}`) : "" });
    if (!problem) void done(typing.pin);
  };
  const page = html`<p>${t("pin.set", { who: person.name })}</p><p class="help">${t("pin.about")}</p>
    <form class="stack" @submit=${save}>
      ${pinField(phone, "pin", t("pin.new"), "", t("pin.rule"))}${pinField(phone, "again", t("pin.again"), typing.wrong)}
      <button class="primary" ?disabled=${phone.busy.value}>${t("pin.save")}</button>
      ${person.pin ? html`<button class="second" type="button" @click=${() => done(null)}>${t("pin.keep")}</button>` : nothing}
    </form>`;
  return screen(phone, { title: t("pin.title"), back: null, page });
}

/** A button with a person's name, which opens a field for their PIN, or their password where there is no PIN.
 * @param {Phone} phone
 * @param {{person: Person, place: string, label: string, open?: boolean, proved: (how: "pin" | "password") => Promise<unknown>}} what open: without a tap */
export function asks(phone, { person, place, label, open = false, proved }) {
  if (open && typing.place !== place) Object.assign(typing, { place, who: person.id, pin: "", wrong: "" });
  if (typing.place !== place || typing.who !== person.id)
    return html`<button class="second" @click=${() => change(phone, { place, who: person.id, pin: "", wrong: "" })}>${label}</button>`;
  // No PIN, or it is locked: the password shows who it is, with network, and opens the PIN.
  const shut = (person.tries?.wrong ?? 0) >= MOST_WRONG ? "locked" : person.pin ? null : "none";
  const prove = (/** @type {Event} */ event) => {
    event.preventDefault();
    void phone.doing(async () => {
      const wrong = shut ? await byPassword(phone, person, place === "act") : await byPin(phone, person);
      change(phone, { pin: "", wrong });
      if (wrong) return;
      change(phone, { place: "", who: "" });
      await proved(shut ? "password" : "pin");
    });
  };
  const why = shut ? t(`pin.said_${shut}`, { who: person.name }) : "";
  return html`<form class="stack card" @submit=${prove}>
    ${
      shut
        ? plain({ id: "pin", label: t("pin.password", { who: person.name }), help: why, value: typing.pin, set: (text) => change(phone, { pin: text }), problem: typing.wrong, type: "password", autocomplete: "current-password" })
        : pinField(phone, "pin", t("pin.of", { who: person.name }), typing.wrong)
    }
    <button class="primary" ?disabled=${phone.busy.value}>${label}</button></form>`;
}

/** What is wrong, or nothing. @param {Phone} phone @param {Person} person */
async function byPin(phone, person) {
  const said = await phone.people.prove(person.id, typing.pin);
  return said.ok ? "" : t(`pin.said_${said.why}`, { who: person.name, n: said.n });
}

/** @param {Phone} phone @param {Person} person @param {boolean} acts */
async function byPassword(phone, person, acts) {
  if (!typing.pin) return t("sign.both");
  try {
    const { id } = await phone.people.signIn(person.login ?? "", typing.pin, acts);
    return id === person.id ? "" : t("sign.wrong");
  } catch (error) {
    if (!(error instanceof Refused)) throw error;
    return error.status === 0 ? t("sign.unreached") : error.message || t("sign.wrong");
  }
}

/** The field goes with the screen. A new PIN's stays: its screen stands whatever the address is, and a sign-in changes that late. */
export const forgetTyped = () => typing.place === "set" || Object.assign(typing, { place: "", who: "", pin: "", again: "", wrong: "" });
