import { ownValue } from "../errors/index.js";

/** What a code of the operating system means to whoever ran the command, and how to mend it. */
const meanings: Readonly<Record<string, string>> = {
  ENOSPC: "the disk is full; make room and run the command again",
  EDQUOT: "your share of the disk is used up; make room and run the command again",
  EROFS: "this disk can only be read; copy the study where it can be written",
  EACCES: "you are not allowed to; change the rights of the file or folder",
  EPERM: "you are not allowed to; change the rights of the file or folder",
  EIO: "the disk does not answer as it should; copy the study to another one",
  EMFILE: "too many files are open; close some programs",
  ENFILE: "too many files are open; close some programs",
  ENOENT: "there is no such file or folder",
  ENOTDIR: "a part of the path is a file, not a folder",
  EISDIR: "this is a folder, not a file",
  ENAMETOOLONG: "the name is too long",
  ELOOP: "links lead round in a circle",
  EBUSY: "another program holds it; close that and run the command again",
};

/**
 * A refusal of the operating system in plain words; undefined for an error that is none. What a command writes to a journal is all
 * on disk or none of it.
 */
export function systemFault(error: unknown): string | undefined {
  if (!(error instanceof Error)) return undefined;
  const { code = "", path, syscall } = error as NodeJS.ErrnoException;
  const meaning = ownValue(meanings, code);
  if (meaning === undefined || syscall === undefined) return undefined;
  return `${path ?? "writing"}: ${meaning} (${code})`;
}
