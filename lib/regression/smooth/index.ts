export {
  type Smooth,
  type SmoothEffect,
  type SmoothRows,
  type SmoothSpread,
  smooth,
  smoothEffects,
} from "./smooth.js";
