import { rmSync } from "node:fs";
import { join } from "node:path";
import { BeadbenchError, type Issue, onlyDefined, requireThat } from "../errors/index.js";
import { gate } from "../models/gate/index.js";
import type { Clock } from "../study/index.js";
import type { AttachedBody, Entry, EntryBody, NoteBody } from "../study/journal/index.js";
import {
  appendEntries,
  correctionOf,
  dayOfLogging,
  keepFile,
  openStudy,
  type Study,
} from "../study/record/index.js";
import { homeOf } from "./day.js";
import type { BenchFault, BenchReceipt, BenchRefusal, BenchRequest, BenchTask } from "./wire/index.js";

/** A picture that came with a request. */
export interface SentPhoto {
  readonly bytes: Uint8Array;
  /** Of its MIME type, one of {@link photoTypes}. */
  readonly extension: string;
}

/** The kinds of picture that are kept, with the ending of their file. */
export const photoTypes: Readonly<Record<string, string>> = {
  "image/jpeg": ".jpg",
  "image/png": ".png",
  "image/webp": ".webp",
};

/** Where entries go. */
export interface Desk {
  readonly folder: string;
  readonly clock: Clock;
}

/** How long to wait for another writer: short, because nothing else is answered meanwhile, and the page asks again. */
const WAIT_MS = 2000;
/** A request this old when it arrives was made without a connection: the record says when. */
const LATE_MS = 60_000;

/**
 * Writes what a page asks for: one group of entries, all or none, once per request. The journal's own lock and checks
 * decide, as they do for the command line beside it.
 *
 * @throws {BeadbenchError} as `appendEntries` does; nothing is written then
 */
export function recordTask(
  { folder, clock }: Desk,
  request: BenchRequest,
  photo: SentPhoto | undefined,
): BenchReceipt {
  const options = { clock, waitMs: WAIT_MS };
  requireThat(
    request.home === homeOf(folder),
    "this was kept for another study: serve that study's bench page here to send it",
  );
  const study = openStudy(folder, options);
  const known = entriesOf(study, request.id);
  if (known.length > 0) return receipt(study, request, true);
  const bodies = [...bodiesOf(study, request), ...lateNote(request, clock())];
  const write = (all: readonly EntryBody[]): Study =>
    appendEntries(study, all, { ...options, request: request.id });
  if (photo === undefined) return receipt(write(bodies), request, false);
  const attached = photoBody({ study, request, photo });
  try {
    return receipt(write([attached, ...bodies]), request, false);
  } catch (error) {
    // Where no entry names the picture, the page sends it again with what it mends.
    if (!isNamed(openStudy(folder, options), attached.file))
      rmSync(join(folder, "attachments", attached.file), { force: true });
    throw error;
  }
}

const isNamed = ({ entries }: Study, file: string): boolean =>
  entries.some((entry) => entry.kind === "attached" && entry.file === file);

const entriesOf = (study: Study, id: string): readonly Entry[] =>
  study.entries.filter((entry) => entry.request === id);

function receipt(study: Study, { id, task }: BenchRequest, repeated: boolean): BenchReceipt {
  const coupon = task.kind === "coupon" || task.kind === "correction" ? [task.coupon] : [];
  return {
    entries: entriesOf(study, id).map(({ seq }) => seq),
    repeated,
    warnings: gate(study, coupon).map(({ column, message }) => ({ column, message })),
  };
}

/** The entries a task stands for. */
function bodiesOf(study: Study, { task, made }: BenchRequest): readonly EntryBody[] {
  switch (task.kind) {
    case "coupon": {
      const { kind: _, ...record } = task;
      const day = dayOfLogging({ study, coupon: task.coupon, now: new Date(made) });
      return [{ kind: "logged", ...record, values: { ...day, ...task.values } }];
    }
    case "correction": {
      const { kind: _, coupon, ...change } = task;
      return [correctionOf(study, coupon, change)];
    }
    case "undo":
      requireNumbersOf(study, made, task);
      return undone(study, task).map((entry) => ({
        kind: "voided",
        entry,
        reason: "taken back at the bench",
      }));
    case "change": {
      const { note, ...change } = task;
      return [{ ...change, ...onlyDefined({ detail: note }) }];
    }
    case "photo":
      return [];
    default:
      return [task];
  }
}

/** A merge of copies numbers entries anew: a number seen before it is another entry's now. */
function requireNumbersOf(
  { merges = [] }: Study,
  made: string,
  { entry }: Extract<BenchTask, { readonly kind: "undo" }>,
): void {
  requireThat(
    entry === undefined || !merges.some(({ time }) => Date.parse(time) > Date.parse(made)),
    "another copy of the study was merged since, and entries have other numbers: look at the coupon and take it back again",
  );
}

/** The entries to take back: those of a request, or one; what corrects or takes back is mended by another correction. */
function undone(
  study: Study,
  { request, entry }: Extract<BenchTask, { readonly kind: "undo" }>,
): readonly number[] {
  const found = study.entries.filter(({ seq, request: own }) =>
    request === undefined ? seq === entry : own === request,
  );
  const open = found.filter(({ kind }) => kind !== "corrected" && kind !== "voided");
  if (open.length > 0) return open.map(({ seq }) => seq);
  throw new BeadbenchError(
    "not-found",
    found.length === 0
      ? "what was to be taken back is not in the journal"
      : "a correction is not taken back: correct the value once more",
  );
}

function photoBody({
  study,
  request: { id, task, photoNote },
  photo: { bytes, extension },
}: {
  readonly study: Study;
  readonly request: BenchRequest;
  readonly photo: SentPhoto;
}): AttachedBody {
  const coupon = "coupon" in task ? task.coupon : undefined;
  const note = photoNote ?? (task.kind === "photo" ? task.note : undefined);
  const stem = (coupon ?? "study").replaceAll(/[^A-Za-z0-9_-]+/g, "-");
  const name = `${stem}-${id.replaceAll(/[^A-Za-z0-9]+/g, "").slice(0, 8)}${extension}`;
  return { kind: "attached", ...keepFile(study, name, bytes), ...onlyDefined({ coupon, note }) };
}

/** Entries carry the time they were written at; one made long before says so. */
function lateNote({ made, task }: BenchRequest, now: Date): readonly NoteBody[] {
  const time = new Date(made);
  if (!(now.getTime() - time.getTime() > LATE_MS)) return [];
  const coupon = "coupon" in task ? task.coupon : undefined;
  const text = `Made at the bench at ${time.toISOString()} by the clock of the phone, and sent when there was a connection again.`;
  return [{ kind: "note", text, ...onlyDefined({ coupon }) }];
}

/** Why a request was not written, value by value where the journal's checks say it. */
export function refusalFrom(error: BeadbenchError): BenchRefusal {
  const { issues = [] } = error.details;
  const fault = ({ column, message }: Issue): BenchFault => ({ message, ...onlyDefined({ column }) });
  return {
    message: issues.length === 0 ? error.message : "Nothing was logged: mend what is marked.",
    faults: issues.map(fault),
    later: error.code === "locked",
  };
}
