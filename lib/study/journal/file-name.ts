import { extname } from "node:path";

/** Names that Windows keeps for devices, whatever ending they have. */
const DEVICE =
  /^(?:con|prn|aux|nul|com[0-9\u00b9\u00b2\u00b3]|lpt[0-9\u00b9\u00b2\u00b3]|conin\$|conout\$)\s*(?:\.|$)/i;

/**
 * A file name that every system takes: without the signs that one of them refuses, without a blank or dot at its end, and no
 * device of Windows. A study is copied from one computer to another, and its journal names the file.
 *
 * @source Microsoft, Naming Files, Paths, and Namespaces: reserved characters and names
 */
export function portableName(name: string): string {
  const plain = name
    .normalize("NFC")
    .replaceAll(/[<>:"/\\|?*\p{Cc}]/gu, "_")
    .replace(/^\s+/u, "")
    .replace(/[\s.]+$/u, "");
  if (plain === "") return "file";
  return DEVICE.test(plain) ? `_${plain}` : plain;
}

/** The same for names that are one file where case is not told apart, or where letters with marks are kept in parts. */
export const foldedName = (name: string): string => name.normalize("NFC").toLowerCase();

/** A file's name with the start of its hash. */
export function hashedName(file: string, sha256: string): string {
  const extension = extname(file);
  return `${file.slice(0, file.length - extension.length)}-${sha256.slice(0, 8)}${extension}`;
}
