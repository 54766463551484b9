import type { Finding } from "../../errors/index.js";
import type { ConvergedFit, FitStatus } from "../../regression/index.js";
import type { DecayForm } from "./decay-model.js";

/** One reading of a decay. */
export interface DecayReading {
  /** Since the decay began, at least 0. */
  readonly time: number;
  readonly value: number;
}

/** What decays, for checks and for words. */
export interface DecayKind {
  readonly scatter: DecayForm["scatter"];
  readonly quantity: string;
  readonly unit: string;
  readonly timeUnit: string;
  /** What the floor is, such as "the temperature of the surroundings". */
  readonly floorName: string;
  /** Value below which no floor can lie. */
  readonly lowestFloor?: number;
}

/** An estimate with its limits; null where the readings set none. */
export interface DecayRange {
  readonly estimate: number;
  readonly lower: number | null;
  readonly upper: number | null;
}

/** A decay that the readings determine. */
export interface FittedDecay {
  readonly status: "converged";
  readonly kind: DecayKind;
  readonly form: DecayForm;
  /** Value at time 0. */
  readonly start: DecayRange;
  readonly floor: DecayRange;
  readonly timeConstant: DecayRange;
  /** Standard deviation of a reading: in its unit, or as a share of it where scatter is proportional. */
  readonly readingSd: number;
  readonly level: number;
  readonly fit: ConvergedFit;
  readonly findings: readonly Finding[];
}

/** Readings that show no decay, or too little of it. */
export interface UnfittedDecay {
  readonly status: Exclude<FitStatus, "converged"> | "no-decay";
  readonly findings: readonly Finding[];
}

export type DecayFit = FittedDecay | UnfittedDecay;
