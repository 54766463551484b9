export { checkLump, diffusionTime, surfaceLoss, wallResistance } from "./build-up.js";
export { type CoolingBead, type CoolingRate, coolingRate, solidificationTime } from "./cooling-rate.js";
export {
  type CoolingTime,
  type CoolingTimeBead,
  checkCoolingTime,
  coolingTime,
  shapeFactors,
} from "./cooling-time.js";
export {
  dwellTime,
  interpassLimits,
  lumpTemperature,
  lumpTimeConstant,
  type PeriodicRise,
  periodicRise,
} from "./interpass.js";
export {
  fastThickWidth,
  fastThinWidth,
  type IsothermSize,
  operatingParameter,
  thickPlatePool,
  thinPlatePool,
} from "./melt-pool.js";
export { heatedZoneWidth, peakTemperature, type ThinPlateHeat } from "./peak-temperature.js";
export {
  effectiveThermal,
  type MovingSource,
  thickPlateTemperature,
  thinPlateTemperature,
} from "./rosenthal.js";
