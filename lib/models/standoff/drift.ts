import { type Finding, requireCount, requireNumber, requireThat } from "../../errors/index.js";
import { fixed, mean, normalQuantile, standardDeviation } from "../../numeric/index.js";
import { driftFindings } from "./drift-findings.js";
import type { Estimate } from "./estimate.js";
import { type FilterSettings, filterSeries } from "./filter.js";
import type { RegulationVerdict } from "./kinds.js";
import { type LayerReading, type StationSeries, stationSeries } from "./layer-log.js";
import { type OddReading, oddFindings, setOddApart } from "./odd-readings.js";
import { type PlainSlopes, plainSlopes } from "./plain-slopes.js";
import {
  type DriftPosterior,
  driftPosterior,
  equalRigs,
  type SlopePrior,
  type WeighedRig,
  weighedQuantile,
} from "./posterior.js";
import { type RigTraits, slopeWithin } from "./traits.js";

/** What a layer log says about the drift of the stand-off. */
export interface DriftFit {
  /** kappa over the stand-offs of the log, mm of growth per mm of stand-off; 0 is a value of its own. */
  readonly slope: Estimate;
  /** Chance that a disturbed stand-off comes back: kappa between 0 and 2. */
  readonly chanceRegulating: number;
  /** Chance that a disturbed stand-off moves further off: kappa below 0 or above 2. */
  readonly chanceRunsAway: number;
  readonly verdict: RegulationVerdict;
  /** Random part of the layer height, lasting parts included, sd, mm. */
  readonly layerSd: Estimate;
  /** Growth of the layer to come at the reference stand-off, place by place, mm. */
  readonly growth: readonly (Estimate & { readonly station: string })[];
  /** Stand-off the growth refers to, mm: the mean of the log. */
  readonly reference: number;
  readonly level: number;
  readonly gaugeSd: number;
  /** Plain regressions, to show what the gauge does to them; null without three measured layers in a row. */
  readonly plain: PlainSlopes | null;
  /** Structures the log leaves possible, and rigs of equal chance. */
  readonly posterior: DriftPosterior;
  /** The log as fitted; readings set apart are null. */
  readonly series: readonly StationSeries[];
  /** Readings that do not fit their neighbours. */
  readonly odd: readonly OddReading[];
  readonly findings: readonly Finding[];
}

export interface DriftOptions {
  /** Standard deviation of one stand-off reading, mm; from repeated readings. */
  readonly gaugeSd: number;
  /** Layers 1 to this one are left out. Default 3. */
  readonly skipLayers?: number;
  /** Belief about the slope before the log, of a straight law. Default the structures of {@link DRIFT_BELIEFS}. */
  readonly prior?: SlopePrior;
  /** Of the intervals. Default 0.95. */
  readonly level?: number;
  /** Points at which each structure is tried. Default 128. */
  readonly points?: number;
}

/**
 * Growth and its dependence on the stand-off, from a layer log, with the gauge's noise taken out.
 *
 *     s[n+1] = s[n] + dz[n] - h[n] - f(s[n]) + scatter, y[n] = s[n] + gauge noise
 *
 * Structures are averaged over by their chance, since thirty layers seldom tell them apart: growth that does
 * not answer the stand-off, answers it in proportion, up to a limit, or the wrong way; that stays or changes
 * steadily, as with heat; scatter that is independent, lasts some layers or walks. Within each, a Kalman
 * filter with known gauge sd and importance sampling of the unknowns; see {@link DRIFT_BELIEFS}. Regressing
 * growth on measured stand-off instead puts the noise on both sides and finds every rig too stable. A log in
 * which the stand-off hardly moves tells little about the slope: start it off its target, or step the rise,
 * to learn more. A single reading that its neighbours do not bear out is named, and left out where it can
 * hardly be true.
 *
 * @throws {BeadbenchError} `not-enough-data` below five measured layers above the first ones
 * @source Hoeting, Madigan, Raftery and Volinsky, Statist. Sci. 14 (1999) 382 (averaging over structures);
 *   Geweke, Econometrica 57 (1989) 1317 (importance sampling)
 */
export function fitDrift(readings: readonly LayerReading[], options: DriftOptions): DriftFit {
  const { gaugeSd, level = 0.95, prior, points = 128 } = options;
  requireNumber("gauge sd (from repeated readings of one stand-off)", gaugeSd, {
    above: 0,
    max: 5,
    unit: "mm",
  });
  requireNumber("level", level, { above: 0, below: 1 });
  requireCount("points", points, { min: 16, max: 65_536 });
  if (prior !== undefined) {
    requireNumber("prior mean of the slope", prior.mean);
    requireNumber("prior sd of the slope", prior.sd === Infinity ? 1 : prior.sd, { above: 0 });
  }
  const { series, odd } = setOddApart(stationSeries(readings, options.skipLayers), gaugeSd);
  const measured = series.flatMap(({ standoff }) => standoff.filter((s) => s !== null));
  const reference = mean(measured);
  const settings = { gaugeVariance: gaugeSd ** 2, reference, growth: GROWTH_BELIEF };
  const layerHeight = Math.max(LEAST_LAYER, mean(series.map(meanGrowth)));
  const { kinds, rigs } = driftPosterior({ series, settings, layerHeight, points, slopePrior: prior });
  const spread = standardDeviation(measured);
  const slope = estimateOf(rigs, (traits) => slopeWithin(traits, spread), level);
  const chanceOf = (test: (slope: number) => boolean): number =>
    rigs.reduce((sum, { traits, weight }) => (test(traits.slope) ? sum + weight : sum), 0);
  const chanceRegulating = chanceOf((slope) => slope > 0 && slope < 2);
  const chanceRunsAway = chanceOf((slope) => slope < 0 || slope > 2);
  const sure = (1 + level) / 2;
  const verdict =
    chanceRegulating >= sure ? "self-regulating" : chanceRunsAway >= sure ? "runs-away" : "cannot-tell";
  const plain = plainSlopes(series);
  const kept = equalRigs(rigs, RIGS, "weight");
  const growth = series.map((one) => growthOf({ one, rigs: kept, settings, level }));
  requireGrowth(growth);
  return {
    slope,
    chanceRegulating,
    chanceRunsAway,
    verdict,
    layerSd: estimateOf(rigs, ({ layerSd, wanderSd }) => Math.hypot(layerSd, wanderSd), level),
    growth,
    reference,
    level,
    gaugeSd,
    plain,
    posterior: { kinds, rigs: kept, ahead: equalRigs(rigs, RIGS, "weightAhead"), growth: GROWTH_BELIEF },
    series,
    odd,
    findings: [...oddFindings(odd), ...driftFindings({ slope, verdict, plain, series, kinds })],
  };
}

/** Layers of an arc are 0.5 to 5 mm high, mm: so weak that any log overrules it. Common practice, no source. */
const GROWTH_BELIEF = { mean: 2, sd: 5 } as const;
/** mm; common practice, no source. */
const LARGEST_LAYER = 12;
/** Scale of the beliefs for logs whose layers come out lower still, mm. */
const LEAST_LAYER = 0.3;
/** Rigs kept for forecasts. */
const RIGS = 500;

/** Plain mean growth between first and last reading, mm. */
function meanGrowth({ standoff, rise }: StationSeries): number {
  const last = standoff.findLastIndex((value) => value !== null);
  const risen = rise.slice(0, last).reduce((sum, value) => sum + value, 0);
  return (risen - (standoff[last]! - standoff[0]!)) / last;
}

/** Median and equal-tailed limits. */
function estimateOf(
  rigs: readonly WeighedRig[],
  value: (traits: WeighedRig["traits"]) => number,
  level: number,
): Estimate {
  const values = rigs.map(({ traits }) => value(traits));
  const weights = rigs.map(({ weight }) => weight);
  return {
    estimate: weighedQuantile(values, weights, 0.5),
    lower: weighedQuantile(values, weights, (1 - level) / 2),
    upper: weighedQuantile(values, weights, (1 + level) / 2),
  };
}

/** Mean and normal-theory interval of the growth at the reference, over the rigs. */
function growthOf({
  one,
  rigs,
  settings,
  level,
}: {
  readonly one: StationSeries;
  readonly rigs: readonly RigTraits[];
  readonly settings: FilterSettings;
  readonly level: number;
}): Estimate & { readonly station: string } {
  const parts = rigs.map((traits) => {
    const { mean, covariance } = filterSeries(one, traits, settings);
    return { growth: mean[1], variance: covariance[2]! };
  });
  const estimate = mean(parts.map(({ growth }) => growth));
  const variance = mean(parts.map(({ growth, variance }) => variance + (growth - estimate) ** 2));
  const half = normalQuantile((1 + level) / 2) * Math.sqrt(variance);
  return { station: one.station, estimate, lower: estimate - half, upper: estimate + half };
}

/** Layers no arc lays: a slip of unit or sign in the log. */
function requireGrowth(growth: readonly (Estimate & { readonly station: string })[]): void {
  for (const { station, estimate, upper } of growth) {
    const where = station === "" ? "" : ` at ${station}`;
    requireThat(
      upper > 0 && estimate < LARGEST_LAYER,
      `layers${where} come out ${fixed(estimate, 2)} mm high, where an arc lays 0.5 to 5 mm: check sign and unit of the columns rise and standoff (rise is how far the torch goes up after a layer)`,
    );
  }
}
