import { isNestedTooDeep, onlyDefined, shownValue } from "../../errors/index.js";
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
  /** Whether the last entry lacks the end of its line, which an editor or a copy left out. */
  readonly unended: boolean;
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
  const parsed = parseLines(buffer);
  const whole = parsed.lines.slice(0, wholeLines(parsed));
  const leftOut = parsed.lines.length - whole.length;
  const unended = parsed.unended && leftOut === 0;
  const wholeBytes = unended ? buffer.length : endBefore(buffer, leftOut - (parsed.unended ? 1 : 0));
  const torn = wholeBytes < buffer.length ? buffer.toString("utf8", wholeBytes) : undefined;
  const faults: JournalFault[] = [];
  const sound: SealedLine[] = [];
  const places = new Map<string, number>();
  let before = { seq: 0, hash: NO_ENTRY };
  let gap = 0;
  let carried: string[] = [];
  for (let number = 1; number <= whole.length; number++) {
    const json = whole[number - 1];
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
    // Where a line before it is lost, that may have been the merge which names them.
    if (!carries && (merge !== undefined || gap === 0) && (merge?.brought ?? []).join() !== carried.join())
      fault("chain", "the lines of another copy before it are not those that were merged");
    if (entryHash(line) !== hash) {
      fault("changed", "was changed after it was written (its hash does not match); it is not used");
    } else if (typeof line.time === "string" && (isMergeLine(line) || isEntryBody(bodyOf(line)))) {
      sound.push(line as SealedLine);
      places.set(hash, seq);
    } else fault("not-an-entry", `${kindFault(line.kind)}; it is not used`);
    if (carries) carried.push(hash);
    else carried = [];
    before = { seq, hash: carries ? before.hash : hash };
    gap = 0;
  }
  const seq = before.seq + gap;
  const last = seq === 0 ? {} : { last: { seq, hash: before.hash } };
  return {
    ...recordOf(sound, places, faults),
    faults,
    ...last,
    wholeBytes,
    unended,
    ...onlyDefined({ torn }),
  };
}

/** What sound lines say; those of a journal with merges as one record of all copies. */
function recordOf(
  sound: readonly SealedLine[],
  places: ReadonlyMap<string, number>,
  faults: JournalFault[],
): Pick<JournalReading, "entries" | "lines" | "merged"> {
  // Lines of another copy have numbers of their own there, also where their merge is lost.
  const isApart = (line: SealedLine): boolean => isMergeLine(line) || places.get(line.hash) !== line.seq;
  if (!sound.some(isApart)) return { entries: sound as unknown as readonly Entry[], lines: sound };
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

/** The entries in a text that are whole and sound by themselves, wherever they stand in it. */
export function soundEntries(text: string): readonly Entry[] {
  return text.split("\n").flatMap((part) => {
    const line = parseObject(part);
    return line !== undefined && entryHash(line) === line.hash && isEntryBody(bodyOf(line))
      ? [line as unknown as Entry]
      : [];
  });
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

interface Parsed {
  readonly lines: readonly Line[];
  /** Which of the unreadable ones have zeros in them, as parts of a write that the power left out read. */
  readonly holed: ReadonlySet<number>;
  /** Whether the last one is a sound entry that lacks nothing but the end of its line. */
  readonly unended: boolean;
}

function parseLines(buffer: Buffer): Parsed {
  const lines: Line[] = [];
  const holed = new Set<number>();
  const add = (text: string): void => {
    const line = parseObject(lines.length === 0 ? text.replace(BYTE_ORDER_MARK, "") : text);
    if (line === undefined && text.includes("\0")) holed.add(lines.length);
    lines.push(line);
  };
  let start = 0;
  while (start < buffer.length) {
    const near = buffer.lastIndexOf(NEWLINE, start + BLOCK);
    const end = near >= start ? near : buffer.indexOf(NEWLINE, start);
    if (end < 0) break;
    for (const text of buffer.toString("utf8", start, end).split("\n")) add(text);
    start = end + 1;
  }
  const rest = parseObject(buffer.toString("utf8", start));
  const unended = rest !== undefined && entryHash(rest) === rest.hash && completes(rest, lines);
  if (unended) lines.push(rest);
  return { lines, holed, unended };
}

/** Whether the lines before the last of a group are all that was written with it. */
function completes(last: Readonly<Record<string, unknown>>, before: readonly Line[]): boolean {
  if (isMergeLine(last)) {
    const carried = before.slice(before.length - last.brought.length);
    return last.brought.every((hash, i) => {
      const line = carried[i];
      return line !== undefined && isCarried(line) && line.carried.hash === hash;
    });
  }
  if (last.batchEnd === undefined) return true;
  const at = before.findLastIndex((line) => line?.batchEnd !== last.batchEnd);
  return at < 0 || before[at] !== undefined;
}

/** Some editors begin a file with it. */
const BYTE_ORDER_MARK = /^\uFEFF/;
const NEWLINE = 10;

/** Byte offset after the last line that ends, leaving out so many of those. */
function endBefore(buffer: Buffer, leftOut: number): number {
  let end = buffer.length;
  for (let left = leftOut; left >= 0; left--) {
    if (end === 0) return 0;
    end = buffer.lastIndexOf(NEWLINE, end - 1);
    if (end < 0) return 0;
  }
  return end + 1;
}

const kindFault = (kind: unknown): string =>
  kind === undefined ? "says nothing of its kind" : `is of no kind this version knows (${shownValue(kind)})`;

function parseObject(text: string): Line {
  if (isNestedTooDeep(text)) return undefined;
  try {
    const json: unknown = JSON.parse(text);
    return json !== null && typeof json === "object" && !Array.isArray(json)
      ? (json as Record<string, unknown>)
      : undefined;
  } catch {
    return undefined;
  }
}

/**
 * How many lines are whole: not lines with holes at the end, lines of another copy without their merge, or a batch whose last
 * lines are missing. An end that is unreadable without a hole was written whole once: it is damage, and stays to be told.
 */
function wholeLines({ lines, holed }: Parsed): number {
  let count = lines.length;
  const isUnfinished = (at: number): boolean => {
    const line = lines[at];
    return line === undefined ? holed.has(at) : isCarried(line);
  };
  while (count > 0 && isUnfinished(count - 1)) count -= 1;
  const { seq, batchEnd } = lines[count - 1] ?? {};
  if (typeof batchEnd === "number" && typeof seq === "number" && seq < batchEnd) {
    while (count > 0 && (lines[count - 1]?.batchEnd === batchEnd || holed.has(count - 1))) count -= 1;
  }
  return count;
}
