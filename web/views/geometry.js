// Where the window sign's lines stand. Pure numbers: no page, no template.

/** @typedef {{low?: number | null, high?: number | null, value?: number | null,
 *   neverBelow?: number | null, neverAbove?: number | null, resolution?: number | null}} Window */

export const LEFT = 24;
export const RIGHT = 336;
const WINDOW_SHARE = 0.46;
const ONE_SIDED_SHARE = 0.66;

/** Where everything of a horizontal window stands, in drawing units of 0..360.
 * One-sided windows lose the missing post. A reading off the drawing is held at its edge and marked `beyond`.
 * @param {Window} window
 * @returns {{low: number|null, high: number|null, value: number|null, beyond: "left"|"right"|null,
 *   never: {from: number, to: number}[], blur: number}} */
export function layWindow({
  low = null,
  high = null,
  value = null,
  neverBelow = null,
  neverAbove = null,
  resolution = null,
}) {
  const span = RIGHT - LEFT;
  const ends = [low, high].filter((end) => end !== null);
  if (!ends.length) return { low: null, high: null, value: null, beyond: null, never: [], blur: 0 };
  const least = Math.min(...ends);
  const most = Math.max(...ends);
  let width = most > least ? most - least : Math.max(Math.abs(most), 1e-12) * 0.3;
  if (ends.length === 1 && value !== null) {
    // a reading on the good side of its one limit stays on the drawing
    const room = low === null ? most - value : value - least;
    width = Math.max(width, (room * WINDOW_SHARE) / ONE_SIDED_SHARE);
  }
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
  const order = labels
    .map((_, index) => index)
    .sort((a, b) => /** @type {any} */ (labels[a]).at - /** @type {any} */ (labels[b]).at);
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

/** A bracket post standing at x, its feet pointing `into` the window. */
export const post = (
  /** @type {number} */ x,
  /** @type {number} */ into,
  /** @type {number} */ top,
  /** @type {number} */ bottom,
) => `M${x + into} ${top}H${x}V${bottom}H${x + into}`;
/** The reading. */
export const lozenge = (/** @type {number} */ x, /** @type {number} */ y, /** @type {number} */ r) =>
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

/** Where the standing gauge of the taper puts its marks: 0 at the foot is no clearance at all.
 * @param {{before: number, now: number | null, high: number | null, low: number | null, never: number | null}} marks
 * @returns {Record<"before"|"now"|"high"|"low"|"never", number | null>} */
export function layClearance({ before, now, high, low, never }) {
  const top = 14;
  const foot = 290;
  const most = Math.max(before, now ?? 0, high ?? 0) || 1;
  const least = Math.max(0, Math.min(never ?? most, low ?? most, now ?? most) - most * 0.22);
  /** @param {number | null} x */
  const at = (x) =>
    x === null ? null : round(Math.min(foot, Math.max(top, foot - ((x - least) / (most - least)) * (foot - top))));
  return { before: at(before), now: at(now), high: at(high), low: at(low), never: at(never) };
}
