export type { Affine } from "./affine.js";
export type { BoundaryDraw } from "./boundary.js";
export type { ControlSetting } from "./control-setting.js";
export { type Coordinate, toCoordinates } from "./coordinates.js";
export type { BasisShape } from "./departure-basis.js";
export { dimensionsChance } from "./dimensions-chance.js";
export type { CheckModel } from "./fit-checks.js";
export type { LatentModel } from "./latent.js";
export type { Estimate, LatentPosterior } from "./latent-fit.js";
export { type KernelPoint, type LatentKernel, makeLatentKernel } from "./latent-kernel.js";
export type { LatentPrior, LatentRole, LogNormal } from "./latent-prior.js";
export type { LatentTie } from "./latent-tie.js";
export type { Margin } from "./margins.js";
export type { OlderStudy } from "./older-study.js";
export {
  buildOutcomeModel,
  type OutcomeModel,
  type OutcomeModelOptions,
} from "./outcome-model.js";
export { type Believed, believedPriors } from "./own-coupons.js";
export type { PredictionAt } from "./prediction-at.js";
export { makePredictor, type Predictor } from "./predictor.js";
export { fromLinkScale, type LinkScale, type ResponseLink, toLinkScale } from "./response-link.js";
export type { SuspectCoupon } from "./suspects.js";
export type { Transfer } from "./transfer.js";
