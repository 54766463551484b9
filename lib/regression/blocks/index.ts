export { type BlockedProblem, withBlockOffsets } from "./block-offsets.js";
export {
  type BlockEffect,
  type BlockedObservations,
  fitRandomBlock,
  type RandomBlockFit,
  type RandomBlockOptions,
} from "./reml.js";
