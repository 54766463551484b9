export { blockOf } from "./block-of.js";
export {
  arcVoltageOrTypical,
  type DerivedQuantityName,
  derivedQuantities,
  derivedQuantity,
  knownQuantity,
  neededFor,
  type RigPhysics,
  rigPhysics,
  wireCard,
} from "./derived.js";
export { type CouponCost, couponCost } from "./effort.js";
export { equipmentLoad } from "./equipment-load.js";
export { areGrades } from "./grades-by-eye.js";
export {
  type LayerSelection,
  type LayerSet,
  layerSetOf,
  selectLayers,
} from "./layer-sets.js";
export { type SettingLimit, settingLimits } from "./limits.js";
export { type MeasuredSize, measuredSize, responsesOf, type SizeRole } from "./measured-sizes.js";
export { asksNothing, checksOf, dimensionsOf, fittedBy, gaveDimensions, unlimited } from "./response-role.js";
export { partnerNames, type SizePair, sectionKindOf, sizePairs, usualFullnessOf } from "./size-pairs.js";
export { handbookPriors, type PriorKind, priorFault, requirePrior, studyPrior } from "./study-prior.js";
