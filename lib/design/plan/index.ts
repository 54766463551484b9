export { planCoupons } from "./plan-coupons.js";
export type { PlanOptions } from "./plan-options.js";
