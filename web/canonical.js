// Canonical JSON (RFC 8785) and its SHA-256: the same bytes as the server writes.

/**
 * RFC 8785 text of a JSON value. Throws for what has no canonical form.
 * @param {unknown} value
 * @returns {string}
 */
export function canonical(value) {
  if (value === null || typeof value === "boolean") return String(value);
  if (typeof value === "number") {
    if (!Number.isFinite(value)) throw new TypeError(`${value} is not a number in JSON`);
    return JSON.stringify(value);
  }
  if (typeof value === "string") {
    if (!isWellFormed(value)) throw new TypeError("half a character cannot be written");
    return JSON.stringify(value);
  }
  if (Array.isArray(value)) return `[${value.map(canonical).join(",")}]`;
  if (typeof value === "object") {
    const object = /** @type {Record<string, unknown>} */ (value);
    // Array.sort() without a comparison sorts by UTF-16 code units, which is RFC 8785's order
    const keys = Object.keys(object).sort();
    return `{${keys.map((key) => `${canonical(key)}:${canonical(object[key])}`).join(",")}}`;
  }
  throw new TypeError(`${typeof value} is not JSON`);
}

/** @param {string} text */
function isWellFormed(text) {
  for (let i = 0; i < text.length; i += 1) {
    const code = text.charCodeAt(i);
    if (code >= 0xdc00 && code <= 0xdfff) return false;
    if (code >= 0xd800 && code <= 0xdbff) {
      const next = text.charCodeAt(i + 1);
      if (!(next >= 0xdc00 && next <= 0xdfff)) return false;
      i += 1;
    }
  }
  return true;
}

/**
 * The same JSON value with every text, keys too, in Unicode normal form C.
 * Members that are undefined are left out, as JSON does.
 * @template T
 * @param {T} value
 * @returns {T}
 */
export function nfc(value) {
  return /** @type {T} */ (normal(value));
}

/** @param {unknown} value @returns {unknown} */
function normal(value) {
  if (typeof value === "string") return value.normalize("NFC");
  if (Array.isArray(value)) return value.map(normal);
  if (value !== null && typeof value === "object") {
    // fromEntries, not assignment: a member called __proto__ must stay a member
    return Object.fromEntries(
      Object.entries(value)
        .filter(([, item]) => item !== undefined)
        .map(([key, item]) => [key.normalize("NFC"), normal(item)]),
    );
  }
  return value;
}

/**
 * SHA-256 of bytes or text (UTF-8), 64 lower-case hexadecimal digits.
 * @param {BufferSource | string} data
 * @returns {Promise<string>}
 */
export async function sha256Hex(data) {
  const bytes = typeof data === "string" ? new TextEncoder().encode(data) : data;
  const digest = new Uint8Array(await crypto.subtle.digest("SHA-256", bytes));
  return Array.from(digest, (byte) => byte.toString(16).padStart(2, "0")).join("");
}

/**
 * SHA-256 hex of the canonical JSON of a value.
 * @param {unknown} value
 * @returns {Promise<string>}
 */
export function hashOf(value) {
  return sha256Hex(canonical(value));
}
