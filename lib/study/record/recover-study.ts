import { existsSync, lstatSync, readdirSync, readFileSync } from "node:fs";
import { basename, join } from "node:path";
import { BeadbenchError, onlyDefined } from "../../errors/index.js";
import { counted } from "../../numeric/figures/index.js";
import {
  type Entry,
  type EntryBody,
  type JournalFault,
  journalPath,
  linesText,
  makeFolder,
  readJournalFile,
  replaceFile,
  sealEntries,
  soundEntries,
  systemClock,
  tornNames,
  writeNewFile,
} from "../journal/index.js";
import { openStudy, readDefinitionFile, type Study, type WriteOptions } from "./study.js";

/** What {@link recoverStudy} could not carry over. */
export interface LostEntry {
  /** 1-based line of the damaged journal.jsonl; absent for an entry that is sound itself. */
  readonly line?: number;
  /** Number of the entry in the damaged journal, where it could be read. */
  readonly seq?: number;
  readonly message: string;
}

/** What {@link recoverStudy} made. Plain data. */
export interface Recovery {
  /** The new study, in its own folder. */
  readonly study: Study;
  /** Entries carried over. */
  readonly kept: number;
  /** What the damaged journal tells of that could not be carried over, in its order. */
  readonly lost: readonly LostEntry[];
}

/**
 * Builds a study anew, in a folder of its own, from all that is sound in a damaged one, which is left as it is, byte for byte.
 * Entries come in the order they were written, each with its time, repeated ones once; up to the first damage they keep their
 * numbers and hashes, from there on they are numbered and chained anew, and corrections and voids follow their entries. The new
 * journal ends in a note of what was carried over and what was not. All is on disk when this returns; study.json comes last, so
 * that a folder left by a recovery that was cut short is no study, and can be deleted.
 *
 * @param folder - the damaged study
 * @param into - a folder that does not exist yet
 * @throws {BeadbenchError} `exists` when `into` does, `not-found` and `bad-study` for the study.json of the damaged study,
 *   `bad-file` where the new folder cannot be made
 * @example recoverStudy(createDemoStudy(`${scratchFolder()}/damaged`).folder, `${scratchFolder()}/mended`).lost // => []
 */
export function recoverStudy(folder: string, into: string, options: WriteOptions = {}): Recovery {
  const { bytes } = readDefinitionFile(folder);
  refuseTaken(into);
  const { entries, faults, torn, merged } = readJournalFile(folder);
  // Of merged copies names and numbers are those of the record, not those that were hashed.
  const unfinished = soundEntries(torn ?? "");
  const { sealed, lost } = chainAnew([...entries, ...unfinished], {
    asWritten: merged === undefined,
    apart: new Set(unfinished),
  });
  const told = [
    ...faults.filter(isLoss),
    ...(merged === undefined ? missingEntries(entries, faults) : []),
    ...lost,
    ...(torn === undefined ? [] : [tornEnd(torn, unfinished.length)]),
    ...tornNames(folder).map((name) => tornAside(folder, name)),
  ];
  const note = `Recovered from ${basename(folder)}: ${sealed.length} entries carried over, ${told.length} not${told.length === 0 ? "" : `: ${told.map(({ message }) => message).join("; ")}`}`;
  const time = (options.clock ?? systemClock)().toISOString();
  const all = [...sealed, ...sealEntries([{ kind: "note", text: note }], sealed.at(-1), { time })];
  beginFolder(into);
  copyAttachments(folder, into);
  writeNewFile(journalPath(into), Buffer.from(linesText(all), "utf8"));
  // Last, so that what was cut short is no study yet.
  replaceFile(join(into, "study.json"), bytes);
  return { study: openStudy(into, options), kept: sealed.length, lost: told };
}

/** Faults of lines whose content is not used; those of order and chain alone cost nothing. */
const isLoss = ({ code }: JournalFault): boolean =>
  code === "unreadable" || code === "changed" || code === "not-an-entry";

const tornEnd = (torn: string, kept: number): LostEntry => ({
  message: `the end of the journal, an unfinished write of ${Buffer.byteLength(torn)} bytes${kept === 0 ? "" : `, but for ${counted(kept, "entry", "entries")} of it that stood whole`}`,
});

function tornAside(folder: string, name: string): LostEntry {
  const count = soundEntries(readFileSync(join(folder, name), "utf8")).length;
  return {
    message: `what was set aside in ${name} as an unfinished write${count === 0 ? "" : `, with ${counted(count, "whole entry", "whole entries")}`}: log or import it again where it is missing`,
  };
}

/** Entries of which not even a damaged line is left; an unreadable line may be one of them. */
function missingEntries(entries: readonly Entry[], faults: readonly JournalFault[]): readonly LostEntry[] {
  const present = new Set([...entries, ...faults].map(({ seq }) => seq));
  const last = entries.reduce((highest, { seq }) => Math.max(highest, seq), 0);
  const absent = Array.from({ length: last }, (_, i) => i + 1).filter((seq) => !present.has(seq));
  const unreadable = faults.filter(({ code }) => code === "unreadable").length;
  if (absent.length <= unreadable) return [];
  const which = `${absent.slice(0, 20).join(", ")}${absent.length > 20 ? " ..." : ""}`;
  return [
    {
      message: `${unreadable === 0 ? counted(absent.length, "entry", "entries") : `${absent.length - unreadable} of the entries`} of which no line is left: ${which}`,
    },
  ];
}

function refuseTaken(into: string): void {
  if (!existsSync(into)) return;
  throw new BeadbenchError(
    "exists",
    existsSync(join(into, "study.json"))
      ? `${into} exists already; choose a folder that does not`
      : `${into} exists already; if it is what a recovery that was cut short left (it holds no study.json), delete it, or choose another folder`,
  );
}

/** Entries in the order of their numbers, each once, chained without a gap. */
function chainAnew(
  entries: readonly Entry[],
  {
    asWritten,
    apart,
  }: {
    readonly asWritten: boolean;
    /** Entries of a group that was cut off, which must not be told as one. */
    readonly apart: ReadonlySet<Entry>;
  },
): {
  readonly sealed: readonly Entry[];
  readonly lost: readonly LostEntry[];
} {
  const lost: LostEntry[] = [];
  const sealed: Entry[] = [];
  const seen = new Map<number, string>();
  const renumbered = new Map<number, number>();
  for (const entry of [...entries].sort((a, b) => a.seq - b.seq)) {
    const { seq, hash } = entry;
    const before = seen.get(seq);
    if (before !== undefined) {
      if (before !== hash) lost.push({ seq, message: `a second entry ${seq}, of another copy of the study` });
      continue;
    }
    seen.set(seq, hash);
    const target = "entry" in entry ? entry.entry : undefined;
    const moved = target === undefined ? undefined : renumbered.get(target);
    if (target !== undefined && moved === undefined) {
      lost.push({ seq, message: `entry ${seq}, ${entry.kind} entry ${target}, which is lost` });
      continue;
    }
    renumbered.set(seq, sealed.length + 1);
    const last = sealed.at(-1);
    sealed.push(
      asWritten && !apart.has(entry) && follows(entry, last) ? entry : resealed(entry, last, moved),
    );
  }
  return { sealed, lost };
}

const follows = ({ seq, prev }: Entry, last: Entry | undefined): boolean =>
  last === undefined ? seq === 1 : prev === last.hash && seq === last.seq + 1;

/** The entry with a number and a link of its own. */
function resealed(entry: Entry, last: Entry | undefined, target: number | undefined): Entry {
  const { seq: _seq, time, batchEnd: _end, request, prev: _prev, hash: _hash, ...body } = entry;
  const moved = target === undefined ? body : { ...body, entry: target };
  return sealEntries([moved as EntryBody], last, { time, ...onlyDefined({ request }) })[0]!;
}

function beginFolder(into: string): void {
  try {
    makeFolder(join(into, "attachments"));
  } catch (error) {
    throw new BeadbenchError("bad-file", `cannot make the folder ${into}: ${(error as Error).message}`);
  }
}

/** Plain files alone: a link could lead out of the study. */
function copyAttachments(folder: string, into: string): void {
  const from = join(folder, "attachments");
  if (!existsSync(from)) return;
  for (const name of readdirSync(from)) {
    if (lstatSync(join(from, name)).isFile())
      writeNewFile(join(into, "attachments", name), readFileSync(join(from, name)));
  }
}
