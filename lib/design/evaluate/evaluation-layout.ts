import type { Basis } from "../model/index.js";
import { type ModelMatrix, sortedColumns } from "../model/index.js";
import { type Axis, codedFromSettings, type Settings } from "../region/index.js";
import type { EvaluatedPlan } from "./evaluation.js";

/** Coupons of a plan and those already run, coded, with their whole plots and blocks. */
export interface EvaluationLayout {
  /** Coded rows, the block's index last. */
  readonly coded: readonly (readonly number[])[];
  readonly plots: readonly number[];
  /** Whether a factor is hard to change. */
  readonly split: boolean;
  readonly blocks: number;
}

/** Codes the coupons. Without stated whole plots, coupons in a row with the same hard-to-change settings form one. */
export function layOutCoupons({
  plan,
  axes,
  existing,
  existingOffset,
}: {
  readonly plan: EvaluatedPlan;
  readonly axes: readonly Axis[];
  readonly existing: readonly Settings[];
  readonly existingOffset: boolean;
}): EvaluationLayout {
  const names = [...new Set(plan.runs.map((run) => run.block ?? 1))].sort((a, b) => a - b);
  const apart = existing.length > 0 && (existingOffset || names.length > 1);
  const split = axes.some((axis) => axis.hard);
  const coded = [
    ...plan.runs.map((run, i) => [
      ...codedFromSettings(axes, run.settings, `coupon ${i + 1}`),
      names.indexOf(run.block ?? 1),
    ]),
    ...existing.map((settings, i) => [
      ...codedFromSettings(axes, settings, `existing coupon ${i + 1}`),
      apart ? names.length : 0,
    ]),
  ];
  let plot = -1;
  let before = "";
  const plots = coded.map((row, i) => {
    const run = plan.runs[i];
    const hard = axes.flatMap((axis, j) => (axis.hard ? [row[j]!] : []));
    const mark = JSON.stringify([run === undefined, row[axes.length], run?.wholePlot ?? hard]);
    if (!split || mark !== before) plot++;
    before = mark;
    return plot;
  });
  return { coded, plots, split, blocks: names.length + (apart ? 1 : 0) };
}

/** Model rows of coded coupons. */
export function modelRows(basis: Basis, coded: readonly (readonly number[])[]): readonly Float64Array[] {
  return coded.map((row) => {
    const out = new Float64Array(basis.size);
    basis.fill(row, out);
    return out;
  });
}

/** Degrees of freedom of the errors that effects are judged by. */
export interface ErrorStrata {
  /** Between coupons (of one whole plot, when there are whole plots). */
  readonly residual: number;
  /** Between whole plots, after the terms that vary only between them; equal to `residual` without them. */
  readonly wholePlot: number;
}

/** Counts degrees of freedom by the ranks of the model with and without the whole plots. */
export function errorStrata({
  axes,
  basis,
  layout,
  matrix,
  kept,
  lost,
}: {
  readonly axes: readonly Axis[];
  readonly basis: Basis;
  readonly layout: EvaluationLayout;
  readonly matrix: ModelMatrix;
  readonly kept: readonly number[];
  /** Coupons expected to give no dimensions. */
  readonly lost: number;
}): ErrorStrata {
  const left = (rank: number): number => Math.max(0, matrix.rows.length - lost - rank);
  if (!layout.split) return { residual: left(kept.length), wholePlot: left(kept.length) };
  const plots = Math.max(...layout.plots) + 1;
  const withPlots = matrix.rows.map((row, i) => {
    const indicators = new Float64Array(plots);
    indicators[layout.plots[i]!] = 1;
    return Float64Array.from([...row, ...indicators]);
  });
  const easyColumns = new Set(
    basis.groups.flatMap((group) => (group.axes.every((axis) => axes[axis]!.hard) ? [] : group.columns)),
  );
  const between = kept.filter((column) => !easyColumns.has(column)).length;
  return { residual: left(sortedColumns(withPlots).kept.length), wholePlot: Math.max(0, plots - between) };
}
