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
  type BeadShape,
  type BeadSize,
  beadShapes,
  capillaryLength,
  checkWetting,
  fullness,
  heightForArea,
  outlineHeight,
  sectionArea,
  sectionHeightAt,
  toeAngle,
} from "./bead-section.js";
export { type BoundedSetting, isBoundedSetting, requireSetting, settingUnit } from "./bounds.js";
export { checkLump, diffusionTime, surfaceLoss, wallResistance } from "./build-up.js";
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
export { type CoolingBead, type CoolingRate, coolingRate, solidificationTime } from "./cooling-rate.js";
export {
  type CoolingTime,
  type CoolingTimeBead,
  checkCoolingTime,
  coolingTime,
  shapeFactors,
} from "./cooling-time.js";
export { checkWater, waterHeat, waterOutletLimit, waterRise } from "./cooling-water.js";
export { type CupFlow, checkCupFlow, cupBore, cupFlow, flowPerBore, laminarCeiling } from "./cup.js";
export { argonDensity, checkCylinder, cylinderContent } from "./cylinder.js";
export { currentAtDuty, type DutyRating, dutyAt, dutyOfLayers } from "./duty-cycle.js";
export {
  checkEquipment,
  type Equipment,
  type EquipmentCheck,
  type EquipmentLoad,
  type Piece,
  type PieceLoad,
} from "./equipment.js";
export { type EyeShade, eyeShade } from "./eye-shade.js";
export { type CouponGas, couponGas } from "./gas-cost.js";
export {
  dwellTime,
  interpassLimits,
  lumpTemperature,
  lumpTimeConstant,
  type PeriodicRise,
  periodicRise,
} from "./interpass.js";
export { largestLeak, oxygenLeak, pressureLeak } from "./leak.js";
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
export { areaUncertainty, couponsToTellApart, meanHalfWidth, repeatability } from "./measurement.js";
export {
  fastThickWidth,
  fastThinWidth,
  type IsothermSize,
  operatingParameter,
  thickPlatePool,
  thinPlatePool,
} from "./melt-pool.js";
export { checkOverhang, humpingRatio, overhangAngle, overhangShift } from "./overhang.js";
export {
  type BeadsAcross,
  beadsAcross,
  checkSpacing,
  flatTopSpacing,
  meanLayerHeight,
  type Overlap,
  overlapOf,
  tangentSpacingRatio,
} from "./overlap.js";
export { heatedZoneWidth, peakTemperature, type ThinPlateHeat } from "./peak-temperature.js";
export {
  checkPlasma,
  type Orifice,
  type PlasmaSetting,
  plasmaGasFlow,
  plasmaShieldFlow,
} from "./plasma-torch.js";
export { checkSetting, type LoggedSetting } from "./plausibility.js";
export {
  AIR_OXYGEN,
  oxygenAfter,
  oxygenAfterRefills,
  oxygenFloor,
  type Purge,
  purgeTime,
  purgeVolumes,
} from "./purge.js";
export { GOLDEN_ANGLE, helixSlope, type RingTurn, ringTurn, seamAngle } from "./ring.js";
export { checkRoomOxygen, roomOxygen, roomOxygenAfterLoss } from "./room-oxygen.js";
export {
  effectiveThermal,
  type MovingSource,
  thickPlateTemperature,
  thinPlateTemperature,
} from "./rosenthal.js";
export {
  type Basis,
  type Override,
  overridden,
  type SourcedValue,
  sourced,
  withOverrides,
} from "./sourced.js";
export {
  arcVoltageSlope,
  correctionInterval,
  type DriftRegime,
  driftHalfLife,
  driftRegime,
  type GrowthLaw,
  layersToTouch,
  settledStandoff,
  standoffAfter,
  standoffSpread,
  voltageHeightResolution,
} from "./standoff.js";
export {
  austeniticConductivity,
  carbonSteelConductivity,
  carbonSteelSpecificHeat,
} from "./steel-properties.js";
export {
  feedPulseRatio,
  realStep,
  type SteppedFeed,
  type SteppedFeedResult,
  steppedFeed,
} from "./stepped-feed.js";
export {
  checkTungsten,
  type Polarity,
  type TungstenRange,
  tungstenRange,
  tungstenRanges,
} from "./tungsten.js";
export {
  checkSteadyLayers,
  FIRST_LAYERS,
  type WallShape,
  type WallWidths,
  wallLayerHeight,
  wallShape,
} from "./wall.js";
export { checkSampling, type WaveformPower, waveformArcEnergy, waveformPower } from "./waveform.js";
