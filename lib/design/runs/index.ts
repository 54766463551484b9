export { type Candidate, candidateOf, centreCandidates, pullInside } from "./candidate.js";
export { type CouponEffort, estimateEffort } from "./effort.js";
export {
  type CodedRun,
  type DesignKind,
  designKinds,
  type Effort,
  type Plan,
  type PlanEffort,
  type PlannedRun,
  type RunRole,
} from "./plan.js";
