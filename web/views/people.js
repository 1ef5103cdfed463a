// Sign in once on this phone, switch who is acting, take a person off.
import { html, nothing } from "lit-html";
import { Refused } from "../net.js";
import { t } from "../text/say.js";
import { plain } from "./fields.js";
import { screen, told } from "./parts.js";
import { asks } from "./pin.js";
import { welcome } from "./home.js";

/** @typedef {import("../app.js").Phone} Phone */

/** @type {{login: string, password: string, wrong: string}} the password is never kept */
const form = { login: "", password: "", wrong: "" };

/** @param {Phone} phone */
export function peopleScreen(phone) {
  const first = !phone.people.here.value.length;
  phone.version.value;
  const page = html`
    ${first ? welcome(phone) : nothing}
    ${phone.people.locked.value ? told(t("pin.idle"), "care") : nothing}
    ${first ? html`<p>${t("sign.first")}</p>` : here(phone)}
    <form class="stack" @submit=${(/** @type {Event} */ event) => submit(phone, event)}>
      ${first ? nothing : html`<h2>${t("sign.another")}</h2>`}
      ${plain({ id: "login", label: t("sign.login"), value: form.login, set: (text) => change(phone, { login: text }), autocomplete: "username" })}
      ${plain({ id: "password", label: t("sign.password"), value: form.password, set: (text) => change(phone, { password: text }), type: "password", autocomplete: "current-password" })}
      ${form.wrong ? html`<p class="told halt" role="alert">${form.wrong}</p>` : nothing}
      ${phone.online.value ? nothing : told(t("sign.offline"), "care")}
      <button class="primary" ?disabled=${phone.busy.value}>${t("sign.in")}</button>
    </form>
    ${first ? html`<p><a class="word" href="#/guide">${t("home.guide")}</a></p>` : nothing}`;
  return screen(phone, { title: first ? t("app.name") : t("people.title"), back: first || shut(phone) ? null : "", page });
}

/** @param {Phone} phone @param {Partial<typeof form>} to */
function change(phone, to) {
  Object.assign(form, to);
  phone.version.value += 1;
}

/** Nobody acts, or who acts has to show it again. @param {Phone} phone */
export const shut = (phone) => phone.people.locked.value || !phone.people.acting;

/** @param {Phone} phone */
function here(phone) {
  const acting = phone.people.actingId.value;
  const act = (/** @type {import("../types.js").Person} */ person) => () => phone.people.act(person.id);
  return html`<ul class="cards">${phone.people.here.value.map(
    (person) => html`<li class=${person.id === acting ? "card chosen" : "card"}>
    <p><b>${person.name}</b></p><p class="soft">${person.roles.map((role) => t(`role.${role}`)).join(", ")}</p>
    ${
      person.id === acting && !phone.people.locked.value
        ? html`<p class="state">${t("people.acting")}</p>`
        : phone.people.mayAct(person)
          ? asks(phone, { person, place: "act", label: t("people.act", { who: person.name }), open: person.id === acting, proved: act(person) })
          : told(t("people.shut_out"), "care")
    }
    ${shut(phone) ? nothing : html`<button class="word" @click=${() => signOut(phone, person.id)}>${t("people.off")}</button>`}</li>`,
  )}</ul>`;
}

/** @param {Phone} phone @param {string} id */
function signOut(phone, id) {
  const n = phone.journal.unsent.value + phone.sync.photosUnsent.value;
  if (n) {
    phone.trouble.value = t("people.off_refused", { n });
    return;
  }
  void phone.doing(() => phone.people.signOut(id, n));
}

/** @param {Phone} phone @param {Event} event */
async function submit(phone, event) {
  event.preventDefault();
  if (!form.login.trim() || !form.password) {
    change(phone, { wrong: t("sign.both") });
    return;
  }
  change(phone, { wrong: "" });
  await phone.doing(async () => {
    try {
      await phone.people.signIn(form.login.trim(), form.password);
    } catch (error) {
      if (!(error instanceof Refused)) throw error;
      change(phone, { wrong: error.status === 0 ? t("sign.unreached") : error.message || t("sign.wrong") });
      return;
    }
    change(phone, { login: "", password: "", wrong: "" });
    // Where they were going, as by a label on a machine, stays.
    if (phone.route.at.value[0] === "people") phone.route.go("");
    await phone.afterSignIn();
  });
}
