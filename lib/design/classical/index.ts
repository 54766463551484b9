export { boxBehnken } from "./box-behnken.js";
export { type AxialDistance, type CentralCompositeOptions, centralComposite } from "./central-composite.js";
export { chooseDesign, richestModel } from "./choose-design.js";
export { classicalPlan } from "./classical.js";
export { conferenceMatrix, definitiveScreening } from "./definitive-screening.js";
export {
  describeAliases,
  type FractionalFactorial,
  fractionalFactorial,
  minimumAberration,
} from "./fractional.js";
export { maximinLatinHypercube } from "./latin-hypercube.js";
export { type PlackettBurmanRuns, plackettBurman } from "./plackett-burman.js";
export { twoLevelFactorial } from "./two-level.js";
