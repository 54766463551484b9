import { mean, type RandomStream } from "../../numeric/index.js";
import type { Basis, PlanModel } from "../model/index.js";
import { addOuter } from "../model/index.js";
import type { Point, Region } from "../region/index.js";
import { spreadAllowedPoints } from "../region/index.js";
import { fillRow, splitAxes } from "./draft.js";
import type { Criterion } from "./information.js";

/** What an optimal plan is asked for, all defaults filled in. */
export interface OptimalRequest {
  readonly region: Region;
  readonly allowed: Point;
  readonly model: PlanModel;
  readonly criterion: Criterion;
  /** Runs to choose, repeats and centres included. */
  readonly count: number;
  /** Coded rows of coupons already run. */
  readonly existing: readonly (readonly number[])[];
  /** Chance that each of those gave or will give dimensions. */
  readonly existingLives: readonly number[];
  /** Whether those may be offset from the new ones as a block of their own. */
  readonly existingOffset: boolean;
  readonly centres: readonly Point[];
  /** Runs spent on exact repeats of chosen runs. */
  readonly repeats: number;
  readonly blocks: number;
  /** Whole plots; ignored when no factor is hard to change. */
  readonly wholePlots: number;
  /** Variance between whole plots over variance between runs. */
  readonly varianceRatio: number;
  readonly starts: number;
}

/** Coupons already run are a block of their own when asked for, and always beside new blocks. */
export function offsetsExisting({ existing, existingOffset, blocks }: OptimalRequest): boolean {
  return existing.length > 0 && (existingOffset || blocks > 1);
}

/** Points whose model rows are averaged into the moments of the region (I-criterion). */
const MOMENT_POINTS = 1024;

/**
 * Information of the coupons already run and of the centre coupons. Coupons run in a row on the same
 * hard-to-change settings count as one whole plot.
 */
export function fixedInformation(request: OptimalRequest, basis: Basis, allBlocks: number): Float64Array {
  const { region, existing, centres, blocks, varianceRatio } = request;
  const { hard } = splitAxes(region);
  const p = basis.size;
  const fixed = new Float64Array(basis.copies * p * p);
  const coded = new Float64Array(region.axes.length + 1);
  const groups: { readonly key: string; readonly rows: Float64Array[] }[] = [];
  const add = (key: string, row: Float64Array): void => {
    const last = groups[groups.length - 1];
    if (last !== undefined && last.key === key) last.rows.push(row);
    else groups.push({ key, rows: [row] });
  };
  for (const [i, known] of existing.entries()) {
    coded.set(known);
    coded[region.axes.length] = offsetsExisting(request) ? allBlocks - 1 : 0;
    const row = new Float64Array(p * basis.copies);
    basis.fill(coded, row);
    const weight = Math.sqrt(request.existingLives[i]!);
    const key = hard.length === 0 ? `existing ${i}` : JSON.stringify(hard.map((j) => known[j]));
    add(
      key,
      row.map((value) => weight * value),
    );
  }
  for (const [i, point] of centres.entries()) {
    const row = new Float64Array(p * basis.copies);
    fillRow(region, basis, point, i % blocks, coded, row);
    add(`centre ${i}`, row);
  }
  const ratio = hard.length === 0 ? 0 : varianceRatio;
  for (const { rows } of groups) {
    const sum = new Float64Array(p * basis.copies);
    for (const row of rows) for (let c = 0; c < sum.length; c++) sum[c]! += row[c]!;
    for (let copy = 0; copy < basis.copies; copy++) {
      const own = fixed.subarray(copy * p * p, (copy + 1) * p * p);
      for (const row of rows) addOuter(own, p, row, copy * p, 1);
      addOuter(own, p, sum, copy * p, -ratio / (1 + rows.length * ratio));
    }
  }
  return fixed;
}

/** Mean of f f' over the allowed region, settings counted by their chance to survive (I), the identity (A), or nothing (D). */
export function momentsOf(
  request: OptimalRequest,
  basis: Basis,
  stream: RandomStream,
): Float64Array | undefined {
  if (request.criterion === "D") return undefined;
  const { region, allowed } = request;
  const { size: p, copies } = basis;
  const moments = new Float64Array(copies * p * p);
  if (request.criterion === "A") {
    for (let copy = 0; copy < copies; copy++) {
      for (let i = 0; i < p; i++) moments[copy * p * p + i * p + i] = 1;
    }
    return moments;
  }
  const own = stream.split("moments");
  const row = new Float64Array(p * copies);
  const coded = new Float64Array(region.axes.length + 1);
  const points = spreadAllowedPoints({
    region,
    count: MOMENT_POINTS,
    start: allowed,
    seed: own.seed,
    stream: own,
  });
  // What is foreseen of settings where no bead lives is no use.
  const share = 1 / (MOMENT_POINTS * Math.max(mean(points.map(region.lives)), Number.MIN_VALUE));
  for (const point of points) {
    fillRow(region, basis, point, -1, coded, row);
    for (let copy = 0; copy < copies; copy++) {
      addOuter(moments.subarray(copy * p * p, (copy + 1) * p * p), p, row, copy * p, share);
    }
  }
  return moments;
}
