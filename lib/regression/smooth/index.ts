export {
  type EffectsBeside,
  effectsBeside,
  type Smooth,
  type SmoothEffect,
  type SmoothRows,
  type SmoothSpread,
  smooth,
} from "./smooth.js";
