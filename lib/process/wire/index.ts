export {
  type CraterFill,
  checkRetract,
  coastLength,
  craterFill,
  extensionChange,
  postFlowTime,
  rampCoastLength,
  sequenceDefaults,
  slopeEnergy,
} from "./arc-stop.js";
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
  checkMeltingRange,
  currentForFeed,
  currentPerExtension,
  type MeltingCoefficients,
  meltingCoefficients,
  meltingSpeed,
  scaleMelting,
} from "./consumable-melting.js";
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
export { standardWireDiameters } from "./standard-diameters.js";
export {
  feedPulseRatio,
  realStep,
  type SteppedFeed,
  type SteppedFeedResult,
  steppedFeed,
} from "./stepped-feed.js";
