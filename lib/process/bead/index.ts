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
export { areaUncertainty, couponsToTellApart, meanHalfWidth, repeatability } from "./measurement.js";
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
export { GOLDEN_ANGLE, helixSlope, type RingTurn, ringTurn, seamAngle } from "./ring.js";
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
export { type SectionKind, type UsualFullness, usualFullness } from "./usual-fullness.js";
export {
  checkSteadyLayers,
  FIRST_LAYERS,
  type WallShape,
  type WallWidths,
  wallLayerHeight,
  wallShape,
} from "./wall.js";
