import { requireCount, requireNumber, requireThat } from "../../errors/index.js";
import { chiSquareCdf, findRoot, scaleUntil } from "../../numeric/index.js";

/** Events counted attempt by attempt, where it is not known when in an attempt they happened. */
export interface CountedAttempts {
  /** Cumulative running at the end of each attempt, growing, above 0. */
  readonly ends: readonly number[];
  /** Events of each attempt. */
  readonly counts: readonly number[];
}

/** A power-law process from counts. */
export interface GroupedGrowth {
  readonly events: number;
  readonly end: number;
  readonly shape: number;
  readonly scale: number;
  /** Running per event at the end of the record. */
  readonly meanBetween: number;
  /** Pearson's chi-square against the counts expected; null where attempts are too few to test. */
  readonly fit: { readonly chiSquare: number; readonly degrees: number; readonly p: number } | null;
}

/**
 * Fits a power-law process to counts per attempt by maximum likelihood.
 *
 * @throws {BeadbenchError} `bad-argument` for ends that do not grow, broken counts, fewer than two attempts or no event
 * @source MIL-HDBK-189, appendix C, grouped data
 * @example fitGroupedGrowth({ ends: [20, 40, 60, 80, 100], counts: [13, 16, 5, 8, 7] }).shape // => 0.752851
 */
export function fitGroupedGrowth({ ends, counts }: CountedAttempts): GroupedGrowth {
  requireThat(
    ends.length === counts.length && ends.length > 1,
    `give two attempts or more and a count for each, got ${ends.length} ends and ${counts.length} counts`,
  );
  ends.forEach((end, i) => {
    requireNumber(`running at the end of attempt ${i + 1}`, end, { above: ends[i - 1] ?? 0 });
    requireCount(`events of attempt ${i + 1}`, counts[i]!, { min: 0 });
  });
  const events = counts.reduce((sum, count) => sum + count, 0);
  requireThat(events > 0, "growth needs at least one event: give the bound of the rate instead");
  const end = ends.at(-1)!;
  const score = (shape: number): number => {
    const powers = [0, ...ends.map((t) => (t / end) ** shape)];
    const slopes = [0, ...ends.map((t, i) => powers[i + 1]! * Math.log(t / end))];
    return counts.reduce(
      (sum, count, i) => sum + (count * (slopes[i + 1]! - slopes[i]!)) / (powers[i + 1]! - powers[i]!),
      0,
    );
  };
  requireThat(
    counts.slice(0, -1).some((count) => count > 0) && counts.slice(1).some((count) => count > 0),
    "all events lie in the first or in the last attempt: counts alone cannot tell how the rate changes",
  );
  const lower = scaleUntil({ what: "shape", x: 1, factor: 0.5, holds: (x) => score(x) > 0 });
  const upper = scaleUntil({ what: "shape", x: 1, factor: 2, holds: (x) => score(x) < 0 });
  const shape = findRoot({ f: score, lower, upper }).x;
  const expected = ends.map((t, i) => events * ((t / end) ** shape - ((ends[i - 1] ?? 0) / end) ** shape));
  const degrees = ends.length - 2;
  const chiSquare = expected.reduce((sum, e, i) => sum + (counts[i]! - e) ** 2 / e, 0);
  return {
    events,
    end,
    shape,
    scale: events / end ** shape,
    meanBetween: end / (events * shape),
    fit: degrees < 1 ? null : { chiSquare, degrees, p: 1 - chiSquareCdf(chiSquare, degrees) },
  };
}
