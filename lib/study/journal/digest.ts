import crypto from "node:crypto";

/**
 * SHA-256 of bytes, or of a text in UTF-8, in hex.
 *
 * @source FIPS 180-4
 */
// The call for a whole message at once takes a quarter of the time of the other, but is younger than Node 20.0.
export const digest: (data: string | Uint8Array) => string =
  typeof crypto.hash === "function"
    ? (data) => crypto.hash("sha256", data, "hex")
    : (data) => crypto.createHash("sha256").update(data).digest("hex");
