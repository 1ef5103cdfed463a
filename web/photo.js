// A photo from the phone's own camera screen: made smaller, stripped of its place, named by its hash.
import { sha256Hex } from "./canonical.js";

const LONGEST = 1600;

/** @param {File} file @returns {Promise<import("./store.js").KeptPhoto>} JPEG of at most 1600 px; drawing it again drops position and camera data */
export async function makePhoto(file) {
  const picture = await createImageBitmap(file);
  const scale = Math.min(1, LONGEST / Math.max(picture.width, picture.height));
  const canvas = document.createElement("canvas");
  canvas.width = Math.max(1, Math.round(picture.width * scale));
  canvas.height = Math.max(1, Math.round(picture.height * scale));
  const pen = canvas.getContext("2d");
  if (!pen) throw new Error("no canvas");
  pen.drawImage(picture, 0, 0, canvas.width, canvas.height);
  picture.close();
  const blob = await new Promise((resolve, reject) =>
    canvas.toBlob((made) => (made ? resolve(made) : reject(new Error("no picture"))), "image/jpeg", 0.8),
  );
  const sha256 = await sha256Hex(await blob.arrayBuffer());
  return { sha256, blob, bytes: blob.size, type: "image/jpeg", sent: false, taken: new Date().toISOString() };
}
