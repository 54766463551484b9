export { type EffectsBeside, effectsBeside, type SmoothEffect } from "./effects-beside.js";
export type { SmoothRows, SmoothSpread } from "./kernel.js";
export type { Likely } from "./likeliest.js";
export {
  type ForeseenRow,
  type Smoothing,
  smoothing,
} from "./smooth.js";
