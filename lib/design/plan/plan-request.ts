import { requireCount, requireNumber, requireThat } from "../../errors/index.js";
import { type RandomStream, randomStream } from "../../numeric/index.js";
import { chooseDesign } from "../classical/index.js";
import { runsBesideControls } from "../order/index.js";
import { codedFromSettings, makeAxes, makeRegion, requireAllowedPoint } from "../region/index.js";
import type { BuildRequest } from "./build-candidates.js";
import type { PlanOptions } from "./plan-options.js";

/** Options read and checked, before any coupon is chosen. */
export interface PlanRequest extends BuildRequest {
  readonly withControl: boolean;
  readonly stream: RandomStream;
}

/** Reads the options for a number of coupons. */
export function readRequest(options: PlanOptions, coupons: number): PlanRequest {
  const { limits = [], existing = [], session, axial } = options;
  requireCount("coupons", coupons, { min: 1, max: 10_000 });
  const blocks = axial === "orthogonal-blocks" ? 2 : (options.blocks ?? 1);
  requireCount("blocks", blocks, { min: 1, max: coupons });
  for (const name of ["centreRepeats", "repeats", "wholePlots"] as const)
    requireCount(name, options[name] ?? 0);
  requireCount("starts", options.starts ?? 1, { min: 1 });
  const axes = makeAxes(options.factors);
  const region = makeRegion(axes, limits, options.survival);
  requireNumber("survivalLevel", options.survivalLevel ?? 0, { min: 0, max: 1 });
  const existingLives = options.existingSurvival ?? existing.map(() => 1);
  requireThat(
    existingLives.length === existing.length,
    `existingSurvival needs one chance per existing coupon (${existing.length}), got ${existingLives.length}`,
  );
  for (const chance of existingLives) requireNumber("existingSurvival", chance, { min: 0, max: 1 });
  const stream = randomStream(options.seed);
  const withControl = session !== undefined && session.control !== false;
  const count =
    session === undefined
      ? coupons
      : runsBesideControls({ coupons, size: session.coupons, blocks, control: withControl });
  const irregular = limits.length > 0 || existing.length > 0;
  const usual =
    axial === undefined
      ? chooseDesign({ axes, coupons: count, irregular, runs: count + existing.length })
      : "central-composite";
  return {
    options,
    design: options.design ?? usual,
    region,
    allowed: requireAllowedPoint(region, stream.split("allowed")),
    count,
    known: existing.map((settings, i) => codedFromSettings(axes, settings, `existing coupon ${i + 1}`)),
    knownLives: existingLives,
    blocks,
    withControl,
    stream,
  };
}
