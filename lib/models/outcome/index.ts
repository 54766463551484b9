export { type Coordinate, toCoordinates } from "./coordinates.js";
export type { CheckModel } from "./fit-checks.js";
export type { OlderStudy } from "./older-study.js";
export {
  buildOutcomeModel,
  type OutcomeModel,
  type OutcomeModelOptions,
} from "./outcome-model.js";
export { makePredictor, type Prediction, type Predictor } from "./predictor.js";
export type { Transfer } from "./transfer.js";
