export { type BlockedProblem, withBlockOffsets } from "./block-offsets.js";
export type { BlockedObservations } from "./blocked-observations.js";
export { blockEstimatesWithout } from "./left-out.js";
export { type BlockPrediction, predictRandomBlock } from "./predict-block.js";
export {
  type BlockEffect,
  fitRandomBlock,
  type RandomBlockFit,
  type RandomBlockOptions,
  type VarianceDoubt,
} from "./reml.js";
