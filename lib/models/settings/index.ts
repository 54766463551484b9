export { absurdity, refusalOfCoupon } from "./absurdity.js";
export {
  isPhysicalQuantity,
  type PhysicalQuantity,
  type PhysicalSetting,
  physicalSetting,
  physicalUnits,
} from "./physical-setting.js";
export { physicalSettingOf, physicalSettingOfCoupon, type Settings, usualSetting } from "./study-setting.js";
