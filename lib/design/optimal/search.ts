import type { RandomStream } from "../../numeric/index.js";
import type { Basis } from "../model/index.js";
import type { Point, Region } from "../region/index.js";
import { type Draft, fillRows, randomDraft, redraw, splitAxes } from "./draft.js";
import { exchangeCoordinates } from "./exchange.js";
import type { Information } from "./information.js";
import { polishSteps } from "./polish.js";
import { exchangeWholePlots } from "./whole-plots.js";

/** An optimal-design problem. */
export interface SearchProblem {
  readonly region: Region;
  readonly basis: Basis;
  readonly layout: { readonly plots: readonly number[]; readonly blocks: readonly number[] };
  /** An allowed point, to start walks from. */
  readonly allowed: Point;
  readonly inform: (draft: Draft) => Information;
}

/** Runs redrawn in one kick, and kicks per chain: measured on the bench's constrained quadratic problem. */
const KICKED_SHARE = 0.12;
const KICKS = 40;

/**
 * Searches in three stages: coordinate exchange from `starts` random drafts; the best sqrt(starts) of them
 * are kicked (a few runs redrawn, exchanged again, kept when no worse) again and again; then single steps.
 * Kicks find more than the same time spent on fresh starts.
 *
 * @returns the best draft and its criterion, undefined when no start could estimate the model
 */
export function searchOptimal(
  problem: SearchProblem,
  starts: number,
  stream: RandomStream,
): { readonly points: readonly Point[]; readonly value: number } | undefined {
  const { region, basis, layout, allowed, inform } = problem;
  const movable = splitAxes(region);
  const climb = (draft: Draft, information: Information): void => {
    for (let round = 0; round < 30; round++) {
      const moved = exchangeWholePlots({ region, basis, draft, information, hard: movable.hard });
      exchangeCoordinates({ region, basis, draft, information, movable: movable.easy });
      if (!moved) return;
    }
  };
  const started: { readonly draft: Draft; readonly information: Information; value: number }[] = [];
  const keep = Math.ceil(Math.sqrt(starts));
  for (let start = 0; start < starts; start++) {
    const draft = randomDraft({ region, basis, layout, allowed, stream });
    fillRows(region, basis, draft);
    const information = inform(draft);
    if (!information.refresh(0)) information.refresh(1e-3);
    climb(draft, information);
    if (!information.refresh(0)) continue;
    started.push({ draft, information, value: information.value() });
    started.sort((a, b) => b.value - a.value);
    if (started.length > keep) started.pop();
  }
  for (const chain of started) {
    kick({ problem, chain, turns: Math.min(KICKS, starts), climb, stream });
    polishSteps({ region, basis, draft: chain.draft, information: chain.information, movable: movable.easy });
    chain.value = chain.information.value();
  }
  if (started.length === 0) return undefined;
  const best = started.reduce((a, b) => (b.value > a.value ? b : a));
  return { points: best.draft.points, value: best.value };
}

interface Chain {
  readonly draft: Draft;
  readonly information: Information;
  value: number;
}

function kick({
  problem: { region, basis },
  chain,
  turns,
  climb,
  stream,
}: {
  readonly problem: SearchProblem;
  readonly chain: Chain;
  readonly turns: number;
  readonly climb: (draft: Draft, information: Information) => void;
  readonly stream: RandomStream;
}): void {
  const { draft, information } = chain;
  const count = draft.points.length;
  const size = Math.max(1, Math.round(KICKED_SHARE * count));
  const restore = (points: readonly number[][]): void => {
    for (const [i, point] of points.entries()) draft.points[i] = point;
    fillRows(region, basis, draft);
    information.refresh(0);
  };
  for (let turn = 0; turn < turns; turn++) {
    const held = draft.points.map((point) => [...point]);
    const runs = Array.from({ length: size }, () => stream.integer(0, count - 1));
    redraw({ region, draft, runs, stream });
    fillRows(region, basis, draft);
    if (information.refresh(0)) {
      climb(draft, information);
      const value = information.value();
      if (value >= chain.value) {
        chain.value = value;
        continue;
      }
    }
    restore(held);
  }
}
