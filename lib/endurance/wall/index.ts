export { foresee, growthAhead, type LayerBand, type WallCourse } from "./foresee.js";
export { type GrowthCell, type GrowthPosterior, growthPosterior } from "./growth-fit.js";
export type { GrowthBelief } from "./growth-state.js";
export { heatBuildUp, type LayerHeat, type WallHeat } from "./heat-build-up.js";
export { type WallReading, type WallSeries, wallSeries } from "./wall-log.js";
