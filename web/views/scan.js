// The label on a machine opens its position: by camera, or by the short code typed.
import { html, nothing } from "lit-html";
import { labelCode, positionIn, readCode } from "../label_code.js";
import { decode } from "../label_read.js";
import { t } from "../text/say.js";
import { plain } from "./fields.js";
import { screen, told } from "./parts.js";

/** @typedef {import("../app.js").Phone} Phone */

const form = { code: "", wrong: "" };
/** @type {MediaStream | null} */
let stream = null;

/** @param {Phone} phone @param {Partial<typeof form>} to */
function change(phone, to) {
  Object.assign(form, to);
  phone.version.value += 1;
}

/** @param {Phone} phone */
export function scanScreen(phone) {
  phone.version.value;
  const page = html`<p>${t("scan.point")}</p>
    <video id="camera-view" class=${stream ? "scan" : "hidden"} muted playsinline aria-label=${t("scan.view")}></video>
    ${stream ? nothing : html`<button class="second" @click=${() => phone.doing(() => look(phone))}>${t("scan.start")}</button>`}
    ${form.wrong ? html`<div role="alert">${told(form.wrong, "care")}</div>` : nothing}
    <form class="stack" @submit=${(/** @type {Event} */ event) => typed(phone, event)}>
      ${plain({ id: "label-code", label: t("scan.code"), help: t("scan.code_help"), value: form.code, set: (code) => change(phone, { code }) })}
      <button class="primary">${t("scan.open")}</button></form>`;
  return screen(phone, { title: t("scan.title"), back: "positions", page });
}

/** @param {Phone} phone @param {Event} event */
function typed(phone, event) {
  event.preventDefault();
  const code = readCode(form.code);
  if (!code) return change(phone, { wrong: t("scan.slip") });
  const [first, second] = phone.journal.ids("position").filter((id) => labelCode(id) === code);
  open(phone, second ? undefined : first);
}

/** @param {Phone} phone @param {string | undefined} id */
function open(phone, id) {
  if (!id || !phone.journal.position(id)) return change(phone, { wrong: t("scan.unknown") });
  change(phone, { code: "", wrong: "" });
  stop();
  phone.route.go(`position/${id}`);
}

/** The camera goes off with the screen. */
export function stop() {
  for (const track of stream?.getTracks() ?? []) track.stop();
  stream = null;
}

/** @param {Phone} phone */
async function look(phone) {
  try {
    stream = await navigator.mediaDevices.getUserMedia({ video: { facingMode: "environment" } });
  } catch {
    return change(phone, { wrong: t("scan.no_camera") });
  }
  change(phone, { wrong: "" });
  const video = /** @type {HTMLVideoElement} */ (document.getElementById("camera-view"));
  video.srcObject = stream;
  await video.play();
  void watch(phone, video, await reader());
}

/** Frame after frame until a label is read or the screen is left. @param {Phone} phone @param {HTMLVideoElement} video @param {(video: HTMLVideoElement) => Promise<string | null>} read */
async function watch(phone, video, read) {
  while (stream && video.isConnected) {
    const text = await read(video).catch(() => null);
    if (text !== null && stream) {
      const id = positionIn(text);
      if (id && phone.journal.position(id)) return open(phone, id);
      if (form.wrong !== t("scan.unknown")) change(phone, { wrong: t("scan.unknown") });
    }
    await new Promise((go) => setTimeout(go, 150));
  }
  stop();
}

/** The browser's own reader where it has one, else ours, fetched now. @returns {Promise<(video: HTMLVideoElement) => Promise<string | null>>} */
async function reader() {
  const Own = /** @type {any} */ (globalThis).BarcodeDetector;
  const formats = await Own?.getSupportedFormats?.().catch(() => []);
  if (formats?.includes("qr_code")) {
    const detector = new Own({ formats: ["qr_code"] });
    return async (video) => (await detector.detect(video))[0]?.rawValue ?? null;
  }
  const canvas = document.createElement("canvas");
  const pen = /** @type {CanvasRenderingContext2D} */ (canvas.getContext("2d", { willReadFrequently: true }));
  return async (video) => {
    const scale = Math.min(1, 800 / Math.max(video.videoWidth, video.videoHeight));
    canvas.width = Math.round(video.videoWidth * scale);
    canvas.height = Math.round(video.videoHeight * scale);
    pen.drawImage(video, 0, 0, canvas.width, canvas.height);
    return decode(pen.getImageData(0, 0, canvas.width, canvas.height));
  };
}
