// At the seat: the nut's turn, the washer's next tab, where the feeler goes; and the free bearing's place in its travel, to scale.
import { svg } from "lit-html";
import { hatch, lozenge, post, spread } from "../geometry.js";
import { arc, board, head, place, shaft, turn } from "./lines.js";

const X = 180;
const Y = 122;

/** A nut from its face, turned by `deg`. @param {number} deg @param {number} slots @param {number} r */
const nut = (deg, slots, r) => svg`<circle class="outline" cx=${X} cy=${Y} r=${r}></circle>
  ${Array.from({ length: slots }, (_, at) => svg`<path class="blank outline" transform="rotate(${deg + (360 / slots) * (at + 0.5)} ${X} ${Y})" d="M${X - 9} ${Y - r - 1}v14h18v-14"></path>`)}
  ${shaft(X, Y, r * 0.55)}`;

/** The nut's turn from its zero. Degrees. @param {{least: number, most: number, now: number | null, slots: number}} turned @param {{least: string, most: string, now?: string}} shown */
export function nutTurn({ least, most, now, slots }, shown) {
  const r = 66;
  const wide = r + 21;
  const label = (/** @type {number} */ deg, /** @type {string} */ text, /** @type {string} */ kind) => {
    const [x, y] = place(X, Y, wide + 19 + 12 * Math.abs(Math.cos((deg * Math.PI) / 180)), deg); // clear of its post
    return svg`<text class=${`${kind} ${x > X + 12 ? "start" : x < X - 12 ? "end" : ""}`} x=${x} y=${y + 6}>${text}</text>`;
  };
  const bracket = (/** @type {number} */ deg) => {
    const [ax, ay] = place(X, Y, wide - 13, deg);
    const [bx, by] = place(X, Y, wide + 13, deg);
    return svg`<path class="post" d="M${ax} ${ay}L${bx} ${by}"></path>`;
  };
  const spot = now === null ? null : place(X, Y, wide, now);
  return board(
    262,
    svg`${nut(now ?? 0, slots, r)}
    <path class="window" d=${arc(X, Y, wide, least, most)}></path>${bracket(least)}${bracket(most)}
    <path class="solid" d="M${X} ${Y - r - 2}l-8 -15h16Z"></path><text x=${X} y="14">0</text>
    ${now === null ? null : svg`<path class="run" d=${arc(X, Y, wide, 0, Math.min(now, 359))}></path>`}
    ${spot ? svg`<path class="now" d=${lozenge(spot[0], spot[1], 12)}></path>` : null}
    ${label(least, shown.least, "limit")}${most - least > 9 ? label(most, shown.most, "limit") : null}`,
  );
}

/** The washer's tabs about the nut's slots: the nut turns on to the next, never back. @param {number} slots @param {number} tabs */
export function nextTab(slots, tabs) {
  const r = 72;
  const step = 360 / (slots * tabs);
  return board(
    250,
    svg`${Array.from({ length: tabs }, (_, at) => svg`<path class=${at ? "outline" : "now"} transform="rotate(${180 / slots + step / 2 + (360 / tabs) * at} ${X} ${Y})" d="M${X - 7} ${Y - r - 6}l2 -17h10l2 17"></path>`)}
    <circle class="outline" cx=${X} cy=${Y} r=${r + 6}></circle>${nut(0, slots, r)}
    ${turn(X, Y, r - 21, -28, 40)}
    <path class="never" d=${arc(X, Y, r - 21, 150, 100)}></path><path class="never-head" d=${head(X, Y, r - 21, 150, 100, 14)}></path>
    <path class="never" d=${crossAt(...place(X, Y, r - 21, 125))}></path>`,
  );
}

/** @param {number} x @param {number} y */
const crossAt = (x, y) => `M${x - 15} ${y - 15}l30 30m0 -30l-30 30`;

/** Where the feeler goes: at the top where the shaft rests in the bearing, at the bottom where it hangs; and how. */
export const feeler = () =>
  board(
    322,
    svg`${section(88, 106, false)}${section(272, 84, true)}
    <g transform="translate(0 22)"><path class="outline" d="M28 206h160v16h-160zM36 254h144v16h-144z"></path><path class="outline" d="M40 224h62v29h-62zM114 224h62v29h-62z"></path>
    <path class="blade" d="M20 223H196"></path><path class="turn wide" d="M216 223H234"></path><path class="arrowhead" d="M212 223l16 -9v18Z"></path>
    <text x="71" y="244">1</text><text x="145" y="244">2</text>
    <circle class="outline" cx="304" cy="240" r="26"></circle><path class="never" d=${arc(304, 240, 38, -60, 50)}></path><path class="never-head" d=${head(304, 240, 38, -60, 50, 14)}></path><path class="never" d="M276 212l56 56m0 -56l-56 56"></path></g>`,
  );

/** A bearing across its axis, its rollers against one side. @param {number} x @param {number} y @param {boolean} hangs */
function section(x, y, hangs) {
  const side = hangs ? -1 : 1; // the inner ring lies on the rollers below, or the outer ring hangs on those above
  const blade = hangs ? 180 : 0;
  return svg`<circle class="outline" cx=${x} cy=${y} r="74"></circle><circle class="outline" cx=${x} cy=${y} r="60"></circle>
    <circle class="outline" cx=${x} cy=${y + 4 * side} r="32"></circle>${shaft(x, y + 4 * side, 21)}
    ${Array.from({ length: 10 }, (_, at) => {
      const [rx, ry] = place(x, y + 4 * side, 44, at * 36);
      return svg`<circle class="blank outline" cx=${rx} cy=${ry} r="10.5"></circle>`;
    })}
    <path class="blade" d=${arc(x, y, 57, blade - 38, blade + 38)}></path>
    <path class="turn wide" d=${`M${x} ${y - side * 104}v${side * 14}`}></path><path class="arrowhead" d=${`M${x} ${y - side * 77}l-11 ${-side * 17}h22Z`}></path>`;
}

/** @typedef {{reach: number, margin: number, cold: number, hot: number}} Growth metres from the middle of the travel; away from the held bearing is positive */

const LEFT = 40;
const RIGHT = 320;

/** Where everything stands on the drawing, the travel from 40 to 320. What runs out of it is held just beyond.
 * @param {Growth} growth @returns {{cold: number, hot: number, kept: number, out: boolean}} */
export function layGrowth({ reach, margin, cold, hot }) {
  const scale = (RIGHT - LEFT) / (2 * reach);
  const at = (/** @type {number} */ x) => Math.round(Math.min(RIGHT + 26, Math.max(LEFT - 26, 180 + x * scale)) * 100) / 100;
  return { cold: at(cold), hot: at(hot), kept: Math.min(140, margin * scale), out: Math.abs(cold) > reach || Math.abs(hot) > reach };
}

/** @param {Growth} growth @param {{cold: string, hot: string, growth: string, travel: string}} shown */
export function growthScale(growth, shown) {
  const { cold, hot, kept } = layGrowth(growth);
  const y = 92;
  const [a = 0, b = 0] = spread([{ at: cold, size: shown.cold.length * 10 + 12 }, { at: hot, size: shown.hot.length * 12 + 16 }], 0, 360);
  const way = Math.sign(hot - cold);
  return board(
    190,
    svg`<path class="post" d="M5 ${y - 40}V${y + 40}"></path><path class="outline" d="M4 ${y - 12}H356M4 ${y + 12}H356"></path><path class="centre" d="M0 ${y}H360M180 ${y - 46}V${y + 46}"></path>
    <path class="never-zone" d=${hatch(LEFT, LEFT + kept, y - 28, y + 28)}></path><path class="never-zone" d=${hatch(RIGHT - kept, RIGHT, y - 28, y + 28)}></path>
    <path class="post" d="${post(LEFT, 10, y - 34, y + 34)}${post(RIGHT, -10, y - 34, y + 34)}"></path>
    <path class="blank outline" d=${lozenge(cold, y, 17)}></path>
    ${Math.abs(hot - cold) > 26 ? svg`<path class="run" d="M${cold + way * 17} ${y}H${hot - way * 22}"></path>` : null}<path class="now" d=${lozenge(hot, y, 17)}></path>
    <text x=${a} y="30">${shown.cold}</text><path class="thin" d="M${a} 36L${cold} ${y - 18}"></path>
    <text class="strong" x=${b} y="156">${shown.hot}</text><path class="thin" d="M${b} 138L${hot} ${y + 18}"></path>
    <text class="small" x="180" y="182">${shown.travel}</text>`,
  );
}
