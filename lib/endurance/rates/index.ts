export { cleanTrialsToShow, type ExactBounds, rateBounds, requireConfidence, shareBounds } from "./bounds.js";
export { compareRates, type EventRecord, type RateComparison } from "./compare-rates.js";
export { type CleanChance, cleanExposure, cleanTrials, JEFFREYS_RATE, type RatePrior } from "./finish.js";
