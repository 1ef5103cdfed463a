// Handing a job on as a file, and taking one over. Loaded when it is used.
import { html, nothing } from "lit-html";
import { MOST_BYTES, pack, toPhoto, toText, unpack } from "../handover.js";
import { t } from "../text/say.js";
import { told } from "./parts.js";

/** @typedef {import("../app.js").Phone} Phone */

/** What was last taken over or refused; until the page goes. */
const last = { text: "", kind: /** @type {"" | "care" | "halt"} */ (""), job: "" };

/** The job and its position as a file: the share sheet where there is one, else a download. @param {Phone} phone @param {string} id @param {boolean} withPhotos */
export async function handOn(phone, id, withPhotos) {
  const state = phone.journal.job(id);
  const by = phone.people.acting?.id ?? "";
  /** @type {any[]} */
  const events = [...phone.journal.events(id), ...phone.journal.events(state.position)];
  const photos = [];
  for (const { sha256 } of withPhotos ? state.photos : []) {
    const kept = await phone.store.photo(sha256);
    if (kept) photos.push({ sha256, type: kept.type, data: await toText(kept.blob) });
  }
  const device = await phone.store.meta("device");
  const text = JSON.stringify(await pack({ device, by, job: id, position: state.position, bundle: state.bundle, events, photos }));
  const name = `shaftside-${state.machine.name}-${state.position_name}`.replace(/[^\p{L}\p{N}-]+/gu, "-").slice(0, 60);
  const file = new File([text], `${name}.json`, { type: "application/json" });
  if (navigator.canShare?.({ files: [file] })) {
    try {
      return await navigator.share({ files: [file] });
    } catch (error) {
      if (/** @type {any} */ (error).name === "AbortError") return;
    }
  }
  const link = document.createElement("a");
  link.href = URL.createObjectURL(file);
  link.download = file.name;
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 10_000);
}

/** @param {Phone} phone @param {File} file */
async function takeOver(phone, file) {
  const say = (/** @type {string} */ text, /** @type {"" | "care" | "halt"} */ kind, job = "") => {
    Object.assign(last, { text, kind, job });
    phone.version.value += 1;
  };
  if (file.size > MOST_BYTES) return say(t("handover.fault_foreign"), "halt");
  const device = await phone.store.meta("device");
  const found = await unpack(await file.text(), { device, held: (id) => phone.store.event(id) });
  if ("fault" in found) return say(t(`handover.fault_${found.fault}`), "halt");
  const { envelope, fresh } = found;
  await phone.store.keepCarried(fresh.map(({ hash, event }) => ({ id: event.id, record: event.record, hash, event })));
  await phone.journal.takeIn(fresh.map((one) => one.event.id));
  let lost = 0;
  for (const one of Array.isArray(envelope.photos) ? envelope.photos : []) {
    const photo = await toPhoto(one);
    if (!photo) lost += 1;
    else if (!(await phone.store.photo(photo.sha256))) await phone.store.keepPhoto(photo);
  }
  phone.sync.photosUnsent.value = (await phone.store.unsentPhotos()).length;
  const book = await phone.handbook.bring(envelope.bundle);
  const lines = [t("handover.taken", { n: fresh.length }), fresh.length ? t("handover.prove") : "", book ? "" : t("handover.no_book"), lost ? t("handover.photos_lost", { n: lost }) : ""];
  say(lines.filter(Boolean).join(" "), "care", envelope.job);
  void phone.sync.now(true);
}

/** The part of the sending page that takes a job over. @param {Phone} phone */
export function takeOverCard(phone) {
  phone.version.value;
  return html`<section class="stack"><h2>${t("handover.take")}</h2><p class="help">${t("handover.take_help")}</p>
    ${last.text ? html`<div role="status">${told(last.text, last.kind)}${last.job ? html`<a class="second" href=${`#/job/${last.job}`}>${t("notice.open")}</a>` : nothing}</div>` : nothing}
    <label class="second" for="handover">${t("handover.choose")}</label>
    <input class="hidden" id="handover" type="file" accept="application/json,.json" @change=${(/** @type {Event} */ event) => {
      const input = /** @type {HTMLInputElement} */ (event.target);
      const [file] = input.files ?? [];
      input.value = "";
      if (file) void phone.doing(() => takeOver(phone, file), true);
    }} /></section>`;
}
