import { levenbergMarquardt } from "ml-levenberg-marquardt";

/** What one damped step needs: everything in scaled parameters u, values and derivatives already weighted. */
export interface StepRequest {
  readonly current: readonly number[];
  readonly lower: readonly number[];
  readonly upper: readonly number[];
  readonly rows: readonly number[];
  /** What the values should become. */
  readonly target: Float64Array;
  /** Values at `current`. */
  readonly values: Float64Array;
  /** Derivatives at `current`, column-major. */
  readonly jacobian: Float64Array;
  readonly damping: number;
  /** Values at a trial point; entries may be infinite. */
  evaluate(trial: readonly number[]): Float64Array;
}

/**
 * One Levenberg-Marquardt step, (J'J + damping I) d = J'r, by ml-levenberg-marquardt.
 *
 * The package (5.1.0) is driven one iteration at a time because of what it lacks, all measured: its `weights` multiply
 * where they should divide (any weight but 1 returns the start), it walks on from a worse point, its damping is not
 * scaled, it stops on an absolute residual sum of squares, and it says nothing about convergence. So x is the row index,
 * weights are folded into values and derivatives, parameters come scaled, the caller accepts or rejects and judges.
 * Values at the current point are served from memory: a step costs one sweep of the model.
 *
 * @returns the trial point, within the bounds
 */
export function marquardtStep(request: StepRequest): readonly number[] {
  const { current, rows, jacobian, values } = request;
  const count = rows.length;
  const size = current.length;
  let trial: readonly number[] = current;
  let trialValues = values;
  const isCurrent = (point: readonly number[]): boolean => {
    for (let j = 0; j < size; j++) if (point[j] !== current[j]) return false;
    return true;
  };
  const partials = new Array<number>(size);
  levenbergMarquardt(
    { x: rows, y: request.target },
    (point) => {
      if (isCurrent(point)) return (i) => values[i]!;
      trial = [...point];
      trialValues = request.evaluate(trial);
      return (i) => trialValues[i]!;
    },
    {
      initialValues: current,
      damping: request.damping,
      maxIterations: 1,
      errorTolerance: 0,
      minValues: request.lower,
      maxValues: request.upper,
      jacobianFunction: () => (i) => {
        for (let j = 0; j < size; j++) partials[j] = jacobian[j * count + i]!;
        return partials;
      },
    },
  );
  return trial;
}
