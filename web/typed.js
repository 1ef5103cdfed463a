// What a person types, turned into a number: decimals with point or comma, fractions, and a unit. The twin of calc/typed.py.
// What can be read in two ways is refused with a reason.

const MOST_LENGTH = 24;
// Full-width forms of an East Asian keyboard, the dashes a keyboard or a paste makes of a minus, curly apostrophes.
const FANCY = "０１２３４５６７８９．，／＋＂−–‒‑‐﹣－⁄’′ʼ＇″";
const PLAIN = "0123456789.,/+\"-------/''''\"";
/** @type {Record<string, string>} */
const VULGAR = { "½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8" };

/** One spelling: NFC, plain digits, spaces, minus and apostrophe, vulgar fractions written out. @param {string} text */
export function tidy(text) {
  let out = text.normalize("NFC").replace(new RegExp(`[${FANCY}]`, "g"), (sign) => PLAIN[FANCY.indexOf(sign)] ?? "");
  for (const [sign, plain] of Object.entries(VULGAR))
    out = out.replace(new RegExp(`([0-9])\\s*${sign}`, "g"), `$1 ${plain}`).replaceAll(sign, plain);
  return out.replace(/[ \t\u00a0\u2007\u2009\u202f\u3000]+/g, " ").replace(/^ | $/g, "");
}

/** A typed number without unit. No guess: a fault says what is wrong.
 * @param {string} typed @returns {number | {fault: string}} */
export function parseNumber(typed) {
  let text = tidy(typed);
  if (text === "") return { fault: "empty" };
  if (text.length > MOST_LENGTH) return { fault: "too_long" };
  let sign = 1;
  if (text[0] === "+" || text[0] === "-") {
    sign = text[0] === "-" ? -1 : 1;
    text = text.slice(1).replace(/^ +/, "");
  }
  // 1,000 is a thousand to one reader and one to another; 0,040 and 12,5 are clear
  if (/^[1-9][0-9]{0,2},[0-9]{3}$/.test(text)) return { fault: "thousands" };
  // 1'234'567,8: the apostrophe only ever parts groups of three, so the other mark is the decimal one
  if (/^[1-9][0-9]{0,2}(?:'[0-9]{3})+(?:[.,][0-9]+)?$/.test(text)) text = text.replaceAll("'", "");
  if (/^(?:[0-9]+[.,]?[0-9]*|[.,][0-9]+)$/.test(text)) return sign * Number(text.replace(",", ".")) + 0;
  const fraction = /^(?:([0-9]{1,6})(?: |-))?([0-9]{1,4})\/([0-9]{1,4})$/.exec(text);
  if (fraction) {
    const [top, bottom] = [Number(fraction[2]), Number(fraction[3])];
    if (bottom === 0) return { fault: "zero_denominator" };
    if (fraction[1] === undefined) return sign * (top / bottom) + 0;
    if (top >= bottom) return { fault: "improper" };
    return sign * ((Number(fraction[1]) * bottom + top) / bottom) + 0;
  }
  if (/^[0-9.,]+[eE][-+]?[0-9]+$/.test(text)) return { fault: "exponent" };
  if (/^[0-9]*[.,'][0-9.,']*$/.test(text) && /[0-9]/.test(text)) return { fault: "two_marks" };
  if (/^[0-9.,]+( [0-9.,]+)+$/.test(text)) return { fault: "two_numbers" };
  return { fault: "not_a_number" };
}

const HEAD =
  /^(?:[-+] ?)?(?:[0-9]{1,6}[- ][0-9]{1,4}\/[0-9]{1,4}|[0-9]{1,4}\/[0-9]{1,4}|[0-9.,]*(?:'[0-9][0-9.,]*)*(?:[eE][-+]?[0-9]+)?)/;

/** `1-15/16 in` -> {typed: "1-15/16", unit: "in"}; unit "" where none was written. The unit is one of the list or a fault.
 * @param {Record<string, any>} units @param {string} text @returns {{typed: string, unit: string} | {fault: string}} */
export function splitEntry(units, text) {
  const plain = tidy(text);
  if (plain === "") return { fault: "empty" };
  const head = HEAD.exec(plain)?.[0] ?? "";
  const typed = head.trim();
  const rest = plain.slice(head.length).trim();
  if (/e$/i.test(typed)) return { fault: "not_a_number" };
  if (rest === "") return { typed, unit: "" };
  if (!/[0-9]/.test(typed)) return { fault: "not_a_number" };
  const code = units[rest]
    ? rest
    : Object.keys(units).find((one) => units[one].also.includes(rest) || units[one].shown === rest);
  if (code) return { typed, unit: code };
  return { fault: /^[0-9.,]/.test(rest) ? "two_numbers" : "unknown_unit" };
}
