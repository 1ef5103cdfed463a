// A person's PIN on one phone: what may be one, its slow hash, and how long to wait after wrong ones. No screen, no storage.
// It says that the person is at this phone; it never leaves it, and it proves nothing to the server.

/** @typedef {{alg: "PBKDF2-SHA-256", rounds: number, salt: string, hash: string}} KeptPin bytes as hex
 * @typedef {{wrong: number, last: number}} Tries last: milliseconds since 1970 */

export const DIGITS = 6;
export const MOST_WRONG = 5;
const LEAST_ROUNDS = 100_000;
const MOST_ROUNDS = 2_000_000;
const TAKES_MS = 250;
/** Seconds to wait after the first, second ... wrong try. */
const WAITS = [1, 5, 15, 60];

/** Why a PIN may not be one, or null. @param {string} pin @returns {"length" | "equal" | "run" | null} */
export function pinProblem(pin) {
  if (!new RegExp(`^\\d{${DIGITS}}$`).test(pin)) return "length";
  const steps = new Set([...pin].slice(1).map((digit, at) => Number(digit) - Number(pin[at])));
  if (steps.size > 1) return null;
  return steps.has(0) ? "equal" : steps.has(1) || steps.has(-1) ? "run" : null;
}

/** As many rounds as take a quarter of a second here, within bounds. @returns {Promise<number>} */
export async function roundsHere() {
  const tried = 50_000;
  const began = performance.now();
  await derive("000000", new Uint8Array(16), tried);
  const each = Math.max(performance.now() - began, 0.5) / tried;
  return Math.min(MOST_ROUNDS, Math.max(LEAST_ROUNDS, Math.round(TAKES_MS / each / 1000) * 1000));
}

/** @param {string} pin @param {number} rounds @returns {Promise<KeptPin>} */
export async function makePin(pin, rounds) {
  const salt = crypto.getRandomValues(new Uint8Array(16));
  return { alg: "PBKDF2-SHA-256", rounds, salt: hex(salt), hash: hex(await derive(pin, salt, rounds)) };
}

/** @param {string} pin @param {KeptPin} kept @returns {Promise<boolean>} */
export async function pinMatches(pin, kept) {
  const salt = Uint8Array.from(kept.salt.match(/../g) ?? [], (pair) => Number.parseInt(pair, 16));
  return hex(await derive(pin, salt, kept.rounds)) === kept.hash;
}

/** Seconds still to wait before the next try. A clock set back makes nobody wait longer than the whole wait.
 * @param {Tries | undefined} tries @param {number} now milliseconds since 1970 */
export function secondsLeft(tries, now) {
  if (!tries?.wrong) return 0;
  const wait = WAITS[Math.min(tries.wrong, WAITS.length) - 1] ?? 0;
  return Math.max(0, Math.ceil(wait - Math.max(0, now - tries.last) / 1000));
}

/** @param {string} pin @param {BufferSource} salt @param {number} rounds */
async function derive(pin, salt, rounds) {
  const key = await crypto.subtle.importKey("raw", new TextEncoder().encode(pin), "PBKDF2", false, ["deriveBits"]);
  return new Uint8Array(
    await crypto.subtle.deriveBits({ name: "PBKDF2", hash: "SHA-256", salt, iterations: rounds }, key, 256),
  );
}

/** @param {Uint8Array} bytes */
const hex = (bytes) => Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
