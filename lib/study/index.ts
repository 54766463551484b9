export type { Coupon, Scatter } from "./coupon.js";
export {
  type Base,
  type Costs,
  type Factor,
  type Gas,
  type Limit,
  type LinearLimit,
  type Quantity,
  type QuantityLimit,
  type Response,
  type Rig,
  type Spec,
  STUDY_SCHEMA,
  type StudyDefinition,
  type Wire,
} from "./definition.js";
export { parseStudyDefinition } from "./parse-definition.js";
