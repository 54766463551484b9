export {
  measureArea,
  measureWidths,
  type PhotoMeasure,
  type PhotoReading,
  type PhotoScale,
} from "./measure.js";
export { chordDoubt, outlineArea } from "./outline.js";
export { type Corners, distance, type Plane, type Point, planeOfLength, planeOfRectangle } from "./plane.js";
export { widthsBetween } from "./widths.js";
