import {
  accessSync,
  constants,
  existsSync,
  readFileSync,
  realpathSync,
  rmSync,
  statSync,
  writeFileSync,
} from "node:fs";
import { dirname, resolve } from "node:path";
import { BeadbenchError } from "../errors/index.js";
import { makeFolder, replaceFile } from "../study/journal/index.js";
import { openStudy, type Study } from "../study/record/index.js";
import type { CommandIo } from "./io.js";
import { findingsText } from "./text.js";
import { cannotWrite, requireNoFolder } from "./writable.js";

/** Opens the study a command names; trouble with its journal goes to the notes. */
export function studyAt(io: CommandIo, folder: string): Study {
  const study = openStudy(resolve(io.folder, folder), { clock: io.clock });
  if (study.integrity.length > 0) io.note(findingsText(study.integrity));
  return study;
}

/** Reads a text file in any encoding that spreadsheets write, or standard input for `-`. */
export async function readText(io: CommandIo, path: string): Promise<string> {
  if (path === "-") return io.readInput();
  // Its folder reads CSV, which commands that read no file need not load.
  const { decodeText } = await import("../study/csv/index.js");
  return decodeText(readBytes(io, path));
}

/** Why a file cannot be read, by the system's code. */
const plainReasons: ReadonlyMap<string, string> = new Map([
  ["ENOENT", "there is no such file; check its name and folder"],
  ["EISDIR", "it is a folder; name a file"],
  ["ENAMETOOLONG", "no file has so long a name"],
]);

/** Bytes, not text: readers of tables tell the encoding themselves. */
export function readBytes(io: CommandIo, file: string): Uint8Array {
  try {
    return readFileSync(resolve(io.folder, file));
  } catch (error) {
    const { code = "", message } = error as NodeJS.ErrnoException;
    throw new BeadbenchError("not-found", `cannot read ${file}: ${plainReasons.get(code) ?? message}`);
  }
}

/**
 * Writes a file whole or not at all: to a neighbour first, then renamed. A link stays, what it leads to is written; a device
 * or pipe is written through. `-` prints it.
 */
export function writeText(io: CommandIo, path: string, content: string): void {
  if (path === "-") {
    io.out(content);
    return;
  }
  try {
    writeWhole(resolve(io.folder, path), content);
  } catch (error) {
    throw cannotWrite(path, error as Error);
  }
  io.note(`wrote ${path}\n`);
}

function writeWhole(path: string, content: string): void {
  const target = existsSync(path) ? realpathSync(path) : path;
  const there = statSync(target, { throwIfNoEntry: false });
  requireNoFolder(there);
  if (there !== undefined && !there.isFile()) {
    writeFileSync(target, content);
    return;
  }
  // A rename asks only the folder: a file that was made read-only is to stay.
  if (there !== undefined) accessSync(target, constants.W_OK);
  makeFolder(dirname(target));
  try {
    replaceFile(target, Buffer.from(content, "utf8"));
  } catch (error) {
    rmSync(`${target}.part`, { force: true });
    throw error;
  }
}
