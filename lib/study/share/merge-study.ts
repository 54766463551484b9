import { existsSync, readFileSync, realpathSync } from "node:fs";
import { dirname, join } from "node:path";
import { BeadbenchError, errorFromIssues, type Finding, type Issue } from "../../errors/index.js";
import type { StudyDefinition } from "../definition/index.js";
import {
  type AttachedBody,
  digest,
  type Entry,
  hashedName,
  isMergeLine,
  type JournalReading,
  type MergeText,
  makeFolder,
  type RenamedThing,
  readJournalFile,
  readMerged,
  replaceFile,
  type SealedLine,
  setTornEndAside,
  syncFile,
  withLock,
  writeMerge,
} from "../journal/index.js";
import {
  ATTACHMENTS,
  DEFAULT_WAIT_MS,
  now,
  readDefinition,
  requireInside,
  type Study,
  studyFrom,
  type WriteOptions,
} from "../record/index.js";
import { definitionDifferences } from "./definition-differences.js";

/** Options of {@link mergeStudy}. */
export interface MergeOptions extends WriteOptions {
  /** Only says what would come. */
  readonly dry?: boolean;
  /** Goes by the study's own study.json where the other one differs; that one is set aside among the attachments. */
  readonly keepDefinition?: boolean;
}

/** What a merge brought, or would bring. Plain data. */
export interface StudyMerge {
  /** The study as it stands, or would stand, afterwards. */
  readonly study: Study;
  /** Entries that came from the other copy; 0 where nothing was new, and nothing was written. */
  readonly brought: number;
  /** Coupons that came, by their id here. */
  readonly coupons: readonly string[];
  /** Coupons and builds, of either copy, that are called otherwise now because another one has their name. */
  readonly renamed: readonly RenamedThing[];
  /** Files that came, by their name here; `was` where it is another. */
  readonly attachments: readonly { readonly file: string; readonly was?: string }[];
  /** What differs between the copies and wants to be settled, and what could not be brought. */
  readonly findings: readonly Finding[];
  /** Where the two study.json differ, as lines of text. */
  readonly definition: readonly string[];
}

interface Copy {
  readonly folder: string;
  readonly definition: StudyDefinition;
  readonly reading: JournalReading;
}

/**
 * Brings what was written to another copy of a study into this one. Every entry of the other copy is kept word for word with
 * its hash and the chain it stands in, so that both records can be verified; nothing here is rewritten. Entries take the order of
 * the moments they were written, but never stand before one that their writer knew of, whatever the clocks said. Of two
 * coupons that were given one number on both copies, the one begun earlier keeps it and the other gets six digits of its hash
 * added. Merging again changes nothing, and either order of merging gives the same coupons.
 *
 * The other copy is only read. All comes or nothing: files first, then the journal in one write.
 *
 * @throws {BeadbenchError} `refused` for studies that are no copies of each other, and where study.json differs unless
 *   `keepDefinition`; `bad-journal` where one of the journals is damaged; `locked` when another writer does not finish
 */
export function mergeStudy(folder: string, otherFolder: string, options: MergeOptions = {}): StudyMerge {
  const time = now(options);
  readDefinition(folder);
  const other = {
    folder: otherFolder,
    definition: readDefinition(otherFolder),
    reading: readJournalFile(otherFolder),
  };
  if (realpathSync(folder) === realpathSync(otherFolder))
    throw new BeadbenchError(
      "bad-argument",
      `${otherFolder} is the study itself; name the folder of another copy`,
    );
  const work = (): StudyMerge => {
    let reading = readJournalFile(folder);
    // Before its end is mended: a refusal changes nothing.
    requireSound({ folder, reading });
    requireSound(other);
    if (options.dry !== true && setTornEndAside(folder, reading, time).length > 0)
      reading = readJournalFile(folder);
    return merge({ own: { folder, definition: readDefinition(folder), reading }, other, options, time });
  };
  // What only looks needs no lock, and may be asked of a folder that cannot be written.
  if (options.dry === true) return work();
  return withLock({ folder, time, waitMs: options.waitMs ?? DEFAULT_WAIT_MS, work });
}

function merge({
  own,
  other,
  options,
  time,
}: {
  readonly own: Copy;
  readonly other: Copy;
  readonly options: MergeOptions;
  readonly time: string;
}): StudyMerge {
  const differences = definitionDifferences(own.definition, other.definition);
  requireRelated(own, other, differences);
  if (differences.length > 0 && options.keepDefinition !== true && options.dry !== true)
    throw differentDefinitions(own, other, differences);
  const held = new Set(own.reading.lines.map(({ hash }) => hash));
  const lines = other.reading.lines.filter(({ hash }) => !held.has(hash));
  const news = lines.filter((line) => !isMergeLine(line)).length;
  if (news === 0) return result({ own, other, after: own.reading, lines: [], files: [], differences });
  const setAside = differences.length === 0 ? undefined : definitionFile(other.folder);
  const text: MergeText = {
    reading: own.reading,
    brought: lines,
    merge: {
      tip: other.reading.last!.hash,
      ...(setAside === undefined ? {} : { definition: { file: setAside.file, sha256: setAside.sha256 } }),
    },
    time,
  };
  const after = readMerged(own.folder, text);
  const files = filesToBring({ other, after, lines });
  if (options.dry !== true) {
    for (const { file, bytes } of [...files, ...(setAside === undefined ? [] : [setAside])])
      if (bytes !== undefined) bringFile(own.folder, file, bytes);
    writeMerge(own.folder, text);
  }
  return result({ own, other, after, lines, files, differences });
}

function requireSound({ folder, reading: { faults } }: Omit<Copy, "definition">): void {
  if (faults.length === 0) return;
  throw errorFromIssues(
    "bad-journal",
    `the journal of ${folder} is damaged, nothing was merged; restore its lines from a copy of the study, then merge again:`,
    faults.map(({ message }): Issue => ({ file: "journal.jsonl", message })),
  );
}

/** Copies have entries in common; before the first entry, the same study.json makes them one study. */
function requireRelated(own: Copy, other: Copy, differences: readonly string[]): void {
  const held = new Set(own.reading.lines.map(({ hash }) => hash));
  if (other.reading.lines.some(({ hash }) => held.has(hash))) return;
  if (differences.length === 0) return;
  throw new BeadbenchError(
    "refused",
    `${own.folder} and ${other.folder} are no copies of one study: their journals have no entry in common and study.json differs (${differences[0]}); to take coupons over, write them with \`beadbench export ${other.folder} --to coupons.csv\` and read them with \`beadbench import\`; to set the studies side by side, use \`beadbench compare\``,
  );
}

function differentDefinitions(own: Copy, other: Copy, differences: readonly string[]): BeadbenchError {
  return new BeadbenchError(
    "refused",
    [
      `study.json of ${own.folder} and of ${other.folder} differ, nothing was merged:`,
      ...differences.map((line) => `  ${line}`),
      "bring the right study.json into both folders and merge again, or go by the first with --keep-definition",
    ].join("\n"),
  );
}

function definitionFile(folder: string): {
  readonly file: string;
  readonly sha256: string;
  readonly bytes: Buffer;
} {
  const bytes = readFileSync(join(folder, "study.json"));
  const sha256 = digest(bytes);
  return { file: hashedName("study.json", sha256), sha256, bytes };
}

interface BroughtFile {
  readonly entry: Entry<AttachedBody>;
  readonly file: string;
  readonly was: string;
  /** Absent where the other copy does not have the file as it was logged. */
  readonly bytes?: Buffer;
}

/** The files that entries to come name, under their names there and here. */
function filesToBring({
  other,
  after,
  lines,
}: {
  readonly other: Copy;
  readonly after: JournalReading;
  readonly lines: readonly SealedLine[];
}): readonly BroughtFile[] {
  const coming = new Set(lines.map(({ hash }) => hash));
  const there = new Map(attachedEntries(other.reading).map((entry) => [entry.hash, entry.file]));
  return attachedEntries(after)
    .filter(({ hash }) => coming.has(hash))
    .map((entry) => {
      const was = there.get(entry.hash)!;
      for (const name of [was, entry.file]) requireInside(other.folder, name);
      const path = join(other.folder, ATTACHMENTS, was);
      const bytes = existsSync(path) ? readFileSync(path) : undefined;
      const sound = bytes !== undefined && digest(bytes) === entry.sha256;
      return { entry, file: entry.file, was, ...(sound ? { bytes } : {}) };
    });
}

const attachedEntries = ({ entries }: JournalReading): readonly Entry<AttachedBody>[] =>
  entries.filter((entry): entry is Entry<AttachedBody> => entry.kind === "attached");

/** Puts a file in its place whole, by a neighbour that is renamed. */
function bringFile(folder: string, file: string, bytes: Buffer): void {
  const path = join(folder, ATTACHMENTS, file);
  if (existsSync(path)) {
    if (digest(readFileSync(path)) === digest(bytes)) {
      syncFile(path);
      return;
    }
    throw new BeadbenchError(
      "exists",
      `${path} holds something else, and no entry names it; move it away and merge again`,
    );
  }
  makeFolder(dirname(path));
  replaceFile(path, bytes);
}

function result({
  own,
  other,
  after,
  lines,
  files,
  differences,
}: {
  readonly own: Copy;
  readonly other: Copy;
  readonly after: JournalReading;
  readonly lines: readonly SealedLine[];
  readonly files: readonly BroughtFile[];
  readonly differences: readonly string[];
}): StudyMerge {
  const study = studyFrom(own.folder, own.definition, after);
  const coming = new Set(lines.map(({ hash }) => hash));
  const began = new Map<string, string>();
  for (const entry of after.entries)
    if ((entry.kind === "planned" || entry.kind === "logged") && !began.has(entry.coupon!))
      began.set(entry.coupon!, entry.hash);
  const before = new Set((own.reading.merged?.renamed ?? []).map(({ now }) => now));
  return {
    study,
    brought: lines.filter((line) => !isMergeLine(line)).length,
    coupons: study.coupons.map(({ id }) => id).filter((id) => coming.has(began.get(id) ?? "")),
    renamed: (after.merged?.renamed ?? []).filter(({ now }) => !before.has(now)),
    attachments: files
      .filter(({ bytes }) => bytes !== undefined)
      .map(({ file, was }) => ({ file, ...(was === file ? {} : { was }) })),
    findings: [...study.integrity, ...files.flatMap(lostFile), ...unfinished(other)],
    definition: differences,
  };
}

function lostFile({ entry, was, bytes }: BroughtFile): readonly Finding[] {
  if (bytes !== undefined) return [];
  return [
    {
      code: "attachment-not-brought",
      severity: "warning",
      message: `attachments/${was} (entry ${entry.seq}) is missing or changed in the other copy; its entry comes without it`,
      advice: `put the file into attachments as ${entry.file} when it is found`,
      about: [entry.file],
    },
  ];
}

function unfinished({ reading: { torn } }: Copy): readonly Finding[] {
  if (torn === undefined) return [];
  return [
    {
      code: "journal-torn",
      severity: "warning",
      message: "the journal of the other copy ends in an unfinished entry, which was left there",
      advice: "open that copy with `beadbench check`, log again what is missing, and merge once more",
    },
  ];
}
