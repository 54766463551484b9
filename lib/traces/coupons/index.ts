export { assignRuns, type CouponTrace } from "./assign-runs.js";
export {
  ranOtherwise,
  type SetAgainstRan,
  type SettingAllowance,
  setAgainstRan,
  type TracedSetting,
  tracedOtherwise,
  tracedSettings,
  usualAllowance,
} from "./set-against-ran.js";
export {
  type BeadRun,
  energyPerLength,
  ranSettings,
  setTravelSpeed,
  tracedContext,
} from "./traced-context.js";
