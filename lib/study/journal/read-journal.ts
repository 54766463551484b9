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

/** A line as parsed; undefined where it holds no object. */
type Line = Readonly<Record<string, unknown>> | undefined;

/**
 * Reads and checks a journal: every line against its hash, its number and the hash of the line before.
 * Nothing is thrown: faults are located and the sound entries returned.
 */
export function readJournal(bytes: Uint8Array): JournalReading {
  const buffer = Buffer.from(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const lines = parseLines(buffer);
  const whole = lines.slice(0, wholeLines(lines));
  const wholeBytes = endBefore(buffer, lines.length - whole.length);
  const torn = wholeBytes < buffer.length ? buffer.toString("utf8", wholeBytes) : undefined;
  const faults: JournalFault[] = [];
  const sound: SealedLine[] = [];
  const places = new Map<string, number>();
  let before = { seq: 0, hash: NO_ENTRY };
  let gap = 0;
  let carried: string[] = [];
  for (const [i, json] of whole.entries()) {
    const number = i + 1;
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

/** Bytes that are decoded at once: a text is shorter than 512 MB, a journal need not be. */
const BLOCK = 1 << 20;

function parseLines(buffer: Buffer): readonly Line[] {
  const lines: Line[] = [];
  for (let start = 0; ; ) {
    const near = buffer.lastIndexOf(NEWLINE, start + BLOCK);
    const end = near >= start ? near : buffer.indexOf(NEWLINE, start);
    if (end < 0) return lines;
    for (const text of buffer.toString("utf8", start, end).split("\n")) lines.push(parseObject(text));
    start = end + 1;
  }
}

const NEWLINE = 10;

/** Byte offset after the last whole line, leaving out so many. */
function endBefore(buffer: Buffer, leftOut: number): number {
  let end = buffer.length;
  for (let left = leftOut; left >= 0; left--) {
    if (end === 0) return 0;
    end = buffer.lastIndexOf(NEWLINE, end - 1);
    if (end < 0) return 0;
  }
  return end + 1;
}

function parseObject(text: string): Line {
  try {
    const json: unknown = JSON.parse(text);
    return json !== null && typeof json === "object" && !Array.isArray(json)
      ? (json as Record<string, unknown>)
      : undefined;
  } catch {
    return undefined;
  }
}

/** How many lines are whole: not an unreadable end, lines of another copy without their merge, or a batch whose last lines are missing. */
function wholeLines(lines: readonly Line[]): number {
  let count = lines.length;
  const unfinished = (line: Line): boolean => line === undefined || isCarried(line);
  while (count > 0 && unfinished(lines[count - 1])) count -= 1;
  const { seq, batchEnd } = lines[count - 1] ?? {};
  if (typeof batchEnd === "number" && typeof seq === "number" && seq < batchEnd) {
    while (count > 0 && lines[count - 1]?.batchEnd === batchEnd) count -= 1;
  }
  return count;
}
