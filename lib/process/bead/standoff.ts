import { BeadbenchError, requireNumber } from "../../errors/index.js";
import { type SourcedValue, sourced } from "../handbook/index.js";

/** How much a layer grows, by the stand-off it is laid with: h(s) = h0 + kappa (s - s0). */
export interface GrowthLaw {
  /** h0, mm per layer. */
  readonly growth: number;
  /** s0, mm: stand-off at which the growth is h0. */
  readonly at: number;
  /** kappa, mm of growth per mm of stand-off. */
  readonly slope: number;
}

/** What a slope does to a stand-off that has been disturbed. */
export type DriftRegime = "settles" | "swings" | "neutral" | "runs-away";

/**
 * What a growth slope does to a disturbance, which each layer multiplies by 1 - kappa.
 *
 * MIG/MAG at constant feed grows more on a longer stand-off and settles; TIG at constant current grows
 * less or alike, and runs away.
 *
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 * @source derived from s[n+1] = s[n] + dz - h(s[n])
 * @example driftRegime(0.1) // => "settles"
 */
export function driftRegime(slope: number): DriftRegime {
  const multiplier = 1 - requireNumber("growth slope", slope);
  if (multiplier === 1) return "neutral";
  if (Math.abs(multiplier) >= 1) return "runs-away";
  return multiplier >= 0 ? "settles" : "swings";
}

/**
 * Mean stand-off before layer n, when the first (n = 0) is laid at `start`.
 *
 *     s[n+1] = s[n] + dz - h(s[n])
 *
 * @returns mm
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 * @example standoffAfter({ law: { growth: 1.5, at: 3, slope: 0.1 }, start: 3, rise: 1.6, layers: 10 }) // => 3.65132
 */
export function standoffAfter({
  law,
  start,
  rise,
  layers,
}: {
  readonly law: GrowthLaw;
  /** Mm. */
  readonly start: number;
  /** dz, programmed rise per layer, mm. */
  readonly rise: number;
  /** N. */
  readonly layers: number;
}): number {
  requireNumber("layers", layers, { min: 0 });
  const gain = rise - law.growth - law.slope * (start - law.at);
  if (law.slope === 0) return start + layers * gain;
  return start + (gain * (1 - (1 - law.slope) ** layers)) / law.slope;
}

/**
 * Stand-off at which growth and rise agree, s* = s0 + (dz - h0)/kappa; reached only when the law settles.
 *
 * @throws {BeadbenchError} `infeasible` when growth does not depend on the stand-off
 * @example settledStandoff({ growth: 1.5, at: 3, slope: 0.1 }, 1.6) // => 4
 */
export function settledStandoff(law: GrowthLaw, rise: number): number {
  if (law.slope === 0) {
    throw new BeadbenchError(
      "infeasible",
      "growth does not depend on the stand-off: there is none at which it settles",
    );
  }
  return law.at + (rise - law.growth) / law.slope;
}

/**
 * Layers in which a disturbance halves; null unless the law settles without swinging.
 *
 * @example driftHalfLife(0.1) // => 6.5788
 */
export function driftHalfLife(slope: number): number | null {
  return slope > 0 && slope < 1 ? Math.log(0.5) / Math.log1p(-slope) : null;
}

/**
 * Whole layers until a stand-off that does not feed back shrinks to its least value.
 *
 *     floor((s0 - s_min)/(h0 - dz))
 *
 * @returns layers; null when the stand-off does not shrink
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 * @example layersToTouch({ start: 3, least: 0.5, growth: 1.5, rise: 1.4 }) // => 25
 */
export function layersToTouch(drift: {
  readonly start: number;
  readonly least: number;
  readonly growth: number;
  readonly rise: number;
}): number | null {
  requireNumber("stand-off at the start", drift.start, { min: drift.least, unit: "mm" });
  const shrink = drift.growth - drift.rise;
  if (shrink <= 0) return null;
  // Decimal settings such as 1.5 - 1.4 must not lose a layer to binary rounding.
  return Math.floor((drift.start - drift.least) / shrink + 1e-9);
}

/**
 * Spread of the stand-off after n layers of random height: a random walk sigma sqrt(n) without
 * feedback, levelling off at sigma / sqrt(1 - (1 - kappa)^2) with it.
 *
 * @param layerSd - sigma, mm
 * @returns sd, mm
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 * @example standoffSpread(0.1, 0, 50) // => 0.7071
 */
export function standoffSpread(layerSd: number, slope: number, layers: number): number {
  requireNumber("sd of the layer height", layerSd, { min: 0, unit: "mm" });
  requireNumber("layers", layers, { min: 0 });
  const squared = (1 - slope) ** 2;
  if (Math.abs(squared - 1) < 1e-12) return layerSd * Math.sqrt(layers);
  return layerSd * Math.sqrt((1 - squared ** layers) / (1 - squared));
}

/**
 * Layers after which a stand-off without feedback must be corrected, to stay within a margin at two sd.
 *
 *     (margin / (2 sigma))^2
 *
 * @returns whole layers, at least 1
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 * @example correctionInterval(0.8, 0.1) // => 16
 */
export function correctionInterval(margin: number, layerSd: number): number {
  requireNumber("margin", margin, { above: 0, unit: "mm" });
  requireNumber("sd of the layer height", layerSd, { above: 0, unit: "mm" });
  return Math.max(1, Math.floor((margin / (2 * layerSd)) ** 2 + 1e-9));
}

/** Arc voltage per mm of arc length, argon TIG at 100 to 200 A; measure it by a three-point step test. */
export const arcVoltageSlope: SourcedValue = sourced(
  0.8,
  "V/mm",
  "from memory",
  "common practice; calibrate on the rig after each tungsten grind",
  [0.5, 1],
);

/**
 * Height an arc-voltage reading resolves.
 *
 * @param voltageNoise - V
 * @param slope - V/mm. Default {@link arcVoltageSlope}
 * @returns mm
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 * @example voltageHeightResolution(0.1) // => 0.125
 */
export function voltageHeightResolution(voltageNoise: number, slope: number = arcVoltageSlope.value): number {
  requireNumber("voltage noise", voltageNoise, { min: 0, unit: "V" });
  return voltageNoise / requireNumber("arc voltage slope", slope, { above: 0, unit: "V/mm" });
}
