import { onlyDefined, requireThat } from "../../errors/index.js";
import type { RandomStream } from "../../numeric/index.js";
import type { Basis } from "../model/index.js";
import { basisOf } from "../model/index.js";
import type { Point } from "../region/index.js";
import type { Candidate } from "../runs/index.js";
import { type Draft, fillRows, splitAxes } from "./draft.js";
import { type Information, makeInformation } from "./information.js";
import { fixedInformation, momentsOf, type OptimalRequest, offsetsExisting } from "./known-information.js";
import { searchOptimal } from "./search.js";

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
      ...onlyDefined({ moments }),
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
  const chosen = withRepeats({ request, basis, chosen: { ...layout, points: found.points }, inform });
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

/** Adds exact repeats one at a time, each the one that helps the criterion most; different runs
 * and whole plots first. */
function withRepeats({
  request,
  basis,
  chosen,
  inform,
}: {
  readonly request: OptimalRequest;
  readonly basis: Basis;
  readonly chosen: Layout & { readonly points: readonly Point[] };
  readonly inform: (draft: Draft) => Information;
}): Layout & { readonly points: readonly Point[] } {
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
    let best = { next: current, value: Number.NEGATIVE_INFINITY };
    for (const i of fresh.length > 0 ? fresh : sources) {
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
      const value = information.refresh(0) ? information.value() : Number.NEGATIVE_INFINITY;
      if (best.next === current || value > best.value) best = { next, value };
    }
    current = best.next;
  }
  return current;
}
