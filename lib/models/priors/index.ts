export { type Prior, type PriorName, type Priors, priors, usualPriors } from "./priors.js";
export { type PriorValues, type ResolvedPriors, resolvePriors } from "./resolve-priors.js";
