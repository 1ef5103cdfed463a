// One photo, as large as the phone.
import { html } from "lit-html";
import { t } from "../text/say.js";
import { screen } from "./parts.js";

/** @param {import("../app.js").Phone} phone @param {string} sha256 */
export function photoScreen(phone, sha256) {
  return screen(phone, {
    title: t("photo.title"),
    back: null,
    page: html`<img class="whole" alt=${t("photo.title")} src=${phone.photoUrl(sha256)} />
      <p class="small soft">${sha256.slice(0, 16)}</p>
      <button class="second" @click=${() => history.back()}>${t("frame.back")}</button>`,
  });
}
