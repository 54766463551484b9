import { onlyDefined } from "../../errors/index.js";
import { isEntryBody } from "./body-shape.js";
import { History } from "./history.js";
import { type Entry, entryHash, NO_ENTRY } from "./journal-entry.js";
import { isCarried, isMergeLine, type SealedLine } from "./journal-line.js";
import { type MergedEntries, mergedEntries } from "./merged-entries.js";

/** Damage or tampering at one place of a journal. */
export interface JournalFault {
  /** 1-based line of journal.jsonl. */
  readonly line: number;
  /** `seq` of the entry, where it could be read. */
  readonly seq?: number;
  readonly code: "unreadable" | "changed" | "sequence" | "chain" | "not-an-entry";
  readonly message: string;
}

/** A journal as read; `entries` holds only those whose content matches their hash. */
export interface JournalReading {
  readonly entries: readonly Entry[];
  /** The sound lines as written, merges and lines of other copies among them. */
  readonly lines: readonly SealedLine[];
  /** Present where other copies were merged into it. */
  readonly merged?: MergedEntries;
  readonly faults: readonly JournalFault[];
  /** The last line that carries a seq and a hash, to chain to. */
  readonly last?: { readonly seq: number; readonly hash: string };
  /** Bytes up to the end of the last whole entry or batch. */
  readonly wholeBytes: number;
  /** What follows them: a line cut off while it was written, or a batch cut off between lines. */
  readonly torn?: string;
}

interface Line {
  readonly number: number;
  /** Byte offset of its end, newline included. */
  readonly end: number;
  readonly json?: Record<string, unknown>;
}

/**
 * Reads and checks a journal: every line against its hash, its number and the hash of the line before.
 * Nothing is thrown: faults are located and the sound entries returned.
 */
export function readJournal(bytes: Uint8Array): JournalReading {
  const lines = splitLines(bytes);
  const whole = wholeLines(lines);
  const wholeBytes = whole.at(-1)?.end ?? 0;
  const torn =
    wholeBytes < bytes.length ? Buffer.from(bytes.subarray(wholeBytes)).toString("utf8") : undefined;
  const faults: JournalFault[] = [];
  const sound: SealedLine[] = [];
  const places = new Map<string, number>();
  let before = { seq: 0, hash: NO_ENTRY };
  let gap = 0;
  let carried: string[] = [];
  for (const { number, json } of whole) {
    const carries = json !== undefined && isCarried(json);
    const line = carries ? json.carried : json;
    if (json === undefined || typeof json.seq !== "number" || typeof line?.hash !== "string") {
      faults.push({
        line: number,
        code: "unreadable",
        message: `line ${number} is not a journal entry; it is not used`,
      });
      gap += 1;
      continue;
    }
    const { seq } = json;
    const { hash, prev } = line as { hash: string; prev: unknown };
    const fault = (code: JournalFault["code"], message: string): void => {
      faults.push({ line: number, seq, code, message: `line ${number}, entry ${seq}: ${message}` });
    };
    const expected = before.seq + 1 + gap;
    if (seq !== expected) fault("sequence", sequenceMessage(seq, expected));
    else if (!carries && gap === 0 && prev !== before.hash) {
      fault("chain", "does not follow from the line before: a line was replaced or taken out");
    }
    const merge = !carries && isMergeLine(line) ? line : undefined;
    if (!carries && (merge?.brought ?? []).join() !== carried.join())
      fault("chain", "the lines of another copy before it are not those that were merged");
    if (entryHash(line) !== hash) {
      fault("changed", "was changed after it was written (its hash does not match); it is not used");
    } else if (isMergeLine(line) || isEntryBody(bodyOf(line))) {
      sound.push(line as SealedLine);
      places.set(hash, seq);
    } else fault("not-an-entry", `is of no kind this version knows (${String(line.kind)}); it is not used`);
    if (carries) carried.push(hash);
    else carried = [];
    before = { seq, hash: carries ? before.hash : hash };
    gap = 0;
  }
  const last = before.seq === 0 ? {} : { last: before };
  return { ...recordOf(sound, places, faults), faults, ...last, wholeBytes, ...onlyDefined({ torn }) };
}

/** What sound lines say; those of a journal with merges as one record of all copies. */
function recordOf(
  sound: readonly SealedLine[],
  places: ReadonlyMap<string, number>,
  faults: JournalFault[],
): Pick<JournalReading, "entries" | "lines" | "merged"> {
  if (!sound.some(isMergeLine)) return { entries: sound as unknown as readonly Entry[], lines: sound };
  const history = new History();
  let before: SealedLine | undefined;
  for (const line of sound) {
    const whole = history.add(line, before && history.find(before.hash));
    before = line;
    const seq = places.get(line.hash)!;
    // Where something is damaged already, what follows it tells nothing new.
    if (whole || faults.length > 0) continue;
    faults.push({
      line: seq,
      seq,
      code: "chain",
      message: `entry ${seq}: what it follows in the copy it came from is missing`,
    });
  }
  const merged = mergedEntries(history, places);
  return { entries: merged.entries, lines: sound, merged };
}

function sequenceMessage(seq: number, expected: number): string {
  if (seq < expected) return `comes after entry ${expected - 1}: a line was repeated or moved`;
  const missing = seq - expected === 1 ? `entry ${expected} is` : `entries ${expected} to ${seq - 1} are`;
  return `${missing} missing before it`;
}

function bodyOf(json: Record<string, unknown>): Record<string, unknown> {
  const {
    seq: _seq,
    time: _time,
    batchEnd: _end,
    request: _request,
    prev: _prev,
    hash: _hash,
    ...body
  } = json;
  return body;
}

function splitLines(bytes: Uint8Array): readonly Line[] {
  const buffer = Buffer.from(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const lines: Line[] = [];
  for (let start = 0; start < buffer.length; ) {
    const at = buffer.indexOf(10, start);
    if (at < 0) break;
    const json = parseObject(buffer.toString("utf8", start, at));
    const place = { number: lines.length + 1, end: at + 1 };
    lines.push(json === undefined ? place : { ...place, json });
    start = at + 1;
  }
  return lines;
}

function parseObject(text: string): Record<string, unknown> | undefined {
  try {
    const json: unknown = JSON.parse(text);
    return json !== null && typeof json === "object" && !Array.isArray(json)
      ? (json as Record<string, unknown>)
      : undefined;
  } catch {
    return undefined;
  }
}

/** Leaves out an unreadable end, lines of another copy without their merge, and a batch whose last lines are missing. */
function wholeLines(lines: readonly Line[]): readonly Line[] {
  let count = lines.length;
  const unfinished = ({ json }: Line): boolean => json === undefined || isCarried(json);
  while (count > 0 && unfinished(lines[count - 1]!)) count -= 1;
  const { seq, batchEnd } = lines[count - 1]?.json ?? {};
  if (typeof batchEnd === "number" && typeof seq === "number" && seq < batchEnd) {
    while (count > 0 && lines[count - 1]!.json?.batchEnd === batchEnd) count -= 1;
  }
  return lines.slice(0, count);
}
