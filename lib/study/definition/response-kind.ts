/** What follows from the kind of a response alone, wherever it is written down. */
export interface KindRules {
  /** What its cells hold. */
  readonly cells: "numbers" | "verdicts";
  /** Whether it has a unit of its own; else its unit is 1. */
  readonly ownUnit: boolean;
  /** Whether it may be read at several stations along one bead. */
  readonly stations: boolean;
  /** Whether it may have the scale "log". */
  readonly logScale: boolean;
  /** Whether it may have a specification; passing needs none. */
  readonly spec: boolean;
}

/**
 * The kinds of response. A new kind is a row here; the compiler then leads to its result (record/result), to what
 * the models make of it (models/physical/response-role) and to every place that tells kinds apart.
 */
export const responseKinds = {
  /** A size or other quantity with a unit. */
  measured: { cells: "numbers", ownUnit: true, stations: true, logScale: true, spec: true },
  /** A verdict; true is good. */
  passFail: { cells: "verdicts", ownUnit: false, stations: false, logScale: false, spec: false },
  /** A number given by eye, more is better. */
  grade: { cells: "numbers", ownUnit: false, stations: false, logScale: false, spec: true },
} as const satisfies Readonly<Record<string, KindRules>>;

/** How a response is told: a number with a unit, a verdict of yes or no, or a grade. The table above holds what follows. */
export type ResponseKind = keyof typeof responseKinds;

/** The rules of a kind. */
export const kindRules = (kind: ResponseKind): KindRules => responseKinds[kind];
