export {
  type BurnBackAdvice,
  burnBackTimeFor,
  fitMeltBack,
  type MeltBackFit,
  type StopReading,
} from "./melt-back.js";
export {
  delayForSticking,
  fitSticking,
  type SafeDelay,
  type StickingFit,
  stickingChance,
  type WireStop,
} from "./sticking.js";
