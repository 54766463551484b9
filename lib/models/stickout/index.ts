export {
  fitArcVoltage,
  fitMeltingLaw,
  fitTipDistance,
  heightResolution,
  type MeltingReading,
  type StickoutFit,
} from "./stickout.js";
