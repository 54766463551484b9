import type { Affine } from "./affine.js";

/** What a hidden quantity is: a size that physics speaks of, or one response on a scale of its own. */
export type LatentRole = "width" | "fullness" | "width-and-fullness" | "metal-kept" | "response";

/** A positive number expected before any coupon, by its median and the standard deviation of its logarithm. */
export interface LogNormal {
  readonly median: number;
  readonly logSd: number;
}

/** What is expected of a hidden quantity before any coupon: an affine function, known so well. */
export interface LatentPrior {
  readonly role: LatentRole;
  /** What results call it; for the role "response" the response's name. */
  readonly name: string;
  readonly mean: Affine;
  readonly constantSd: number;
  /** Standard deviation of the slope along each axis. */
  readonly slopeSds: readonly number[];
  /** Scatter from coupon to coupon. */
  readonly scatter: LogNormal;
  /** Size of a departure from the straight law. */
  readonly departure: LogNormal;
  /** Standard deviation from block to block. */
  readonly block: LogNormal;
  /** Size of the change from the first to the last coupon of a block. */
  readonly trend: LogNormal;
  /** Standard deviation of the shift of an older study. */
  readonly shiftSd: number;
}

/** Whether two hidden quantities, of two studies, are the same one. */
export function sameLatent(one: LatentPrior, other: LatentPrior): boolean {
  return one.role === other.role && (one.role !== "response" || one.name === other.name);
}
