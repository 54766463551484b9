import { accessSync, constants, existsSync, realpathSync, type Stats, statSync } from "node:fs";
import { dirname, resolve } from "node:path";
import { BeadbenchError } from "../errors/index.js";

/** The error of a file that cannot be written. */
export const cannotWrite = (path: string, { message }: Error): BeadbenchError =>
  new BeadbenchError("bad-file", `cannot write ${path}: ${message}`);

/** @throws {Error} for a folder, which a file cannot replace */
export function requireNoFolder(there: Stats | undefined): void {
  if (there?.isDirectory() === true) throw new Error("it is a folder; name a file");
}

/**
 * Refuses a file that could not be written, before any work is done for it: a folder, a place below what is no folder, or
 * one that may not be written to.
 *
 * @param folder - that a path is told from
 */
export function requireWritable(folder: string, path: string): void {
  if (path === "-") return;
  try {
    const named = resolve(folder, path);
    const target = existsSync(named) ? realpathSync(named) : named;
    const there = existsSync(target) ? statSync(target) : undefined;
    requireNoFolder(there);
    // A plain file is replaced by its neighbour, so that its folder is asked; a device or a pipe is written itself.
    const isPlain = there === undefined || there.isFile();
    const asked = isPlain ? nearestFolder(target) : target;
    if (isPlain && !statSync(asked).isDirectory()) throw new Error(`${asked} is no folder`);
    accessSync(asked, constants.W_OK);
  } catch (error) {
    throw cannotWrite(path, error as Error);
  }
}

/** The folder of a file, or the nearest above that is there. */
function nearestFolder(path: string): string {
  const above = dirname(path);
  return existsSync(above) || above === path ? above : nearestFolder(above);
}
