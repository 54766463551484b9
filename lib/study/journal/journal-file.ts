import {
  closeSync,
  existsSync,
  fstatSync,
  fsyncSync,
  ftruncateSync,
  openSync,
  readdirSync,
  readFileSync,
} from "node:fs";
import { basename, dirname, join } from "node:path";
import { digest } from "./digest.js";
import { syncFolder, writeNewFile, writeThrough } from "./disk.js";
import {
  type Entry,
  type EntryBody,
  type EntryStamp,
  entryHash,
  NO_ENTRY,
  type NoteBody,
  sealEntries,
} from "./journal-entry.js";
import type { MergedBody, SealedLine } from "./journal-line.js";
import { type JournalReading, readJournal } from "./read-journal.js";

const JOURNAL_FILE = "journal.jsonl";

/** Path of a study's journal. */
export function journalPath(folder: string): string {
  return join(folder, JOURNAL_FILE);
}

/** Reads the journal as it stands; a study without one has no entries. */
export function readJournalFile(folder: string): JournalReading {
  const path = journalPath(folder);
  return readJournal(existsSync(path) ? readFileSync(path) : new Uint8Array());
}

/**
 * Adds entries after the last one and returns them once they are on disk. All or none: entries written
 * together name the last of them, and a reader leaves an unfinished group out. Call under the lock only.
 */
export function writeEntries({
  folder,
  reading,
  bodies,
  stamp,
}: {
  readonly folder: string;
  readonly reading: JournalReading;
  readonly bodies: readonly EntryBody[];
  readonly stamp: EntryStamp;
}): readonly Entry[] {
  const entries = sealEntries(bodies, reading.last, stamp);
  appendLines(folder, entries);
  return entries;
}

/** Lines of a journal as they stand in its file. */
export const linesText = (lines: readonly object[]): string =>
  lines.map((line) => `${JSON.stringify(line)}\n`).join("");

/**
 * Several lines are on disk before the last of them ends: only its end makes them count, so that of a group of which the power
 * left parts a reader sees that it is unfinished, whichever parts they are.
 */
function appendLines(folder: string, lines: readonly object[]): void {
  const bytes = Buffer.from(linesText(lines), "utf8");
  const file = openSync(journalPath(folder), "a");
  try {
    // Also where an empty file is there: whoever made it may have been cut off before its name was on disk.
    if (fstatSync(file).size === 0) syncFolder(folder);
    if (lines.length === 1) writeThrough(file, bytes);
    else writeThrough(file, bytes.subarray(0, -1), bytes.subarray(-1));
  } finally {
    closeSync(file);
  }
}

/** Lines of another copy and the merge that seals them, to stand after a journal as it was read. */
export interface MergeText {
  readonly reading: JournalReading;
  readonly brought: readonly SealedLine[];
  readonly merge: Omit<MergedBody, "kind" | "brought">;
  /** RFC 3339. */
  readonly time: string;
}

/** The journal as it will read once a merge is written; nothing is written. */
export function readMerged(folder: string, merge: MergeText): JournalReading {
  const path = journalPath(folder);
  const own = existsSync(path) ? readFileSync(path).subarray(0, merge.reading.wholeBytes) : Buffer.alloc(0);
  return readJournal(
    Buffer.concat([
      own,
      Buffer.from(merge.reading.unended ? "\n" : ""),
      Buffer.from(linesText(mergeLines(merge)), "utf8"),
    ]),
  );
}

/** Writes a merge, all or nothing: a reader leaves out lines of another copy without their merge. Call under the lock only. */
export function writeMerge(folder: string, merge: MergeText): void {
  appendLines(folder, mergeLines(merge));
}

function mergeLines({ reading: { last }, brought, merge, time }: MergeText): readonly object[] {
  const first = (last?.seq ?? 0) + 1;
  const content = {
    seq: first + brought.length,
    time,
    kind: "merged",
    ...merge,
    brought: brought.map(({ hash }) => hash),
    prev: last?.hash ?? NO_ENTRY,
  };
  return [
    ...brought.map((carried, i) => ({ seq: first + i, carried })),
    { ...content, hash: entryHash(content) },
  ];
}

const tornBytes = (folder: string, { wholeBytes }: JournalReading): Buffer =>
  readFileSync(journalPath(folder)).subarray(wholeBytes);

const nameOf = ({ last }: JournalReading, torn: Buffer): string =>
  `journal.torn-after-${last?.seq ?? 0}-${digest(torn).slice(0, 8)}.txt`;

/** Name of the file beside a journal that takes its unfinished end. */
export const tornName = (folder: string, reading: JournalReading): string =>
  nameOf(reading, tornBytes(folder, reading));

/** Names of the unfinished ends that were set aside beside a journal. */
export const tornNames = (folder: string): readonly string[] =>
  readdirSync(folder).filter((name) => /^journal\.torn-after-\d+-[0-9a-f]{8}\.txt$/.test(name));

/**
 * Moves an unfinished end of the journal into a file beside it, so that the next entry starts on a clean
 * line, and says so in a note. Call under the lock only.
 */
export function setTornEndAside(folder: string, reading: JournalReading, time: string): readonly Entry[] {
  const path = journalPath(folder);
  if (reading.torn === undefined) {
    if (reading.unended) endLastLine(path);
    return [];
  }
  const torn = tornBytes(folder, reading);
  const aside = join(dirname(path), nameOf(reading, torn));
  writeNewFile(aside, torn);
  const file = openSync(path, "r+");
  try {
    ftruncateSync(file, reading.wholeBytes);
    fsyncSync(file);
  } finally {
    closeSync(file);
  }
  const note: NoteBody = {
    kind: "note",
    text: `The journal ended in an unfinished entry (${torn.length} bytes, after entry ${reading.last?.seq ?? 0}); it was set aside in ${basename(aside)}.`,
  };
  return writeEntries({ folder, reading, bodies: [note], stamp: { time } });
}

function endLastLine(path: string): void {
  const file = openSync(path, "a");
  try {
    writeThrough(file, Buffer.from("\n"));
  } finally {
    closeSync(file);
  }
}
