import { levenbergMarquardt } from "ml-levenberg-marquardt";

/**
 * A least-squares problem linearised at a point, in scaled parameters u and with the rows compressed by QR: J = Q R
 * turns n rows into as many as there are parameters, without touching J'J, J'r or the sum of squares.
 */
export interface LocalProblem {
  readonly current: readonly number[];
  /** R, size x size, entry (i, j) at `j * size + i`, in the order of the parameters. */
  readonly triangle: Float64Array;
  /** The leading part of Q'r. */
  readonly projected: Float64Array;
  /** Residual sum of squares at `current`. */
  readonly rss: number;
}

/**
 * Levenberg-Marquardt steps, (J'J + damping I) d = J'r, by ml-levenberg-marquardt.
 *
 * The package (5.1.0) is driven one iteration at a time because of what it lacks, all measured: its `weights` multiply
 * where they should divide (any weight but 1 returns the start), it walks on from a worse point, its damping is not
 * scaled, it stops on an absolute residual sum of squares, and it says nothing about convergence. So x is a row index,
 * weights are folded into the rows, parameters come scaled, and the caller accepts or rejects and judges: the package is
 * told that the model is not finite at the trial point, which ends it there. It allocates objects per row, which is why
 * the rows come compressed: a step costs it 29 us on 214 rows, 2.4 us on 4.
 *
 * It carries the walk but not the last digits (it forms J'J): on the 54 fits of NIST's 27 problems it makes 517 of 817
 * steps and always comes within 0.1 % of the sum of squares the fit ends at; the QR polish takes the last steps
 * (`npm run bench -- marquardt-share`).
 */
export class MarquardtStep {
  private readonly data: { readonly x: number[]; readonly y: Float64Array };
  private readonly atCurrent: Float64Array;
  private readonly partials: number[];
  private readonly jacobian = (): ((row: number) => number[]) => this.slopes;
  private readonly atTrial = (): number => Number.NaN;
  private local: LocalProblem | undefined;
  private trial: readonly number[] = [];

  /** @param size - number of parameters, 1 or more */
  constructor(private readonly size: number) {
    this.data = { x: Array.from({ length: size + 1 }, (_, i) => i), y: new Float64Array(size + 1) };
    this.atCurrent = new Float64Array(size + 1);
    this.partials = new Array<number>(size).fill(0);
  }

  /** The point the step leads to, held within the bounds; `current` itself where it leads nowhere. */
  propose({
    local,
    damping,
    lower,
    upper,
  }: {
    readonly local: LocalProblem;
    readonly damping: number;
    readonly lower: readonly number[];
    readonly upper: readonly number[];
  }): readonly number[] {
    const { size, atCurrent } = this;
    const { current, projected, rss } = local;
    let inside = 0;
    for (let i = 0; i < size; i++) {
      atCurrent[i] = -projected[i]!;
      inside += projected[i]! * projected[i]!;
    }
    atCurrent[size] = -Math.sqrt(Math.max(0, rss - inside));
    this.local = local;
    this.trial = current;
    levenbergMarquardt(this.data, this.values, {
      initialValues: current,
      damping,
      maxIterations: 1,
      errorTolerance: 0,
      minValues: lower,
      maxValues: upper,
      jacobianFunction: this.jacobian,
    });
    return this.trial;
  }

  /** The package's model: compressed values from memory at the current point; a new one is only noted. */
  private readonly values = (point: readonly number[]): ((row: number) => number) => {
    const { current } = this.local!;
    for (let j = 0; j < this.size; j++) {
      if (point[j] !== current[j]) {
        this.trial = [...point];
        return this.atTrial;
      }
    }
    return this.remembered;
  };

  private readonly remembered = (row: number): number => this.atCurrent[row]!;

  private readonly slopes = (row: number): number[] => {
    const { partials, size } = this;
    const { triangle } = this.local!;
    for (let j = 0; j < size; j++) partials[j] = row < size ? triangle[j * size + row]! : 0;
    return partials;
  };
}
