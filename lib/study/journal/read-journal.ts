import { onlyDefined } from "../../errors/index.js";
import { isEntryBody } from "./body-shape.js";
import { type Entry, entryHash, NO_ENTRY } from "./journal-entry.js";

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
  readonly text: string;
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
  const entries: Entry[] = [];
  let before = { seq: 0, hash: NO_ENTRY };
  let gap = 0;
  for (const line of whole) {
    const { number, json } = line;
    if (json === undefined || typeof json.seq !== "number" || typeof json.hash !== "string") {
      faults.push({
        line: number,
        code: "unreadable",
        message: `line ${number} is not a journal entry; it is not used`,
      });
      gap += 1;
      continue;
    }
    const { seq, hash, prev } = json as { seq: number; hash: string; prev: unknown };
    const fault = (code: JournalFault["code"], message: string): void => {
      faults.push({ line: number, seq, code, message: `line ${number}, entry ${seq}: ${message}` });
    };
    const expected = before.seq + 1 + gap;
    if (seq !== expected) fault("sequence", sequenceMessage(seq, expected));
    else if (gap === 0 && prev !== before.hash) {
      fault("chain", "does not follow from the line before: a line was replaced or taken out");
    }
    if (entryHash(json) !== hash) {
      fault("changed", "was changed after it was written (its hash does not match); it is not used");
    } else if (isEntryBody(bodyOf(json))) entries.push(json as unknown as Entry);
    else fault("not-an-entry", `is of no kind this version knows (${String(json.kind)}); it is not used`);
    before = { seq, hash };
    gap = 0;
  }
  const last = before.seq === 0 ? {} : { last: before };
  return { entries, faults, ...last, wholeBytes, ...onlyDefined({ torn }) };
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
    const text = buffer.subarray(start, at).toString("utf8");
    const json = parseObject(text);
    lines.push({ number: lines.length + 1, end: at + 1, text, ...onlyDefined({ json }) });
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

/** Leaves out an unreadable end and a batch whose last lines are missing. */
function wholeLines(lines: readonly Line[]): readonly Line[] {
  let count = lines.length;
  while (count > 0 && lines[count - 1]!.json === undefined) count -= 1;
  const { seq, batchEnd } = lines[count - 1]?.json ?? {};
  if (typeof batchEnd === "number" && typeof seq === "number" && seq < batchEnd) {
    while (count > 0 && lines[count - 1]!.json?.batchEnd === batchEnd) count -= 1;
  }
  return lines.slice(0, count);
}
