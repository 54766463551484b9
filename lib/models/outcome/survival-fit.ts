import type { RandomStream } from "../../numeric/index.js";
import type { Margin } from "./margins.js";

/** One coupon as a check saw it. */
export interface CheckedPoint {
  readonly point: Float64Array;
  readonly passed: boolean;
  /** How much it counts; 1 unless it comes from an older study. */
  readonly weight: number;
}

/**
 * One posterior draw of a check's failure boundary. A coupon passes with chance
 * `(1 - lapse) * product over margins of 1 / (1 + exp(-margin / softness))`, each margin affine on the axes.
 */
export interface BoundaryDraw {
  readonly constants: readonly number[];
  /** Row per margin: slope of (margin / softness) along each axis. */
  readonly slopes: readonly number[];
  readonly lapse: number;
}

/** Log-normal prior of a margin's softness, and of the share of coupons that fail for no reason. */
const SOFTNESS = { median: 0.035, spread: 0.75 } as const;
const LAPSE = { median: 0.01, spread: 0.7 } as const;
/** A threshold may lie much further out than expected: many ways to fail never show on a given rig. */
const OUTWARD = 3;
/** A coupon beyond a boundary may pass all the same; keeps one odd coupon from ruling a boundary out. */
const LUCK = 0.01;

interface Layout {
  readonly margins: readonly Margin[];
  readonly axes: number;
  readonly stride: number;
  readonly size: number;
}

/** Standard normal parameters: per margin threshold, slopes, softness; last the lapse. */
function layoutOf(margins: readonly Margin[], axes: number): Layout {
  const stride = axes + 2;
  return { margins, axes, stride, size: margins.length * stride + 1 };
}

interface Boundary {
  readonly constants: Float64Array;
  readonly slopes: Float64Array;
  lapse: number;
}

function decode(layout: Layout, z: Float64Array, into: Boundary): void {
  const { margins, axes, stride } = layout;
  margins.forEach((margin, k) => {
    const at = k * stride;
    const softness = SOFTNESS.median * Math.exp(SOFTNESS.spread * z[at + 1 + axes]!);
    const factor = margin.side / softness;
    const shift = margin.side * (z[at]! > 0 ? OUTWARD * z[at]! : z[at]!);
    into.constants[k] = factor * (margin.threshold + margin.thresholdSd * shift - margin.quantity.constant);
    for (let j = 0; j < axes; j++) {
      into.slopes[k * axes + j] =
        -factor * (margin.quantity.slopes[j]! + margin.slopeSds[j]! * z[at + 1 + j]!);
    }
  });
  into.lapse = LAPSE.median * Math.exp(LAPSE.spread * z[layout.size - 1]!);
  if (into.lapse > 0.3) into.lapse = 0.3;
}

/** Chance that a check passes at a point, for one boundary. */
export function passChance(
  constants: Float64Array,
  slopes: Float64Array,
  lapse: number,
  point: Float64Array,
): number {
  const axes = point.length;
  let product = 1;
  let at = 0;
  for (let k = 0; k < constants.length; k++) {
    let margin = constants[k]!;
    for (let j = 0; j < axes; j++) margin += slopes[at + j]! * point[j]!;
    at += axes;
    // Beyond these a margin changes the chance by less than one in a thousand.
    if (margin < 7) {
      if (margin < -9) return 0;
      product *= 1 + Math.exp(-margin);
    }
  }
  return (1 - lapse) / product;
}

function logLikelihood(boundary: Boundary, data: readonly CheckedPoint[]): number {
  let sum = 0;
  for (const { point, passed, weight } of data) {
    const chance =
      LUCK + (1 - 2 * LUCK) * passChance(boundary.constants, boundary.slopes, boundary.lapse, point);
    sum += weight * Math.log(passed ? chance : 1 - chance);
  }
  return sum;
}

/**
 * Draws failure boundaries from their posterior by elliptical slice sampling (Murray, Adams and MacKay
 * 2010): no tuning, exact for normal priors.
 *
 * @param draws - boundaries to return
 */
export function drawBoundaries(
  margins: readonly Margin[],
  axes: number,
  data: readonly CheckedPoint[],
  draws: number,
  stream: RandomStream,
): readonly BoundaryDraw[] {
  const layout = layoutOf(margins, axes);
  const { size } = layout;
  const boundary: Boundary = {
    constants: new Float64Array(margins.length),
    slopes: new Float64Array(margins.length * axes),
    lapse: 0,
  };
  const likelihood = (z: Float64Array): number => {
    decode(layout, z, boundary);
    return logLikelihood(boundary, data);
  };
  const thin = data.length === 0 ? 1 : 20 + Math.ceil(data.length / 5);
  const burn = data.length === 0 ? 0 : 500 + 5 * data.length;
  let z = Float64Array.from({ length: size }, () => stream.normal());
  let level = likelihood(z);
  const other = new Float64Array(size);
  let trial = new Float64Array(size);
  const result: BoundaryDraw[] = [];
  for (let step = 1; result.length < draws; step++) {
    for (let i = 0; i < size; i++) other[i] = stream.normal();
    const height = level + Math.log(1 - stream.uniform());
    let angle = 2 * Math.PI * stream.uniform();
    let low = angle - 2 * Math.PI;
    let high = angle;
    for (;;) {
      const c = Math.cos(angle);
      const s = Math.sin(angle);
      for (let i = 0; i < size; i++) trial[i] = c * z[i]! + s * other[i]!;
      const value = likelihood(trial);
      if (value > height || Math.abs(high - low) < 1e-9) {
        [z, trial] = [trial, z];
        level = value;
        break;
      }
      if (angle < 0) low = angle;
      else high = angle;
      angle = low + (high - low) * stream.uniform();
    }
    if (step > burn && (step - burn) % thin === 0) {
      decode(layout, z, boundary);
      result.push({
        constants: Array.from(boundary.constants),
        slopes: Array.from(boundary.slopes),
        lapse: boundary.lapse,
      });
    }
  }
  return result;
}
