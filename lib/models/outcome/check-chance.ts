import type { BoundaryDraw } from "./boundary.js";
import type { Coordinate } from "./coordinates.js";

/** Settings held exactly. */
export const EXACT = new Float64Array(0);

/**
 * Chances that a check is passed, made ready for many points.
 *
 * `variances` are those of what the rig holds along each axis about a point, or {@link EXACT}.
 */
export interface CheckChance {
  /** Averaged over the draws. */
  readonly average: (point: Float64Array, variances: Float64Array) => number;
  /** If draw `m` were the truth. */
  readonly draw: (m: number, point: Float64Array, variances: Float64Array) => number;
}

/** Margins of all draws in one piece, each a constant and its slopes; draw `m` holds those from `starts[m]` on. */
interface Compiled {
  readonly lines: Float64Array;
  readonly starts: Int32Array;
}

/** A margin beyond this changes the chance by less than one in a thousand, and below -LOST nothing is left. */
const SAFE = 7;
const LOST = 9;
/** The same for margins of settings held loosely. */
const SAFE_LOOSE = 2 * SAFE;

/**
 * Makes a check ready for many points. A logistic curve averaged over a normal error of variance V is near
 * enough one that is sqrt(1 + pi V / 8) times flatter: within 0.02. Within the factor ranges the margins that
 * no setting there comes near are left out.
 *
 * @source D. J. C. MacKay, The evidence framework applied to classification networks, Neural Comput. 4 (1992) 720
 */
export function makeCheckChance(
  draws: readonly BoundaryDraw[],
  coordinates: readonly Coordinate[],
): CheckChance {
  const axes = coordinates.length;
  const width = 1 + axes;
  const count = draws.length;
  const reach = coordinates.map(({ half }) => half * (1 + 1e-9));
  const sound = Float64Array.from(draws, ({ lapse }) => 1 - lapse);
  const compile = (most: number): Compiled => {
    const lines: number[] = [];
    const starts = [0];
    for (const { constants, slopes } of draws) {
      const own = constants.map((constant, k) => {
        const line = [constant, ...slopes.slice(k * axes, (k + 1) * axes)];
        const least = reach.reduce((sum, half, j) => sum - half * Math.abs(line[1 + j]!), constant);
        return { line, least };
      });
      // Margins that bind most come first: where a coupon is lost, the others need no look.
      own.sort((one, two) => one.least - two.least);
      for (const { line, least } of own) if (least < most) lines.push(...line);
      starts.push(lines.length);
    }
    return { lines: Float64Array.from(lines), starts: Int32Array.from(starts) };
  };
  const everywhere = compile(Number.POSITIVE_INFINITY);
  const within = compile(coordinates.some(({ settingSd }) => settingSd > 0) ? SAFE_LOOSE : SAFE);
  const compiledAt = (point: Float64Array): Compiled => {
    for (let j = 0; j < axes; j++) if (Math.abs(point[j]!) > reach[j]!) return everywhere;
    return within;
  };
  const chance = ({
    compiled: { lines, starts },
    m,
    point,
    variances,
  }: {
    readonly compiled: Compiled;
    readonly m: number;
    readonly point: Float64Array;
    readonly variances: Float64Array;
  }) => {
    let product = 1;
    for (let at = starts[m]!; at < starts[m + 1]!; at += width) {
      let margin = lines[at]!;
      for (let j = 0; j < axes; j++) margin += lines[at + 1 + j]! * point[j]!;
      if (variances.length > 0 && margin < SAFE_LOOSE) {
        let variance = 0;
        for (let j = 0; j < axes; j++) variance += lines[at + 1 + j]! ** 2 * variances[j]!;
        margin /= Math.sqrt(1 + (Math.PI / 8) * variance);
      }
      if (margin < SAFE) {
        if (margin < -LOST) return 0;
        product *= 1 + Math.exp(-margin);
      }
    }
    return sound[m]! / product;
  };
  return {
    average(point, variances) {
      const compiled = compiledAt(point);
      let sum = 0;
      for (let m = 0; m < count; m++) sum += chance({ compiled, m, point, variances });
      return sum / count;
    },
    draw: (m, point, variances) => chance({ compiled: compiledAt(point), m, point, variances }),
  };
}
