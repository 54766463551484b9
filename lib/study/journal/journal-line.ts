import type { EntrySeal } from "./journal-entry.js";

/** A line of a journal that carries its own hash, whatever it says. */
export type SealedLine = EntrySeal & Readonly<Record<string, unknown>>;

/**
 * A line of another copy of the study, kept word for word: it is held to its own hash and to the line it followed there. Its
 * number is its place in this journal; the hashes of this journal run past it, to the merge that names it.
 */
export interface CarriedLine {
  readonly seq: number;
  readonly carried: SealedLine;
}

/** What a merge says: which lines of another copy stand before it, and how far that copy had come. */
export interface MergedBody {
  readonly kind: "merged";
  /** Hash of the last line of the other copy. */
  readonly tip: string;
  /** Hashes of the lines carried, which stand right before this one, in their order. */
  readonly brought: readonly string[];
  /** The other copy's study.json, where it differed and was set aside among the attachments. */
  readonly definition?: { readonly file: string; readonly sha256: string };
}

/** A merge as it stands in a journal. */
export type MergeLine = MergedBody & EntrySeal;

export function isMergeLine(line: object): line is MergeLine {
  const { kind, tip, brought } = line as Partial<MergeLine>;
  return (
    kind === "merged" &&
    typeof tip === "string" &&
    Array.isArray(brought) &&
    brought.every((hash) => typeof hash === "string")
  );
}

/** Whether a line has number, time and hashes; nothing is said of whether they are right. */
export function isSealed(json: unknown): json is SealedLine {
  if (json === null || typeof json !== "object") return false;
  const { seq, time, prev, hash } = json as Partial<SealedLine>;
  return (
    Number.isSafeInteger(seq) &&
    typeof time === "string" &&
    typeof prev === "string" &&
    typeof hash === "string"
  );
}

export function isCarried(json: object): json is CarriedLine {
  const { seq, carried } = json as Partial<CarriedLine>;
  return Number.isSafeInteger(seq) && isSealed(carried);
}
