import type { RandomStream } from "./random.js";

/** The bracket loses half of its logarithm's unit a time on average: its end comes after some 50 times. */
const MOST_NARROWINGS = 1000;

/**
 * One step of elliptical slice sampling: draws from the posterior of parameters that are independent standard
 * normal before the data. No tuning, and never refused; the next value depends on the last.
 *
 * @returns log-likelihood of the next draw
 * @source I. Murray, R. P. Adams and D. J. C. MacKay, Elliptical slice sampling, J. Mach. Learn. Res. W&CP 9 (2010) 541
 */
export function sliceStep({
  z,
  level,
  stream,
  logLikelihood,
}: {
  /** The parameters as they stand; overwritten by the next draw. */
  readonly z: Float64Array;
  /** Log-likelihood at `z`. */
  readonly level: number;
  readonly stream: RandomStream;
  /** Of trial values, the same array from call to call; called last for the value returned. */
  readonly logLikelihood: (trial: Float64Array) => number;
}): number {
  const other = new Float64Array(z.length);
  for (let i = 0; i < z.length; i++) other[i] = stream.normal();
  const height = level + Math.log(1 - stream.uniform());
  const trial = new Float64Array(z.length);
  let angle = 2 * Math.PI * stream.uniform();
  let low = angle - 2 * Math.PI;
  let high = angle;
  for (let narrowed = 1; ; narrowed++) {
    const c = Math.cos(angle);
    const s = Math.sin(angle);
    for (let i = 0; i < z.length; i++) trial[i] = c * z[i]! + s * other[i]!;
    const value = logLikelihood(trial);
    // The bracket shrinks towards the present values, which are above the height but for rounding.
    if (value > height || high - low < 1e-9 || narrowed === MOST_NARROWINGS) {
      z.set(trial);
      return value;
    }
    if (angle < 0) low = angle;
    else high = angle;
    angle = low + (high - low) * stream.uniform();
  }
}
