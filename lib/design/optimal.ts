import { requireThat } from "../errors/index.js";
import type { RandomStream } from "../numeric/index.js";
import type { Candidate } from "./candidate.js";
import { codeInto, type Draft, fillRows, splitAxes } from "./draft.js";
import type { Point } from "./factor.js";
import { type Criterion, type Information, makeInformation } from "./information.js";
import type { Region } from "./limit.js";
import { type Basis, basisOf, type PlanModel } from "./model.js";
import { spreadAllowedPoints } from "./sample-region.js";
import { searchOptimal } from "./search.js";
import { addOuter } from "./small-matrix.js";

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

/** Points whose model rows are averaged into the moments of the region (I-criterion). */
const MOMENT_POINTS = 1024;

/**
 * Chooses runs by coordinate exchange. Coupons already run and centre coupons count as information that is
 * there beforehand.
 *
 * @throws {BeadbenchError} `bad-argument` when there are fewer runs than model terms
 */
export function optimalCandidates(request: OptimalRequest, stream: RandomStream): readonly Candidate[] {
  const { region, allowed, count, existing, centres, blocks } = request;
  const existingBlock = offsetsExisting(request) ? 1 : 0;
  const basis = basisOf(region.axes, request.model, blocks + existingBlock);
  const free = count - centres.length - request.repeats;
  const runs = count + existing.length - request.repeats;
  requireThat(
    free >= 1 && runs >= basis.size,
    `the model has ${basis.size} terms and needs at least as many different coupons; ${Math.max(free, 0)} can be chosen beside ${existing.length} already run and ${centres.length} at the centre; allow more coupons or a smaller model`,
  );
  const layout = layOut(request, free);
  const { hard } = splitAxes(region);
  const fixed = fixedInformation(request, basis, blocks + existingBlock);
  const moments = momentsOf(request, basis, stream);
  const inform = (draft: Draft): Information =>
    makeInformation({
      rows: draft.rows,
      plots: draft.plots,
      varianceRatio: hard.length === 0 ? 0 : request.varianceRatio,
      size: basis.size,
      copies: basis.copies,
      fixed,
      ...(moments === undefined ? {} : { moments }),
    });
  const found = searchOptimal(
    { region, basis, layout, allowed, inform },
    request.starts,
    stream.split("search"),
  );
  requireThat(
    found !== undefined,
    `no ${runs} allowed coupons tell all ${basis.size} model terms apart; choose a smaller model, or check for factors the limits tie together`,
  );
  const chosen = withRepeats(request, basis, { ...layout, points: found.points }, inform);
  return [
    ...chosen.points.map(
      (point, i): Candidate => ({
        role: i < free ? "optimal" : "repeat",
        point,
        ...(blocks > 1 ? { block: chosen.blocks[i]! } : {}),
        ...(hard.length > 0 ? { plot: chosen.plots[i]! } : {}),
      }),
    ),
    ...centres.map(
      (point, i): Candidate => ({ role: "centre", point, ...(blocks > 1 ? { block: i % blocks } : {}) }),
    ),
  ];
}

/** Coupons already run are a block of their own when asked for, and always beside new blocks. */
function offsetsExisting({ existing, existingOffset, blocks }: OptimalRequest): boolean {
  return existing.length > 0 && (existingOffset || blocks > 1);
}

interface Layout {
  readonly plots: readonly number[];
  readonly blocks: readonly number[];
}

/** Even whole plots and blocks; a whole plot lies inside one block. */
function layOut(request: OptimalRequest, free: number): Layout {
  const split = request.region.axes.some((axis) => axis.hard);
  const wholePlots = split ? Math.min(request.wholePlots, free) : free;
  const plots = Array.from({ length: free }, (_, run) => Math.floor((run * wholePlots) / free));
  return { plots, blocks: plots.map((plot) => plot % request.blocks) };
}

/**
 * Information of the coupons already run and of the centre coupons. Coupons run in a row on the same
 * hard-to-change settings count as one whole plot.
 */
function fixedInformation(request: OptimalRequest, basis: Basis, allBlocks: number): Float64Array {
  const { region, existing, centres, blocks, varianceRatio } = request;
  const { hard } = splitAxes(region);
  const p = basis.size;
  const fixed = new Float64Array(basis.copies * p * p);
  const coded = new Float64Array(region.axes.length + 1);
  const groups: { readonly key: string; readonly rows: Float64Array[] }[] = [];
  const add = (key: string): void => {
    const row = new Float64Array(p * basis.copies);
    basis.fill(coded, row);
    const last = groups[groups.length - 1];
    if (last !== undefined && last.key === key) last.rows.push(row);
    else groups.push({ key, rows: [row] });
  };
  for (const [i, known] of existing.entries()) {
    coded.set(known);
    coded[region.axes.length] = offsetsExisting(request) ? allBlocks - 1 : 0;
    add(hard.length === 0 ? `existing ${i}` : JSON.stringify(hard.map((j) => known[j])));
  }
  for (const [i, point] of centres.entries()) {
    codeInto(region, point, i % blocks, coded);
    add(`centre ${i}`);
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

/** Mean of f f' over the allowed region (I), the identity (A), or nothing (D). */
function momentsOf(request: OptimalRequest, basis: Basis, stream: RandomStream): Float64Array | undefined {
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
  for (const point of spreadAllowedPoints(region, MOMENT_POINTS, allowed, own.seed, own)) {
    codeInto(region, point, -1, coded);
    basis.fill(coded, row);
    for (let copy = 0; copy < copies; copy++) {
      addOuter(moments.subarray(copy * p * p, (copy + 1) * p * p), p, row, copy * p, 1 / MOMENT_POINTS);
    }
  }
  return moments;
}

/** Adds exact repeats one at a time, each the one that helps the criterion most; different runs
 * and whole plots first. */
function withRepeats(
  request: OptimalRequest,
  basis: Basis,
  chosen: Layout & { readonly points: readonly Point[] },
  inform: (draft: Draft) => Information,
): Layout & { readonly points: readonly Point[] } {
  const width = basis.size * basis.copies;
  const split = request.region.axes.some((axis) => axis.hard);
  let current = chosen;
  for (let repeat = 0; repeat < request.repeats; repeat++) {
    const sources = chosen.points.map((_, i) => i);
    const usedPoints = current.points.slice(chosen.points.length);
    const usedPlots = current.plots.slice(chosen.points.length);
    const fresh = sources.filter(
      (i) => !usedPoints.includes(chosen.points[i]!) && !(split && usedPlots.includes(chosen.plots[i]!)),
    );
    const options = (fresh.length > 0 ? fresh : sources).map((i) => {
      const next = {
        points: [...current.points, chosen.points[i]!],
        plots: [...current.plots, chosen.plots[i]!],
        blocks: [...current.blocks, split ? chosen.blocks[i]! : current.points.length % request.blocks],
      };
      const draft: Draft = {
        ...next,
        points: next.points.map((point) => [...point]),
        rows: new Float64Array(next.points.length * width),
      };
      fillRows(request.region, basis, draft);
      const information = inform(draft);
      return { next, value: information.refresh(0) ? information.value() : Number.NEGATIVE_INFINITY };
    });
    current = options.reduce((a, b) => (b.value > a.value ? b : a)).next;
  }
  return current;
}
