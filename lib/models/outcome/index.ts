export { type Coordinate, toCoordinates } from "./coordinates.js";
export type { CheckModel } from "./fit-checks.js";
export type { OlderStudy } from "./older-study.js";
export {
  buildOutcomeModel,
  type OutcomeModel,
  type OutcomeModelOptions,
} from "./outcome-model.js";
export type { PredictionAt } from "./prediction-at.js";
export { makePredictor, type Predictor } from "./predictor.js";
export { type Prior, type PriorName, type Priors, priors } from "./priors.js";
export { type PriorValues, resolvePriors } from "./resolve-priors.js";
export { fromLinkScale, toLinkScale } from "./response-link.js";
export type { Transfer } from "./transfer.js";
