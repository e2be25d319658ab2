// A picture from the camera or a file: made smaller, and drawn anew, so that it carries neither the
// place nor the phone that took it.

import { WORDS } from "../draw/words.js";

/** The longest side, px. */
const LONGEST = 1600;
const QUALITY = 0.8;

/** Let a hand choose or take a picture; null when it takes none. @returns {Promise<File | null>} */
export function choosePicture() {
  const input = document.createElement("input");
  input.type = "file";
  input.accept = "image/*";
  input.setAttribute("capture", "environment");
  return new Promise((resolve) => {
    input.addEventListener("change", () => resolve(input.files?.[0] ?? null), { once: true });
    input.addEventListener("cancel", () => resolve(null), { once: true });
    input.click();
  });
}

/** The picture as a small JPEG without its metadata. @param {Blob} file @returns {Promise<Blob>} */
export async function madeSmall(file) {
  const bitmap = await createImageBitmap(file).catch(() => {
    throw new Error(WORDS.noPicture);
  });
  const scale = Math.min(1, LONGEST / Math.max(bitmap.width, bitmap.height));
  const canvas = document.createElement("canvas");
  canvas.width = Math.max(1, Math.round(bitmap.width * scale));
  canvas.height = Math.max(1, Math.round(bitmap.height * scale));
  const paper = canvas.getContext("2d");
  if (!paper) throw new Error(WORDS.noPicture);
  paper.fillStyle = "white"; // under what is transparent
  paper.fillRect(0, 0, canvas.width, canvas.height);
  paper.drawImage(bitmap, 0, 0, canvas.width, canvas.height);
  bitmap.close();
  return new Promise((resolve, reject) => {
    const made = (/** @type {Blob | null} */ blob) =>
      blob ? resolve(blob) : reject(new Error(WORDS.noPicture));
    canvas.toBlob(made, "image/jpeg", QUALITY);
  });
}

/** @param {Blob} blob @returns {Promise<string>} */
export const dataUrl = (blob) =>
  new Promise((resolve, reject) => {
    const reader = new FileReader();
    reader.onload = () => resolve(String(reader.result));
    reader.onerror = () => reject(reader.error);
    reader.readAsDataURL(blob);
  });
