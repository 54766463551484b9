export { argonDensity } from "./argon-density.js";
export { type CupFlow, checkCupFlow, cupBore, cupFlow, flowPerBore, laminarCeiling } from "./cup.js";
export { checkCylinder, cylinderContent, usableGas } from "./cylinder.js";
export { type CouponGas, couponGas } from "./gas-cost.js";
export { designatedGas } from "./gas-designation.js";
export { type GasMixture, gasInCylinder, type MixedGas, mixtureContent, readMixture } from "./gas-mixture.js";
export { largestLeak, oxygenLeak, pressureLeak } from "./leak.js";
export {
  AIR_OXYGEN,
  oxygenAfter,
  oxygenAfterRefills,
  oxygenFloor,
  type Purge,
  purgeTime,
  purgeVolumes,
} from "./purge.js";
export { checkRoomOxygen, roomOxygen, roomOxygenAfterLoss } from "./room-oxygen.js";
