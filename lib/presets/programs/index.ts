export {
  type CouponProgram,
  couponProgram,
  type ProgramCoupon,
  type ProgramOptions,
} from "./coupon-program.js";
export { drawCouponProgram } from "./draw-program.js";
export type { Footprint, PlacedBox, Plate } from "./plate-layout.js";
export { couponProgramText } from "./program-text.js";
export { type Bead, type BeadMove, type CouponShape, type Place, shapeKinds } from "./shapes.js";
