/** Which runs share a whole plot, and how much they share. */
export interface PlotLayout {
  /** Whole plot of each run. */
  readonly plotOf: readonly number[];
  /** Runs of each plot. */
  readonly members: readonly (readonly number[])[];
  /** c = eta / (1 + n eta) of each plot of n runs, eta being the variance ratio. */
  readonly shared: readonly number[];
}

/**
 * Sorts runs by their whole plots.
 *
 * @param plotOf - whole plot of each run, counted from 0
 * @param varianceRatio - variance shared within a whole plot over the variance of a run
 */
export function plotLayout(plotOf: readonly number[], varianceRatio: number): PlotLayout {
  const members: number[][] = [];
  for (const [run, plot] of plotOf.entries()) {
    members[plot] ??= [];
    members[plot]!.push(run);
  }
  return {
    plotOf,
    members,
    shared: members.map((runs) => varianceRatio / (1 + runs.length * varianceRatio)),
  };
}
