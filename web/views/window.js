// The window sign: two bracket posts are the limits, a lozenge is the reading, hatch is where never to go.
import { svg } from "lit-html";
import { hatch, layClearance, layWindow, LEFT, lozenge, post, RIGHT, spread } from "./geometry.js";

/**
 * @typedef {"inside"|"caution"|"under"|"not_yet"|"over"|"cannot_tell"|"stop"|"refused"|"none"|"open"} Verdict
 * @typedef {import("./geometry.js").Window} Window
 */

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
  if (place.low !== null && shown.low)
    labels.push({ at: place.low, size: width(shown.low), text: shown.low, kind: "limit" });
  if (place.value !== null && shown.value)
    labels.push({ at: place.value, size: width(shown.value), text: shown.value, kind: "value" });
  if (place.high !== null && shown.high)
    labels.push({ at: place.high, size: width(shown.high), text: shown.high, kind: "limit" });
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
  const blur =
    place.blur > 3 ? svg`<path class="gauge-blur" d="M${x - place.blur} ${y}H${x + place.blur}"></path>` : null;
  if (place.beyond === "left")
    return svg`<path class="sign-reading" d="M${x - 16} ${y}L${x} ${y - 11}V${y + 11}Z"></path>`;
  if (place.beyond === "right")
    return svg`<path class="sign-reading" d="M${x + 16} ${y}L${x} ${y - 11}V${y + 11}Z"></path>`;
  return svg`${blur}<path class="sign-reading" d=${lozenge(x, y, 12)}></path>`;
}

/** @param {string} text drawn at 18 units a line */
const width = (text) => text.length * 12 + 10;

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
  const window =
    at.high !== null && at.low !== null
      ? svg`
    <rect class="gauge-wash" x=${tube.x} y=${at.high} width=${tube.width} height=${at.low - at.high}></rect>
    <path class="sign-post" d="M14 ${at.high + 8}V${at.high}H68V${at.high + 8}M14 ${at.low - 8}V${at.low}H68V${at.low - 8}"></path>`
      : null;
  return svg`<svg class="gauge standing is-${verdict}" viewBox="0 0 360 316" aria-hidden="true" focusable="false">
    <rect class="gauge-tube" x=${tube.x} y="4" width=${tube.width} height=${tube.foot - 4} rx="6"></rect>
    ${
      at.never === null
        ? null
        : svg`<path class="sign-hatch" d=${hatch(tube.x + 2, tube.x + tube.width - 2, at.never, tube.foot - 2)}></path>
      <path class="gauge-never" d="M14 ${at.never}H68"></path>`
    }
    ${window}
    ${
      at.now === null || at.before === null
        ? null
        : svg`<path class="gauge-run" d="M41 ${at.before}V${at.now}"></path>
      <path class="sign-reading" d=${lozenge(41, at.now, 13)}></path>`
    }
    ${labels.map((label, index) => svg`<text class="gauge-${label.kind}" x="84" y=${/** @type {number} */ (places[index]) + 6}>${label.text}</text>`)}
  </svg>`;
}
