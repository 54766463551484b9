import { existsSync, readFileSync } from "node:fs";
import { basename, join } from "node:path";
import { BeadbenchError, errorFromIssues, type Finding, onlyDefined, parseJson } from "../../errors/index.js";
import { counted } from "../../numeric/figures/index.js";
import type { StudyDefinition } from "../definition/index.js";
import { parseStudyDefinition } from "../definition/index.js";
import type { Entry, EntryBody, JournalReading, MergedEntries } from "../journal/index.js";
import {
  type Clock,
  isMergeLine,
  makeFolder,
  readJournalFile,
  replaceFile,
  setTornEndAside,
  soundEntries,
  systemClock,
  tornName,
  withLock,
  writeEntries,
} from "../journal/index.js";
import { differencesOfCopies } from "./copy-differences.js";
import type { Coupon, StudyData } from "./coupon.js";
import { prepareEntries } from "./prepare-entries.js";
import { type BuildStep, type Change, type Incident, type Note, replay } from "./replay.js";

/** A study as its folder stands: plain data, replayed from the journal. */
export interface Study extends StudyData {
  readonly folder: string;
  /** In run order, voided ones included. */
  readonly coupons: readonly Coupon[];
  readonly incidents: readonly Incident[];
  readonly changes: readonly Change[];
  /** Starts, progress, pauses and ends of builds, in the order they were logged. */
  readonly buildSteps: readonly BuildStep[];
  readonly notes: readonly Note[];
  /** The sound entries of the journal. */
  readonly entries: readonly Entry[];
  /** Damage, tampering and values that no longer fit the definition; empty when all is well. */
  readonly integrity: readonly Finding[];
  /** When other copies were merged into it, and how many lines each merge brought; absent where none was. */
  readonly merges?: readonly { readonly time: string; readonly lines: number }[];
}

/** Options of the functions that write to a study. */
export interface WriteOptions {
  /** Stamps the entries. Default the computer's clock. */
  readonly clock?: Clock;
  /** How long to wait for another writer, ms. Default 10 000. */
  readonly waitMs?: number;
  /**
   * Name of the request, unlike any other (such as a random UUID), kept with its entries: entries of a request that the
   * journal holds already are not written again, so that it may be sent until it is acknowledged.
   */
  readonly request?: string;
}

const DEFINITION_FILE = "study.json";

/**
 * Starts a study: writes study.json into a new or empty folder.
 *
 * @throws {BeadbenchError} `exists` when the folder holds a study already; `bad-study` for a faulty definition;
 *   `bad-file` where the folder cannot be made
 */
export function createStudy(folder: string, definition: unknown): Study {
  const path = join(folder, DEFINITION_FILE);
  if (existsSync(path)) {
    throw new BeadbenchError(
      "exists",
      `${path} exists already; choose another folder, or open the study there`,
    );
  }
  const parsed = parseStudyDefinition(definition, DEFINITION_FILE);
  try {
    makeFolder(folder);
    makeFolder(join(folder, "attachments"));
  } catch (error) {
    throw new BeadbenchError("bad-file", `cannot make the folder ${folder}: ${(error as Error).message}`);
  }
  replaceFile(path, Buffer.from(`${JSON.stringify(parsed, null, 2)}\n`, "utf8"));
  return openStudy(folder);
}

/**
 * Opens a study folder. An unfinished end of the journal is set aside in a file beside it and noted;
 * damage is located in `integrity`, and damaged entries are not used.
 *
 * @throws {BeadbenchError} `not-found` without a study.json, `bad-study` for a faulty one
 */
export function openStudy(folder: string, options: WriteOptions = {}): Study {
  const definition = readDefinition(folder);
  const reading = readJournalFile(folder);
  if (reading.torn === undefined) return studyFrom(folder, definition, reading);
  const torn: Finding = {
    code: "journal-torn",
    severity: "warning",
    message: `the journal ends in an unfinished write after entry ${reading.last?.seq ?? 0}${wholeEntries(reading.torn)}: it was cut off before it was acknowledged, or the file was cut short since`,
    advice: `look into ${basename(folder)}/${tornName(folder, reading)}, where it was set aside, and log or import again what is missing`,
  };
  const time = now(options);
  let noted: readonly Entry[];
  try {
    // Only the holder of the lock can tell an unfinished end from a line being written right now.
    noted = withLock({
      folder,
      time,
      waitMs: options.waitMs ?? DEFAULT_WAIT_MS,
      work: () => setTornEndAside(folder, readJournalFile(folder), time),
    });
  } catch (error) {
    if (!isReadOnly(error)) throw error;
    const study = studyFrom(folder, definition, reading);
    return {
      ...study,
      integrity: [{ ...torn, advice: "open the study where it can be written" }, ...study.integrity],
    };
  }
  const study = studyFrom(folder, definition, readJournalFile(folder));
  return noted.length === 0 ? study : { ...study, integrity: [torn, ...study.integrity] };
}

function wholeEntries(torn: string): string {
  const count = soundEntries(torn).length;
  return count === 0
    ? ""
    : `, of which ${counted(count, "entry", "entries")} stand${count === 1 ? "s" : ""} whole`;
}

const isReadOnly = (error: unknown): boolean =>
  ["EACCES", "EPERM", "EROFS"].includes((error as NodeJS.ErrnoException).code ?? "");

export const DEFAULT_WAIT_MS = 10_000;

/**
 * Adds entries to the journal, all or none, and returns the study as it then stands. When this returns the
 * entries are on disk. Other writers wait; what they added is seen and checked against.
 *
 * @throws {BeadbenchError} `bad-journal` listing every fault; `locked` when another writer does not finish
 */
export function appendEntries(study: Study, bodies: readonly EntryBody[], options: WriteOptions = {}): Study {
  const { folder } = study;
  if (bodies.length === 0) return openStudy(folder, options);
  const time = now(options);
  return withLock({
    folder,
    time,
    waitMs: options.waitMs ?? DEFAULT_WAIT_MS,
    work: () => {
      const definition = readDefinition(folder);
      let reading = readJournalFile(folder);
      if (setTornEndAside(folder, reading, time).length > 0) reading = readJournalFile(folder);
      const { request } = options;
      if (request !== undefined && reading.entries.some((entry) => entry.request === request))
        return studyFrom(folder, definition, reading);
      const { bodies: ready, issues } = prepareEntries(definition, reading.entries, bodies);
      if (issues.length > 0) throw errorFromIssues("bad-journal", "nothing was logged:", issues);
      const { merged } = reading;
      const written = writeEntries({
        folder,
        reading,
        bodies: merged === undefined ? ready : ready.map((body) => placed(body, merged)),
        stamp: { time, ...onlyDefined({ request }) },
      });
      const after =
        merged === undefined
          ? { ...reading, entries: [...reading.entries, ...written] }
          : readJournalFile(folder);
      return studyFrom(folder, definition, after);
    },
  });
}

/** Where other copies were merged into it, an entry's number is not its place in the file, by which lines name it. */
function placed(body: EntryBody, { placeOf }: MergedEntries): EntryBody {
  return "entry" in body && body.entry !== undefined ? { ...body, entry: placeOf(body.entry) } : body;
}

export const readDefinition = (folder: string): StudyDefinition => readDefinitionFile(folder).definition;

/** The definition of a study folder, and the bytes of its study.json. */
export function readDefinitionFile(folder: string): {
  readonly definition: StudyDefinition;
  readonly bytes: Buffer;
} {
  const path = join(folder, DEFINITION_FILE);
  if (!existsSync(path)) {
    throw new BeadbenchError(
      "not-found",
      `there is no study in ${folder} (no ${DEFINITION_FILE}); check the name, or start one with \`beadbench new\` (createStudy)`,
    );
  }
  const bytes = readFileSync(path);
  const text = bytes.toString("utf8");
  return {
    definition: parseStudyDefinition(parseJson(text, path, "bad-study"), path, text),
    bytes,
  };
}

export const now = (options: WriteOptions): string => (options.clock ?? systemClock)().toISOString();

export function studyFrom(folder: string, definition: StudyDefinition, reading: JournalReading): Study {
  const { coupons, incidents, changes, buildSteps, notes, findings } = replay(definition, reading.entries);
  const merges = reading.lines
    .filter((line) => isMergeLine(line))
    .map(({ time, brought }) => ({ time, lines: brought.length }));
  const damage = reading.faults.map(
    (fault): Finding => ({
      code: `journal-${fault.code}`,
      severity: "error",
      message: `journal.jsonl, ${fault.message}`,
      advice:
        "restore the line from a copy of the study, log the values again, or let `beadbench recover` build a new study of what is sound; never edit the journal",
    }),
  );
  return {
    folder,
    definition,
    coupons,
    incidents,
    changes,
    buildSteps,
    notes,
    entries: reading.entries,
    integrity: [...damage, ...findings, ...differencesOfCopies(definition, reading)],
    ...(merges.length === 0 ? {} : { merges }),
  };
}
