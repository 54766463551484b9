import { factorQr, solveLeastSquares } from "../../numeric/index.js";

const depth = 5;

/**
 * Anderson's acceleration of a fixed-point iteration theta + step: from the last few points and steps it foresees where
 * the steps vanish. Gauss-Newton converges slowly where residuals are large and the model curved; this mends it
 * without second derivatives.
 *
 * @source D. G. Anderson, J. ACM 12 (1965) 547-560; H. F. Walker and P. Ni, SIAM J. Numer. Anal. 49 (2011) 1715-1735
 */
export class AndersonHistory {
  private readonly points: number[][] = [];
  private readonly steps: number[][] = [];

  clear(): void {
    this.points.length = 0;
    this.steps.length = 0;
  }

  /**
   * Records a point with its plain step and returns the accelerated one.
   *
   * @param scales - size of each component, to make them comparable
   */
  accelerate(theta: readonly number[], step: readonly number[], scales: ArrayLike<number>): number[] {
    const { points, steps } = this;
    points.push([...theta]);
    steps.push([...step]);
    if (points.length > depth + 1) {
      points.shift();
      steps.shift();
    }
    const size = theta.length;
    const count = Math.min(points.length - 1, size);
    if (count === 0) return [...step];
    const last = points.length - 1;
    const differences = new Float64Array(size * count);
    for (let k = 0; k < count; k++) {
      for (let j = 0; j < size; j++) {
        differences[k * size + j] = (steps[last - k]![j]! - steps[last - k - 1]![j]!) * scales[j]!;
      }
    }
    const target = Float64Array.from(step, (value, j) => value * scales[j]!);
    const shares = solveLeastSquares(
      factorQr({ values: differences, rows: size, columns: count, rankTolerance: 1e-10 }),
      target,
    );
    return step.map((value, j) => {
      let result = value;
      for (let k = 0; k < count; k++) {
        const from = last - k - 1;
        const to = last - k;
        result -= shares[k]! * (points[to]![j]! - points[from]![j]! + steps[to]![j]! - steps[from]![j]!);
      }
      return result;
    });
  }
}
