// The window sign: two bracket posts are the limits, a lozenge is the reading, hatch is where never to go.
// Geometry is pure (tested without a page); the templates only place it.
import { svg } from "lit-html";

/**
 * @typedef {"inside"|"caution"|"under"|"not_yet"|"over"|"cannot_tell"|"stop"|"refused"|"none"|"open"} Verdict
 * @typedef {{low?: number | null, high?: number | null, value?: number | null,
 *   neverBelow?: number | null, neverAbove?: number | null, resolution?: number | null}} Window
 */

const LEFT = 24;
const RIGHT = 336;
const WINDOW_SHARE = 0.46;

/** Where everything of a horizontal window stands, in drawing units of 0..360.
 * One-sided windows lose the missing post. A reading off the drawing is held at its edge and marked `beyond`.
 * @param {Window} window
 * @returns {{low: number|null, high: number|null, value: number|null, beyond: "left"|"right"|null,
 *   never: {from: number, to: number}[], blur: number}} */
export function layWindow({ low = null, high = null, value = null, neverBelow = null, neverAbove = null, resolution = null }) {
  const span = RIGHT - LEFT;
  const ends = [low, high].filter((end) => end !== null);
  if (!ends.length) return { low: null, high: null, value: null, beyond: null, never: [], blur: 0 };
  const least = Math.min(...ends);
  const most = Math.max(...ends);
  const width = most > least ? most - least : Math.max(Math.abs(most), 1e-12) * 0.3;
  const scale = (span * WINDOW_SHARE) / width;
  let origin = least - (span * (1 - WINDOW_SHARE)) / 2 / scale;
  if (low === null) origin = least - (span * 0.7) / scale;
  if (high === null) origin = most - (span * 0.3) / scale;
  /** @param {number} x */
  const at = (x) => LEFT + (x - origin) * scale;
  /** @param {number} x */
  const held = (x) => Math.min(RIGHT, Math.max(LEFT, x));
  const never = [];
  if (neverBelow !== null && at(neverBelow) > LEFT) never.push({ from: LEFT, to: held(at(neverBelow)) });
  if (neverAbove !== null && at(neverAbove) < RIGHT) never.push({ from: held(at(neverAbove)), to: RIGHT });
  const x = value === null ? null : at(value);
  return {
    low: low === null ? null : at(low),
    high: high === null ? null : at(high),
    value: x === null ? null : held(x),
    beyond: x === null ? null : x < LEFT ? "left" : x > RIGHT ? "right" : null,
    never,
    blur: resolution && value !== null ? Math.min((resolution * scale) / 2, span / 2) : 0,
  };
}

/** Push labels apart along a line so that none covers another, keeping their order.
 * @param {{at: number, size: number}[]} labels @param {number} least @param {number} most @returns {number[]} */
export function spread(labels, least, most) {
  const order = labels.map((_, index) => index).sort((a, b) => /** @type {any} */ (labels[a]).at - /** @type {any} */ (labels[b]).at);
  const places = labels.map((label) => label.at);
  let edge = least;
  for (const index of order) {
    const label = /** @type {{at: number, size: number}} */ (labels[index]);
    const place = Math.max(/** @type {number} */ (places[index]), edge + label.size / 2);
    places[index] = place;
    edge = place + label.size / 2;
  }
  edge = most;
  for (const index of [...order].reverse()) {
    const label = /** @type {{at: number, size: number}} */ (labels[index]);
    const place = Math.min(/** @type {number} */ (places[index]), edge - label.size / 2);
    places[index] = place;
    edge = place - label.size / 2;
  }
  return places;
}

const post = (/** @type {number} */ x, /** @type {number} */ into, /** @type {number} */ top, /** @type {number} */ bottom) =>
  `M${x + into} ${top}H${x}V${bottom}H${x + into}`;
const lozenge = (/** @type {number} */ x, /** @type {number} */ y, /** @type {number} */ r) =>
  `M${x} ${y - r}L${x + r} ${y}L${x} ${y + r}L${x - r} ${y}Z`;

/** A drawn row of slanted strokes: our hatch, without a pattern id that could clash on one page.
 * @param {number} x0 @param {number} x1 @param {number} y0 @param {number} y1 @param {number} [pitch] */
export function hatch(x0, x1, y0, y1, pitch = 7) {
  const height = y1 - y0;
  let path = "";
  for (let x = x0 - height + pitch / 2; x < x1; x += pitch) {
    const from = Math.max(x, x0);
    const to = Math.min(x + height, x1);
    if (to > from) path += `M${round(from)} ${round(y1 - (from - x))}L${round(to)} ${round(y1 - (to - x))}`;
  }
  return path;
}
const round = (/** @type {number} */ x) => Math.round(x * 100) / 100;

/** The sign alone, as the verdict's icon: what the shape says without colour or word.
 * @param {Verdict} verdict */
export function windowSign(verdict) {
  const brackets = `${post(14, 7, 8, 40)}${post(46, -7, 8, 40)}`;
  /** @type {Record<string, any>} */
  const inner = {
    inside: svg`<path class="sign-reading" d=${lozenge(30, 24, 9)}></path>`,
    caution: svg`<path class="sign-hollow" d=${lozenge(30, 24, 8)}></path>`,
    not_yet: svg`<path class="sign-reading" d="M1 24L10 15V33Z"></path>`,
    under: svg`<path class="sign-reading" d=${lozenge(6, 24, 6)}></path>`,
    over: svg`<path class="sign-reading" d=${lozenge(54, 24, 6)}></path>`,
    cannot_tell: svg`<path class="sign-hollow" d="M3 24L30 11L57 24L30 37Z"></path>`,
    stop: svg`<path class="sign-hatch" d=${hatch(17, 43, 10, 38, 8)}></path>`,
    refused: svg`<path class="sign-hollow" d="M22 16L38 32M38 16L22 32"></path>`,
    none: svg``,
    open: svg``,
  };
  return svg`<svg class="sign" viewBox="0 0 60 48" width="60" height="48" aria-hidden="true" focusable="false">
    <path class="sign-post" d=${brackets}></path>${inner[verdict] ?? inner.none}</svg>`;
}

/** A reading on its window, lying. Decorative: the same is always said in words beside it.
 * @param {Window} window @param {{low?: string, high?: string, value?: string}} shown @param {Verdict} verdict */
export function windowGauge(window, shown, verdict) {
  const place = layWindow(window);
  const y = 62;
  const labels = [];
  if (place.low !== null && shown.low) labels.push({ at: place.low, size: width(shown.low), text: shown.low, kind: "limit" });
  if (place.value !== null && shown.value)
    labels.push({ at: place.value, size: width(shown.value), text: shown.value, kind: "value" });
  if (place.high !== null && shown.high) labels.push({ at: place.high, size: width(shown.high), text: shown.high, kind: "limit" });
  const places = spread(labels, 0, 360);
  const from = place.low ?? LEFT;
  const to = place.high ?? RIGHT;
  return svg`<svg class="gauge is-${verdict}" viewBox="0 0 360 92" aria-hidden="true" focusable="false">
    <path class="gauge-line" d="M${LEFT - 14} ${y}H${RIGHT + 14}"></path>
    <rect class="gauge-wash" x=${from} y=${y - 16} width=${Math.max(0, to - from)} height="32"></rect>
    ${place.never.map((zone) => svg`<path class="sign-hatch" d=${hatch(zone.from, zone.to, y - 12, y + 12)}></path>`)}
    ${place.low === null ? null : svg`<path class="sign-post" d=${post(place.low, 9, y - 20, y + 20)}></path>`}
    ${place.high === null ? null : svg`<path class="sign-post" d=${post(place.high, -9, y - 20, y + 20)}></path>`}
    ${place.value === null ? null : reading(place, y)}
    ${labels.map((label, index) => svg`<text class="gauge-${label.kind}" x=${/** @type {number} */ (places[index])} y="30">${label.text}</text>`)}
  </svg>`;
}

/** @param {ReturnType<typeof layWindow>} place @param {number} y */
function reading(place, y) {
  const x = /** @type {number} */ (place.value);
  const blur = place.blur > 3 ? svg`<path class="gauge-blur" d="M${x - place.blur} ${y}H${x + place.blur}"></path>` : null;
  if (place.beyond === "left") return svg`<path class="sign-reading" d="M${x - 16} ${y}L${x} ${y - 11}V${y + 11}Z"></path>`;
  if (place.beyond === "right") return svg`<path class="sign-reading" d="M${x + 16} ${y}L${x} ${y - 11}V${y + 11}Z"></path>`;
  return svg`${blur}<path class="sign-reading" d=${lozenge(x, y, 12)}></path>`;
}

/** @param {string} text drawn at 18 units a line */
const width = (text) => text.length * 10 + 14;

/** Where the standing gauge of the taper puts its marks: 0 at the foot is no clearance at all.
 * @param {{before: number, now: number | null, high: number | null, low: number | null, never: number | null}} marks
 * @returns {Record<"before"|"now"|"high"|"low"|"never", number | null>} */
export function layClearance({ before, now, high, low, never }) {
  const top = 14;
  const foot = 290;
  const most = Math.max(before, now ?? 0, high ?? 0) || 1;
  const least = Math.max(0, Math.min(never ?? most, low ?? most, now ?? most) - most * 0.22);
  /** @param {number | null} x */
  const at = (x) => (x === null ? null : round(Math.min(foot, Math.max(top, foot - ((x - least) / (most - least)) * (foot - top)))));
  return { before: at(before), now: at(now), high: at(high), low: at(low), never: at(never) };
}

/** The taper's standing gauge: clearance falls from before, past the window where to stop, to never.
 * @param {{before: number, now: number | null, high: number | null, low: number | null, never: number | null}} marks
 * @param {{before: string, now?: string, high?: string, low?: string, never?: string}} shown @param {Verdict} verdict */
export function clearanceGauge(marks, shown, verdict) {
  const at = layClearance(marks);
  const tube = { x: 24, width: 34, foot: 300 };
  /** @type {{at: number, size: number, text: string, kind: string}[]} */
  const labels = [];
  for (const kind of /** @type {const} */ (["before", "now", "high", "low", "never"])) {
    const y = at[kind];
    const text = shown[kind];
    if (y !== null && text) labels.push({ at: y, size: kind === "now" ? 32 : 25, text, kind });
  }
  const places = spread(labels, 0, 316);
  const window = at.high !== null && at.low !== null ? svg`
    <rect class="gauge-wash" x=${tube.x} y=${at.high} width=${tube.width} height=${at.low - at.high}></rect>
    <path class="sign-post" d="M14 ${at.high + 8}V${at.high}H68V${at.high + 8}M14 ${at.low - 8}V${at.low}H68V${at.low - 8}"></path>` : null;
  return svg`<svg class="gauge standing is-${verdict}" viewBox="0 0 360 316" aria-hidden="true" focusable="false">
    <rect class="gauge-tube" x=${tube.x} y="4" width=${tube.width} height=${tube.foot - 4} rx="6"></rect>
    ${at.never === null ? null : svg`<path class="sign-hatch" d=${hatch(tube.x + 2, tube.x + tube.width - 2, at.never, tube.foot - 2)}></path>
      <path class="gauge-never" d="M14 ${at.never}H68"></path>`}
    ${window}
    ${at.now === null || at.before === null ? null : svg`<path class="gauge-run" d="M41 ${at.before}V${at.now}"></path>
      <path class="sign-reading" d=${lozenge(41, at.now, 13)}></path>`}
    ${labels.map((label, index) => svg`<text class="gauge-${label.kind}" x="84" y=${/** @type {number} */ (places[index]) + 6}>${label.text}</text>`)}
  </svg>`;
}
