export {
  arcEnergy,
  conventionalVoltage,
  heatInput,
  netPower,
  nominalEfficiencies,
  physicalEfficiencies,
} from "./arc-energy.js";
export { type ArcProcess, arcProcessOf } from "./arc-process.js";
export {
  type BeadShape,
  type BeadSize,
  beadShapes,
  capillaryLength,
  checkWetting,
  fullness,
  heightForArea,
  sectionArea,
  sectionHeightAt,
  toeAngle,
} from "./bead-section.js";
export { type BoundedSetting, requireSetting } from "./bounds.js";
export {
  type ArcSetting,
  type ColdWireSetting,
  type DropBridging,
  dropBridging,
  feedCeiling,
  hangingDropDiameter,
  type MeltingData,
  meltingEnthalpy,
  wireLoad,
  wireShare,
  wireShareCeiling,
} from "./cold-wire.js";
export {
  type AreaEstimates,
  areaFromWeighing,
  beadArea,
  checkMassBalance,
  depositedVolumeRate,
  depositionEfficiencies,
  depositionRate,
  feedForArea,
  linearMass,
  spoolTime,
  type WireSetting,
  wireArea,
  wireForVolume,
} from "./mass-balance.js";
export { cardEnthalpy, materialCard, materialCards } from "./material-card.js";
export type { AlloyFamily, CardProperty, MaterialCard } from "./material-types.js";
export {
  type Basis,
  type Override,
  overridden,
  type SourcedValue,
  sourced,
  withOverrides,
} from "./sourced.js";
