import {
  closeSync,
  fstatSync,
  fsyncSync,
  ftruncateSync,
  mkdirSync,
  openSync,
  renameSync,
  writeSync,
} from "node:fs";
import { dirname, resolve } from "node:path";

/** Writes at the end of an open file and flushes; on failure (disk full) takes the file back to where it was. */
export function writeThrough(file: number, ...parts: readonly Buffer[]): void {
  const { size } = fstatSync(file);
  try {
    for (const bytes of parts) {
      for (let done = 0; done < bytes.length; ) done += writeSync(file, bytes, done);
      fsyncSync(file);
    }
  } catch (error) {
    ftruncateSync(file, size);
    throw error;
  }
}

/**
 * Writes a whole file, on disk under its name when this returns.
 *
 * @param flag - `wx` where there must be no file of that name yet
 */
export function writeNewFile(path: string, bytes: Uint8Array, flag: "w" | "wx" = "w"): void {
  const file = openSync(path, flag);
  try {
    writeThrough(file, Buffer.from(bytes));
  } finally {
    closeSync(file);
  }
  syncFolder(dirname(path));
}

/** Puts a file in its place whole, over an older one too: by a neighbour on disk that is renamed. */
export function replaceFile(path: string, bytes: Uint8Array): void {
  const draft = `${path}.part`;
  writeNewFile(draft, bytes);
  patiently(() => renameSync(draft, path));
  syncFolder(dirname(path));
}

/** Makes sure that a file, found with its bytes as they should be, is on disk: whoever wrote it may have been cut off before. */
export function syncFile(path: string): void {
  const file = openSync(path, "r+");
  try {
    fsyncSync(file);
  } finally {
    closeSync(file);
  }
  syncFolder(dirname(path));
}

/** Makes a folder with those above it that are missing; it survives a power cut when this returns. */
export function makeFolder(folder: string): void {
  const first = resolve(mkdirSync(folder, { recursive: true }) ?? folder);
  for (let at = resolve(folder); at.length >= first.length && at !== dirname(at); at = dirname(at)) {
    syncFolder(at);
    syncFolder(dirname(at));
  }
}

/** What a system answers that cannot flush this folder; the names in it are then kept as well as that system keeps them. */
const NO_FLUSH = ["EACCES", "EBADF", "EINVAL", "EISDIR", "ENOSYS", "ENOTSUP", "EOPNOTSUPP", "EPERM"];

/** Makes a new name in a folder survive a power cut, on systems where a folder can be flushed. */
export function syncFolder(folder: string): void {
  if (process.platform === "win32") return;
  try {
    const handle = openSync(folder, "r");
    try {
      fsyncSync(handle);
    } finally {
      closeSync(handle);
    }
  } catch (error) {
    if (!NO_FLUSH.includes((error as NodeJS.ErrnoException).code ?? "")) throw error;
  }
}

/** What Windows answers while a scanner or another program has a file open. */
const IN_USE = ["EACCES", "EBUSY", "EPERM"];
const PATIENCE_MS = 1000;

/** Does something to a name, again for a while where Windows says that the file is in use. */
export function patiently(work: () => void, system: NodeJS.Platform = process.platform): void {
  for (const start = performance.now(); ; sleep(20)) {
    try {
      work();
      return;
    } catch (error) {
      const inUse = system === "win32" && IN_USE.includes((error as NodeJS.ErrnoException).code ?? "");
      if (!inUse || performance.now() - start > PATIENCE_MS) throw error;
    }
  }
}

/** Waits without letting anything else run. */
export function sleep(ms: number): void {
  Atomics.wait(new Int32Array(new SharedArrayBuffer(4)), 0, 0, ms);
}
