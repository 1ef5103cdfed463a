// At the lock: a cam collar as the technician sees it, and the order of screws and bolts.
import { svg } from "lit-html";
import { lozenge } from "../geometry.js";
import { arc, board, place, shaft, turn } from "./lines.js";

/** @typedef {"clockwise" | "counter_clockwise"} Way
 * @typedef {{way: Way, shaft: Way | null, hidden: boolean, mark?: string}} Seen one collar: which way to turn it, which way the shaft runs, whether the bearing stands before it */

/** Where the arrow of a turn begins and ends. @param {Way} way @returns {[number, number]} */
export const sweep = (way) => (way === "clockwise" ? [-70, 55] : [70, -55]);

/** One collar, or both of a shaft side by side. @param {Seen[]} seen */
export function collars(seen) {
  const wide = seen.length < 2;
  return board(
    wide ? 232 : 196,
    seen.map((one, at) => face(one, wide ? 180 : 92 + 176 * at, wide ? 122 : 104, wide ? 76 : 56)),
  );
}

/** @param {Seen} seen @param {number} x @param {number} y @param {number} r */
function face({ way, shaft: runs, hidden, mark }, x, y, r) {
  const [from, to] = sweep(way);
  const [hx, hy] = place(x, y, r * 0.87, 0);
  const [inner, outer] = runs ? sweep(runs) : [0, 0];
  return svg`<path class="centre" d="M${x - r - 12} ${y}H${x + r + 12}M${x} ${y - r - 8}V${y + r + 12}"></path>
    ${hidden ? svg`<circle class="outline" cx=${x} cy=${y} r=${r + 7}></circle><circle class="outline" cx=${x} cy=${y} r=${r * 0.72}></circle>` : null}
    <circle class=${hidden ? "dash" : "outline"} cx=${x} cy=${y} r=${r}></circle>
    <circle class="dash" cx=${x + r * 0.08} cy=${y - r * 0.03} r=${r * 0.74}></circle>
    ${shaft(x, y, r * 0.44)}
    <path class=${hidden ? "dash" : "solid"} d="M${hx - 6} ${hy - 8}h12v15h-12Z"></path>
    ${runs ? svg`<circle class="blank" cx=${x} cy=${y} r=${r * 0.3}></circle>${turn(x, y, r * 0.2, inner * 1.8, outer * 1.8, 9)}` : null}
    ${turn(x, y, r + (hidden ? 22 : 17), from, to)}
    ${mark ? svg`<text x=${x - r - 14} y=${y + r + 16}>${mark}</text>` : null}`;
}

/** @typedef {"done" | "now" | "to_come"} State */

/** Bolts crosswise: corners numbered round the foot. @param {number} count 2 or 4 @returns {number[]} */
export const crosswise = (count) => (count === 4 ? [1, 3, 2, 4] : [1, 2]);

/** The state of each bolt, by its number, after `done` of them in this pass. @param {number} count @param {number} done @returns {State[]} */
export function boltStates(count, done) {
  const order = crosswise(count);
  return order.map((_, at) => stateAt(order.indexOf(at + 1), done));
}

/** @param {number} at @param {number} now @returns {State} */
const stateAt = (at, now) => (at < now ? "done" : at === now ? "now" : "to_come");

/** What stands at one place of an order. @param {string} name @param {State} state @param {number} x @param {number} y @param {number} [r] */
function mark(name, state, x, y, r = 19) {
  if (state === "now")
    return svg`<path class="now" d=${lozenge(x, y, r * 1.6)}></path><text class="on-now" x=${x} y=${y + 6}>${name}</text>`;
  const tick = `M${x + r - 3} ${y - r + 2}l6 7l12 -15`;
  return svg`<circle class=${state === "done" ? "zone outline" : "blank outline"} cx=${x} cy=${y} r=${r}></circle><text x=${x} y=${y + 6}>${name}</text>${state === "done" ? svg`<path class="tick" d=${tick}></path>` : null}`;
}

/** The passes in a row, and where the work is. @param {{name: string, state: State}[]} steps @param {number} y */
function rail(steps, y) {
  const pitch = Math.min(54, 344 / steps.length);
  const from = 180 - (pitch * (steps.length - 1)) / 2;
  return steps.map(({ name, state }, at) => {
    const x = from + pitch * at;
    return svg`${at ? svg`<path class="thin" d="M${x - pitch + 17} ${y}H${x - 17}"></path>` : null}${
      state === "now"
        ? svg`<path class="now" d="M${x - 17} ${y}l8 -15h18l8 15l-8 15h-18Z"></path>`
        : svg`<circle class=${state === "done" ? "zone outline" : "blank thin"} cx=${x} cy=${y} r="15"></circle>`
    }<text class=${state === "now" ? "small on-now" : "small"} x=${x} y=${y + 5}>${name}</text>${state === "done" ? svg`<path class="tick" d="M${x + 9} ${y - 10}l4 5l8 -10"></path>` : null}`;
  });
}

/** The set screws in a ring, two or four, or the cap screws across a collar's joints: one slit for one screw, two halves for two.
 * @param {"set" | "clamp"} kind @param {{name: string, state: State}[]} screws @param {{name: string, state: State}[]} passes */
export function screws(kind, screws, passes) {
  const [x, y] = [180, kind === "set" ? 124 : 100];
  const drawn =
    kind === "set"
      ? svg`<circle class="outline" cx=${x} cy=${y} r="82"></circle>${shaft(x, y, 50)}<path class="centre" d="M84 ${y}H276M${x} ${y - 92}V${y + 92}"></path>
        ${screws.map((one, at) => {
          const deg = 120 * at - 60 - (at > 1 ? 60 : 0);
          const [ax, ay] = place(x, y, 82, deg);
          const [bx, by] = place(x, y, 51, deg);
          const [mx, my] = place(x, y, 112, deg);
          return svg`<path class="screw" d="M${ax} ${ay}L${bx} ${by}"></path>${mark(one.name, one.state, mx, my)}`;
        })}`
      : svg`<path class="outline" d=${screws.length > 1 ? `${arc(x, y, 82, -86, 86)}${arc(x, y, 82, 94, 266)}M262 ${y - 5}H${x + 50}M262 ${y + 5}H${x + 50}` : arc(x, y, 82, -86, 266)}></path><path class="outline" d="M98 ${y - 5}H${x - 50}M98 ${y + 5}H${x - 50}"></path>${shaft(x, y, 50)}
        ${screws.map((one, at) => {
          const side = at ? 1 : -1;
          return svg`<path class="screw" d="M${x + side * 66} ${y - 34}V${y + 34}"></path>${mark(one.name, one.state, x + side * 122, y)}`;
        })}`;
  return board(kind === "set" ? 272 : 248, svg`${drawn}${rail(passes, kind === "set" ? 244 : 220)}`);
}

/** The bolts of a foot from above, or of a cap with the shaft under it. @param {number} count 2 or 4 @param {number} done in this pass @param {{name: string, state: State}[]} passes @param {boolean} [cap] */
export function bolts(count, done, passes, cap) {
  const states = boltStates(count, done);
  const at = count === 4 ? [[84, 62], [276, 62], [276, 158], [84, 158]] : [[72, 110], [288, 110]];
  const order = crosswise(count).map((one) => /** @type {number[]} */ (at[one - 1]));
  return board(
    272,
    svg`<rect class="outline" x="30" y=${count === 4 ? 20 : 62} width="300" height=${count === 4 ? 180 : 96} rx="14"></rect>
    ${cap ? svg`<path class="dash" d="M140 8V212M220 8V212"></path><path class="centre" d="M180 4V216"></path>` : svg`<circle class="outline" cx="180" cy="110" r="44"></circle>${shaft(180, 110, 27)}`}
    <path class="dash" d=${`M${order.map((one) => one.join(" ")).join("L")}`}></path>
    ${states.map((state, one) => {
      const [x = 0, y = 0] = at[one] ?? [];
      return mark(String(one + 1), state, x, y, 21);
    })}${rail(passes, 238)}`,
  );
}
