export {
  fitSection,
  type SectionCandidate,
  type SectionFit,
  type SectionMeasure,
  type SectionOptions,
} from "./fit-section.js";
export type { SectionPoint } from "./level.js";
export { type SectionShape, sectionShapes } from "./outline.js";
export type { OutlineParameters } from "./outline-fit.js";
export { type SectionReadings, sectionReadings } from "./section-readings.js";
export { type ProfiledLayer, type WallPoint, wallProfile } from "./wall-profile.js";
