// The short code on a machine's label, and what a scanned label says. The twin of records/label_code.py.
const ALPHABET = "023456789ABCDEFGHJKMNPQRSTVWXYZ";
const LENGTH = 7;

/** @param {string} position its id @returns {string} `XXXX-XXXX` */
export function labelCode(position) {
  let rest = Number.parseInt(position.slice(-12), 16) % ALPHABET.length ** LENGTH;
  const digits = [];
  for (let at = 0; at < LENGTH; at += 1) {
    digits.push(rest % ALPHABET.length);
    rest = Math.floor(rest / ALPHABET.length);
  }
  const text = [...digits, checkOf(digits)].map((digit) => ALPHABET[digit]).join("");
  return `${text.slice(0, 4)}-${text.slice(4)}`;
}

/** @param {number[]} digits */
const checkOf = (digits) => digits.reduce((sum, digit, at) => sum + (at + 2) * digit, 0) % ALPHABET.length;

/** A typed code in its one form, or null for a slip of the hand. O is read as 0. @param {string} typed */
export function readCode(typed) {
  const text = typed.toUpperCase().replace(/[\s-]/g, "").replaceAll("O", "0");
  const digits = [...text].map((letter) => ALPHABET.indexOf(letter));
  if (digits.length !== LENGTH + 1 || digits.includes(-1)) return null;
  return checkOf(digits.slice(0, -1)) === digits[LENGTH] ? `${text.slice(0, 4)}-${text.slice(4)}` : null;
}

/** The position that a label's QR text names, or null: only ever an id, never an address to go to. @param {string} text */
export const positionIn = (text) =>
  /^https?:\/\/[^#\s]*\/phone\/#\/position\/([0-9a-f]{8}(?:-[0-9a-f]{4}){3}-[0-9a-f]{12})$/.exec(text.trim())?.[1] ?? null;
