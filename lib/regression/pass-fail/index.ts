export { fitLogistic, type LogisticFit } from "./logistic.js";
export type { LogisticOptions, PassFailObservations } from "./logistic-data.js";
export { logisticChance } from "./logistic-likelihood.js";
export { type ChanceEstimate, type ChanceOptions, logitAt, predictLogistic } from "./logistic-predict.js";
export { fitOrdinal, type OrdinalFit, type OrdinalOptions } from "./ordinal.js";
export { type GradeChances, predictOrdinal } from "./ordinal-predict.js";
export type { EffectPrior, GradedObservations } from "./ordinal-problem.js";
