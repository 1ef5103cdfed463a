// The closed list of functions, whole steps, and the refusal of a line. The twin of calc/functions.py.

/** A line that cannot have a value: code and detail. */
export class Refuse extends Error {
  /** @param {string} code @param {Record<string, any>} [detail] */
  constructor(code, detail = {}) {
    super(code);
    this.code = code;
    this.detail = detail;
  }
}

/** A refusal without more to say: these numbers give no number. */
export const cannot = () => new Refuse("cannot_compute");

/** Whole steps of a kind; both sides of every comparison go through here. @param {number} value @param {number} per */
export function steps(value, per) {
  const out = Math.floor(value * per + 0.5);
  if (!Number.isFinite(out)) throw cannot();
  return out;
}

/** @param {(x: number) => number} work @returns {(x: number) => number} */
const guard = (work) => (x) => {
  const out = work(x);
  if (!Number.isFinite(out)) throw cannot();
  return out;
};

/** @param {number} a @param {number} b */
export function power(a, b) {
  // Math.pow says NaN of 1 ** NaN and the like; only finite numbers come in, so only a result that is not finite is refused.
  const out = a ** b;
  if (!Number.isFinite(out)) throw cannot();
  return out;
}

/** @param {number[]} x */
const least = (x) => Math.min(...x);
/** @param {number[]} x */
const most = (x) => Math.max(...x);

/** @type {Record<string, (x: any) => number>} */
export const ONE = {
  sqrt: guard(Math.sqrt),
  abs: Math.abs,
  floor: guard(Math.floor),
  ceil: guard(Math.ceil),
  sin: guard(Math.sin),
  cos: guard(Math.cos),
  tan: guard(Math.tan),
  atan: guard(Math.atan),
  exp: guard(Math.exp),
  log: guard(Math.log),
  mean: (/** @type {number[]} */ x) => x.reduce((total, one) => total + one, 0) / x.length,
  least,
  most,
  count: (/** @type {number[]} */ x) => x.length,
  spread: (/** @type {number[]} */ x) => most(x) - least(x),
};
