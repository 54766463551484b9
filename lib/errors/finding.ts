/**
 * Something a result has to say about itself: statistical trouble, a physical implausibility, a caution.
 * Findings travel inside results, so that an answer can still be given.
 */
export interface Finding {
  /** Stable kebab-case name, for programs and tests. */
  readonly code: string;
  readonly severity: "info" | "warning" | "error";
  /** What was seen, with its numbers, in a sentence a fabricator understands. */
  readonly message: string;
  /** What to do about it. */
  readonly advice?: string;
  /** Coupons, factors or responses concerned. */
  readonly about?: readonly string[];
}
