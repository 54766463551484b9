import { levenbergMarquardt } from "ml-levenberg-marquardt";

/**
 * What one damped step needs, in scaled parameters u and with the rows compressed by QR: J = Q R turns n rows into as
 * many as there are parameters, without touching J'J, J'r or the sum of squares.
 */
export interface StepRequest {
  readonly current: readonly number[];
  readonly lower: readonly number[];
  readonly upper: readonly number[];
  /** R, size x size, entry (i, j) at `j * size + i`, in the order of the parameters. */
  readonly triangle: Float64Array;
  /** The leading part of Q'r. */
  readonly projected: Float64Array;
  /** Residual sum of squares at `current`. */
  readonly rss: number;
  readonly damping: number;
  /** Residual sum of squares at a trial point; Infinity where the model is not finite. */
  evaluate(trial: readonly number[]): number;
}

/**
 * One Levenberg-Marquardt step, (J'J + damping I) d = J'r, by ml-levenberg-marquardt.
 *
 * The package (5.1.0) is driven one iteration at a time because of what it lacks, all measured: its `weights` multiply
 * where they should divide (any weight but 1 returns the start), it walks on from a worse point, its damping is not
 * scaled, it stops on an absolute residual sum of squares, and it says nothing about convergence. So x is a row index,
 * weights are folded into the rows, parameters come scaled, and the caller accepts or rejects and judges. It allocates
 * some objects per row, which is why the rows come compressed: 214 rows cost it 40 us a step, 4 rows 5 us.
 *
 * @returns the trial point, within the bounds
 */
export function marquardtStep(request: StepRequest): readonly number[] {
  const { current, triangle, projected, rss } = request;
  const size = current.length;
  let inside = 0;
  for (let i = 0; i < size; i++) inside += projected[i]! * projected[i]!;
  const rest = Math.sqrt(Math.max(0, rss - inside));
  const rows = Array.from({ length: size + 1 }, (_, i) => i);
  const residual = (i: number): number => (i < size ? projected[i]! : rest);
  let trial: readonly number[] = current;
  let reached = rss;
  const isCurrent = (point: readonly number[]): boolean => {
    for (let j = 0; j < size; j++) if (point[j] !== current[j]) return false;
    return true;
  };
  const partials = new Array<number>(size);
  levenbergMarquardt(
    { x: rows, y: new Float64Array(size + 1) },
    (point) => {
      if (isCurrent(point)) return (i) => -residual(i);
      trial = [...point];
      reached = request.evaluate(trial);
      return (i) => (i === size ? Math.sqrt(reached) : 0);
    },
    {
      initialValues: current,
      damping: request.damping,
      maxIterations: 1,
      errorTolerance: 0,
      minValues: request.lower,
      maxValues: request.upper,
      jacobianFunction: () => (i) => {
        for (let j = 0; j < size; j++) partials[j] = i < size ? triangle[j * size + i]! : 0;
        return partials;
      },
    },
  );
  return trial;
}
