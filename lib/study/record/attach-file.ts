import { existsSync, readdirSync, readFileSync } from "node:fs";
import { basename, join } from "node:path";
import { BeadbenchError, type Finding, onlyDefined } from "../../errors/index.js";
import type { AttachedBody } from "../journal/index.js";
import {
  digest,
  foldedName,
  hashedName,
  makeFolder,
  portableName,
  replaceFile,
  syncFile,
  writeNewFile,
} from "../journal/index.js";
import { appendEntries, type Study, type WriteOptions } from "./study.js";

/** The folder of a study that holds its files. */
export const ATTACHMENTS = "attachments";

/** What a file shows: the id of its coupon, which must exist, and a remark. */
export interface AttachOptions extends WriteOptions {
  readonly coupon?: string;
  readonly note?: string;
}

/**
 * Copies a file (photo, profile, trace) into the study's folder attachments and logs it with its SHA-256, so that
 * a later change shows. A name in use gets the start of the hash added.
 *
 * @throws {BeadbenchError} `not-found` when the file or the coupon does not exist
 */
export function attachFile(study: Study, path: string, options: AttachOptions = {}): Study {
  if (!existsSync(path)) throw new BeadbenchError("not-found", `there is no file ${path}`);
  const { coupon, note } = options;
  if (coupon !== undefined && !study.coupons.some(({ id }) => id === coupon)) {
    throw new BeadbenchError("not-found", `there is no coupon ${coupon}`);
  }
  const kept = keepFile(study, basename(path), readFileSync(path));
  const body: AttachedBody = {
    kind: "attached",
    ...kept,
    ...onlyDefined({ coupon, note }),
  };
  return appendEntries(study, [body], options);
}

/**
 * Writes a file into the study's folder attachments, before an entry names it. The same bytes under the same name are
 * written once.
 *
 * @param name - plain name without a folder
 * @returns what the entry says of it
 */
export function keepFile(
  study: Study,
  name: string,
  bytes: Uint8Array,
): Pick<AttachedBody, "file" | "sha256"> {
  const sha256 = digest(bytes);
  const folder = join(study.folder, ATTACHMENTS);
  makeFolder(folder);
  const plain = portableName(name);
  const file = holdsOrTakes(folder, plain, bytes) ? plain : hashedName(plain, sha256);
  if (file !== plain && !holdsOrTakes(folder, file, bytes)) replaceFile(join(folder, file), bytes);
  return { file, sha256 };
}

/** Whether a file of this name holds these bytes now, on disk: it did, or nothing had that name, in whatever case and form. */
function holdsOrTakes(folder: string, name: string, bytes: Uint8Array): boolean {
  const path = join(folder, name);
  const namesakes = readdirSync(folder).filter((other) => foldedName(other) === foldedName(name));
  if (namesakes.length === 0) {
    try {
      writeNewFile(path, bytes, "wx");
      return true;
    } catch (error) {
      // Another writer was quicker; what it takes the name for is not known yet.
      if ((error as NodeJS.ErrnoException).code === "EEXIST") return false;
      throw error;
    }
  }
  if (!namesakes.includes(name) || !readFileSync(path).equals(bytes)) return false;
  syncFile(path);
  return true;
}

/**
 * Holds the name of a file to its folder: a journal that came from elsewhere may name anything.
 *
 * @throws {BeadbenchError} `refused` for a name that leads out of the folder attachments
 */
export function requireInside(folder: string, file: string): void {
  const parts = file.split("/");
  const sound = parts.every((part) => part !== "" && part !== "." && part !== ".." && !/[\\:\0]/.test(part));
  if (sound) return;
  throw new BeadbenchError(
    "refused",
    `the journal of ${folder} names an attachment ${JSON.stringify(file)}, which does not lie in its folder attachments; nothing was read or written`,
  );
}

/**
 * Compares the attachments on disk with what the journal says of them, by SHA-256.
 *
 * @returns a finding per file that is missing or was changed; empty when all are as logged
 */
export function verifyAttachments(study: Study): readonly Finding[] {
  return study.entries.flatMap((entry): readonly Finding[] => {
    if (entry.kind !== "attached") return [];
    const path = join(study.folder, ATTACHMENTS, entry.file);
    const state = !existsSync(path)
      ? "is missing"
      : digest(readFileSync(path)) === entry.sha256
        ? ""
        : "was changed";
    if (state === "") return [];
    return [
      {
        code: "attachment-damaged",
        severity: "error",
        message: `attachments/${entry.file} (entry ${entry.seq}) ${state} since it was logged`,
        advice: "restore it from a copy of the study",
        about: [entry.file],
      },
    ];
  });
}
