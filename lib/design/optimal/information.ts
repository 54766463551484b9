import { DrawInformation } from "./draw-information.js";
import { plotLayout } from "./plot-layout.js";

/** D: volume of the joint confidence region; I: mean prediction variance; A: mean variance of coefficients. */
export type Criterion = "D" | "I" | "A";

/**
 * Quality of a set of runs while rows are changed one after another. Gains are in the logarithm of the
 * criterion (higher is better; per parameter for D).
 */
export interface Information {
  value(): number;
  select(run: number): void;
  /** Gain if the selected run took the row `g`. */
  trial(g: Float64Array): number;
  /** Gives the selected run the row `g`. */
  accept(g: Float64Array): void;
  /** Gain if the runs of a whole plot took these rows, one after another in `rows`. */
  trialPlot(plot: number, rows: Float64Array): number;
  acceptPlot(plot: number, rows: Float64Array): void;
  /** Recomputes from the rows, to shed rounding; false while the model cannot be estimated. */
  refresh(ridge: number): boolean;
}

/** What an {@link Information} is made of. */
export interface InformationInput {
  /** Runs being chosen, one model row of `size * copies` numbers each; changed in place. */
  readonly rows: Float64Array;
  /** Whole plot of each run. */
  readonly plots: readonly number[];
  /** Variance shared within a whole plot over the variance of a run; 0 when nothing is hard to change. */
  readonly varianceRatio: number;
  readonly size: number;
  /** Prior draws whose log criteria are averaged. */
  readonly copies: number;
  /** Information of coupons already run: size x size per copy. */
  readonly fixed: Float64Array;
  /** Weights of the trace criterion (I: moments of the region, A: identity), size x size per copy; absent for D. */
  readonly moments?: Float64Array;
}

/**
 * Information with an error shared within whole plots:
 *
 *     M = X' V^-1 X = sum over plots of (R'R - c s s'),   s = sum of the plot's rows, c = eta / (1 + n eta)
 *
 * Changing a run's row f by d adds u d' + d u' with u = f - c s + k d, k = (1 - c) / 2, so that with
 * D = M^-1, a = u'Dd, b = u'Du, q = d'Dd
 *
 *     |M| grows by r = (1 + a)^2 - b q
 *     tr(W D) falls by (2 (1 + a) u'Bd - q u'Bu - b d'Bd) / r,   B = D W D
 *
 * For eta = 0 this is the usual rank-two exchange of independent runs.
 *
 * @source Meyer and Nachtsheim, Technometrics 37 (1995) 60-69; V as in Goos and Vandebroek, Technometrics
 *   45 (2003); the update is derived here
 */
export function makeInformation(input: InformationInput): Information {
  const { rows, plots, varianceRatio, size, copies, fixed, moments } = input;
  const width = size * copies;
  const layout = plotLayout(plots, varianceRatio);
  const square = (matrices: Float64Array, copy: number): Float64Array =>
    matrices.subarray(copy * size * size, (copy + 1) * size * size);
  const draws = Array.from(
    { length: copies },
    (_, copy) =>
      new DrawInformation({
        rows,
        width,
        from: copy * size,
        size,
        layout,
        fixed: square(fixed, copy),
        weights: moments === undefined ? undefined : square(moments, copy),
      }),
  );
  let selected = 0;
  let k = 0;
  const select = (run: number): void => {
    selected = run;
    k = (1 - layout.shared[plots[run]!]!) / 2;
    for (const draw of draws) draw.select(run);
  };
  const average = (of: (draw: DrawInformation) => number): number => {
    let total = 0;
    for (const draw of draws) total += of(draw);
    return total / copies;
  };

  return {
    value: () => average((draw) => draw.score()),
    select,
    trial: (g) => average((draw) => draw.trial(selected, g, k)),
    accept(g) {
      for (const draw of draws) draw.accept(selected, g, k);
      rows.set(g, selected * width);
      select(selected);
    },
    trialPlot: (plot, candidate) => average((draw) => draw.trialPlot(plot, candidate)),
    acceptPlot(plot, candidate) {
      for (const draw of draws) draw.acceptPlot(plot, candidate);
      for (const [place, run] of layout.members[plot]!.entries()) {
        rows.set(candidate.subarray(place * width, (place + 1) * width), run * width);
      }
    },
    refresh(ridge) {
      let estimable = true;
      for (const draw of draws) estimable = draw.refresh(ridge) && estimable;
      return estimable;
    },
  };
}
