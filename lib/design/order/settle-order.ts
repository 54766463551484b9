import type { Finding } from "../../errors/index.js";
import type { RandomStream } from "../../numeric/index.js";
import { fixed, percent } from "../../numeric/index.js";
import type { ModelOrder } from "../model/index.js";
import { independentColumns, polynomialBasis } from "../model/index.js";
import type { Axis } from "../region/index.js";
import type { Candidate } from "../runs/index.js";
import { mixingWithBlocks, shareOutBlocks } from "./blocking.js";
import { driftRobustOrder, randomOrder } from "./order-of-work.js";

/** The order of work: candidate numbers in order, with the block and whole plot of each candidate. */
export interface SettledOrder {
  readonly order: readonly number[];
  readonly blocks: readonly number[];
  readonly plots: readonly number[];
  readonly findings: readonly Finding[];
}

/** Main effects weigh this much more than other terms when blocks or drift cannot be clear of everything. */
const MAIN_WEIGHT = 3;

interface ModelColumns {
  readonly columns: readonly Float64Array[];
  /** Names of the columns; main effects first. */
  readonly names: readonly string[];
  readonly mainEffects: number;
}

/** Orthonormal model columns without the mean, of the richest model that leaves some runs over. */
function modelColumns(
  axes: readonly Axis[],
  candidates: readonly Candidate[],
  wanted: ModelOrder,
): ModelColumns {
  const orders: readonly ModelOrder[] = ["quadratic", "interaction", "linear"];
  const tried = orders.slice(orders.indexOf(wanted));
  const bases = tried.map((order) => polynomialBasis(axes, order));
  const basis = bases.find(({ size }) => size < candidates.length) ?? bases[bases.length - 1]!;
  const columns = basis.names.map(() => new Float64Array(candidates.length));
  const row = new Float64Array(basis.size);
  for (const [i, { point }] of candidates.entries()) {
    basis.fill(
      axes.map((axis, j) => axis.coded[point[j]!]!),
      row,
    );
    for (const [c, column] of columns.entries()) column[i] = row[c]!;
  }
  const { orthonormal, kept } = independentColumns(columns);
  const mains = polynomialBasis(axes, "linear").size;
  return {
    columns: orthonormal.slice(1),
    names: kept.slice(1).map((index) => basis.names[index]!),
    mainEffects: kept.filter((index) => index > 0 && index < mains).length,
  };
}

/**
 * Shares candidates out to blocks and whole plots where the design has not done so, and puts them in a
 * random or drift-robust order.
 */
export function settleOrder({
  axes,
  candidates,
  request,
  stream,
}: {
  readonly axes: readonly Axis[];
  readonly candidates: readonly Candidate[];
  readonly request: { readonly blocks: number; readonly model: ModelOrder; readonly robust: boolean };
  readonly stream: RandomStream;
}): SettledOrder {
  const model = modelColumns(axes, candidates, request.model);
  const findings: Finding[] = [];
  const blocks = blocksOf({ candidates, count: request.blocks, model, stream: stream.split("blocks") });
  if (new Set(blocks).size > 1) findings.push(...blockFinding(model, blocks));
  const plots = plotsOf(axes, candidates, blocks);
  if (axes.some((axis) => axis.hard)) findings.push(splitPlotFinding(axes, plots));
  if (!request.robust)
    return { order: randomOrder(blocks, plots, stream.split("order")), blocks, plots, findings };
  const { order, correlation } = driftRobustOrder({
    blocks,
    plots,
    columns: weigh(model),
    stream: stream.split("order"),
  });
  findings.push({
    code: "drift-robust-order",
    severity: "info",
    message: `a steady drift over the run order is correlated with any one model term by ${fixed(correlation, 2)} at most`,
    advice: "the order is random only within what keeps drift apart from the effects",
  });
  return { order, blocks, plots, findings };
}

/** The columns with main effects stretched, for searches that cannot satisfy all. */
function weigh(model: ModelColumns): readonly Float64Array[] {
  return model.columns.map((column, i) =>
    i < model.mainEffects ? column.map((x) => MAIN_WEIGHT * x) : column,
  );
}

function blocksOf({
  candidates,
  count,
  model,
  stream,
}: {
  readonly candidates: readonly Candidate[];
  readonly count: number;
  readonly model: ModelColumns;
  readonly stream: RandomStream;
}): readonly number[] {
  if (candidates.every(({ block }) => block !== undefined)) return candidates.map(({ block }) => block!);
  if (count < 2) return candidates.map(() => 0);
  return shareOutBlocks({ columns: weigh(model), runs: candidates.length, blocks: count, stream });
}

function blockFinding(model: ModelColumns, blocks: readonly number[]): readonly Finding[] {
  const mixed = model.columns
    .map((column, i) => ({ name: model.names[i]!, share: mixingWithBlocks(column, blocks) }))
    .filter(({ share }) => share > 0.02)
    .sort((a, b) => b.share - a.share);
  const blocked = new Set(blocks).size;
  return [
    {
      code: "blocks",
      severity: mixed.some(({ share }) => share > 0.5) ? "warning" : "info",
      message:
        mixed.length === 0
          ? `${blocked} blocks, clear of every term of the model`
          : `${blocked} blocks; mixed with them: ${mixed
              .slice(0, 6)
              .map(({ name, share }) => `${name} (${percent(share)})`)
              .join(", ")}`,
      advice: "fit with a block offset, fixed for a few blocks or random (REML) for many",
    },
  ];
}

/** Whole plots: as the design fixed them, else coupons of a block that agree in all hard-to-change factors. */
function plotsOf(
  axes: readonly Axis[],
  candidates: readonly Candidate[],
  blocks: readonly number[],
): readonly number[] {
  if (!axes.some((axis) => axis.hard)) return candidates.map((_, i) => i);
  const numbers = new Map<string, number>();
  return candidates.map(({ point, plot, role }, i) => {
    const hard = axes.flatMap((axis, j) => (axis.hard ? [point[j]!] : []));
    const key = JSON.stringify([blocks[i], plot ?? role === "repeat", hard]);
    if (!numbers.has(key)) numbers.set(key, numbers.size);
    return numbers.get(key)!;
  });
}

function splitPlotFinding(axes: readonly Axis[], plots: readonly number[]): Finding {
  const hard = axes.filter((axis) => axis.hard).map((axis) => axis.name);
  return {
    code: "split-plot",
    severity: "info",
    message: `${hard.join(", ")} ${hard.length === 1 ? "is" : "are"} hard to change: ${plots.length} coupons in ${new Set(plots).size} groups of one setting, in random order within and between groups`,
    advice:
      "set the hard-to-change factors anew for every group, even when the value stays; analyse by REML with the group as a random block, since ordinary least squares would make their effects look surer than they are",
    about: hard,
  };
}
