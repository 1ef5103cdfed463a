// Reads a QR code in a picture where the browser cannot. The vendored reader loads when the first picture comes.

/** Vendored, without types: not named in the import itself. */
const READER = "./vendor/qr/decode.js";

/** What a picture's QR code says, or null. @param {{width: number, height: number, data: Uint8ClampedArray | Uint8Array}} picture @returns {Promise<string | null>} */
export async function decode(picture) {
  const { default: decodeQR } = await import(READER);
  try {
    return decodeQR(picture);
  } catch {
    return null; // no code in this frame
  }
}
