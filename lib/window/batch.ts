import type { RandomStream } from "../numeric/index.js";
import { innerProduct } from "../numeric/index.js";

/** Chance of conformance of each candidate (row) under each posterior draw (column). */
export type DrawMatrix = readonly Float64Array[];

/**
 * Picks candidates that each are best under a few posterior draws averaged: what the coupons leave open
 * spreads the batch, what they have settled draws it together (Thompson sampling in groups).
 */
export function pickByDraws({
  matrix,
  count,
  groups,
  stream,
  usable,
}: {
  readonly matrix: DrawMatrix;
  readonly count: number;
  /** Draws averaged for each pick in turn: few explore, many exploit. */
  readonly groups: readonly number[];
  readonly stream: RandomStream;
  /** Whether a candidate may still be picked. */
  readonly usable: (candidate: number, picked: readonly number[]) => boolean;
}): readonly number[] {
  const draws = matrix[0]?.length ?? 0;
  const order = stream.shuffle(Array.from({ length: draws }, (_, m) => m));
  const picked: number[] = [];
  let used = 0;
  for (let k = 0; picked.length < count; k++) {
    const group = groups[k % groups.length]!;
    const members = Array.from({ length: group }, (_, g) => order[(used + g) % draws]!);
    used += group;
    const pick = argmax({
      rows: matrix,
      score: (row) => members.reduce((sum, m) => sum + row[m]!, 0),
      picked,
      usable,
    });
    if (pick === undefined) break;
    picked.push(pick);
  }
  return picked;
}

/**
 * Picks candidates one by one by a score of the mean and standard deviation of their chance over the draws,
 * the deviation being what the candidates picked before would leave of it.
 */
export function pickBySpread({
  matrix,
  count,
  score,
  usable,
}: {
  readonly matrix: DrawMatrix;
  readonly count: number;
  readonly score: (mean: number, sd: number) => number;
  readonly usable: (candidate: number, picked: readonly number[]) => boolean;
}): readonly number[] {
  const means = matrix.map((row) => row.reduce((sum, value) => sum + value, 0) / row.length);
  const left = matrix.map((row, i) => row.map((value) => value - means[i]!));
  const picked: number[] = [];
  // A coupon is one yes or no: it tells less than the chance itself would.
  const noise = matrix.map((row, i) => row.length * means[i]! * (1 - means[i]!));
  while (picked.length < count) {
    const pick = argmax({
      rows: left,
      score: (row, i) => score(means[i]!, norm(row) / Math.sqrt(row.length)),
      picked,
      usable,
    });
    if (pick === undefined) break;
    picked.push(pick);
    const direction = Float64Array.from(left[pick]!);
    const square = innerProduct(direction, direction) + noise[pick]!;
    if (square <= 0) continue;
    for (const row of left) {
      const share =
        (1 - Math.sqrt(noise[pick]! / square)) *
        (innerProduct(row, direction) / innerProduct(direction, direction) || 0);
      for (let m = 0; m < row.length; m++) row[m]! -= share * direction[m]!;
    }
  }
  return picked;
}

function argmax({
  rows,
  score,
  picked,
  usable,
}: {
  readonly rows: readonly Float64Array[];
  readonly score: (row: Float64Array, i: number) => number;
  readonly picked: readonly number[];
  readonly usable: (candidate: number, picked: readonly number[]) => boolean;
}): number | undefined {
  let best: number | undefined;
  let most = Number.NEGATIVE_INFINITY;
  rows.forEach((row, i) => {
    const value = score(row, i);
    if (value > most && !picked.includes(i) && usable(i, picked)) [best, most] = [i, value];
  });
  return best;
}

const norm = (row: Float64Array): number => Math.sqrt(innerProduct(row, row));
