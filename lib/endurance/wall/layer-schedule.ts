import type { Finding } from "../../errors/index.js";
import type { Quantity } from "../../units/index.js";
import type { Assumption } from "../assumptions/index.js";

/** One layer of a wall to be built. Lengths in mm, times in s, temperatures in degC. */
export interface ScheduledLayer {
  /** Counted from 1 at the base. */
  readonly layer: number;
  /** How far the torch is raised before this layer; 0 before the first, which is set by touch. */
  readonly rise: number;
  /** Only what differs from the preset. */
  readonly settings: Readonly<Record<string, Quantity>>;
  /** Wait before this layer. */
  readonly dwell: number;
  /** Where the arc comes by, as the layer begins. */
  readonly temperature?: number;
  /** Before this layer: expected, and the band of one layer at a time. */
  readonly standoff: number;
  readonly standoffLow: number;
  readonly standoffHigh: number;
  /** Measure the stand-off before this layer and set it anew. */
  readonly relevel: boolean;
  /** What the layer is expected to grow, and the band of one layer of one wall. */
  readonly growth: number;
  readonly growthLow: number;
  readonly growthHigh: number;
}

/** The layers of a wall in order, and what they rest on. */
export interface LayerSchedule {
  readonly layers: readonly ScheduledLayer[];
  /** Arc path of one layer, mm, and what every layer is laid with where it does not say otherwise. */
  readonly path: number;
  readonly settings: Readonly<Record<string, Quantity>>;
  /** Temperature above which no layer begins, degC; null where none was asked for. */
  readonly interpass: number | null;
  /** Stand-off held, and those at which the torch touches and at which arc or gas cover is lost, mm. */
  readonly standoff: number;
  readonly touch: number;
  readonly tooLong: number;
  /** Of the bands. */
  readonly level: number;
  /** Height of the wall, mm. */
  readonly height: number;
  /** Layers between levellings; null for none. */
  readonly relevelEvery: number | null;
  readonly findings: readonly Finding[];
  readonly cautions: readonly string[];
  readonly assumptions: readonly Assumption[];
}
