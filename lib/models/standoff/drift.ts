import { type Finding, requireNumber, requireThat } from "../../errors/index.js";
import { mean, normalQuantile } from "../../numeric/index.js";
import { filterSeries } from "./filter.js";
import { type LayerReading, type StationSeries, stationSeries } from "./layer-log.js";
import { type PlainSlopes, plainSlopes } from "./plain-slopes.js";
import { type SlopePosterior, type SlopePrior, slopePosterior } from "./slope-posterior.js";

/** A number with its interval. */
export interface Estimate {
  readonly estimate: number;
  readonly lower: number;
  readonly upper: number;
}

/** Whether a rig brings its own stand-off back. */
export type RegulationVerdict = "self-regulating" | "runs-away" | "cannot-tell";

/** What a layer log says about the drift of the stand-off. */
export interface DriftFit {
  /** kappa, mm of growth per mm of stand-off. */
  readonly slope: Estimate;
  /** Chance that kappa lies above 0. */
  readonly chanceRegulating: number;
  readonly verdict: RegulationVerdict;
  /** Random part of the layer height, sd, mm. */
  readonly layerSd: Estimate;
  /** Growth per layer at the reference stand-off, place by place, mm. */
  readonly growth: readonly (Estimate & { readonly station: string })[];
  /** Stand-off the growth refers to, mm: the mean of the log. */
  readonly reference: number;
  readonly level: number;
  readonly gaugeSd: number;
  /** Plain regressions, to show what the gauge does to them; null without three measured layers in a row. */
  readonly plain: PlainSlopes | null;
  readonly posterior: SlopePosterior;
  readonly series: readonly StationSeries[];
  readonly findings: readonly Finding[];
}

/** A slope of 0.5 mm of growth per mm of stand-off is already large: weak, and open to both signs. */
export const WEAK_SLOPE_PRIOR: SlopePrior = { mean: 0, sd: 0.5 };

export interface DriftOptions {
  /** Standard deviation of one stand-off reading, mm; from repeated readings. */
  readonly gaugeSd: number;
  /** Layers 1 to this one are left out. Default 3. */
  readonly skipLayers?: number;
  /** Belief about the slope before the log. Default {@link WEAK_SLOPE_PRIOR}. */
  readonly prior?: SlopePrior;
  /** Of the intervals. Default 0.95. */
  readonly level?: number;
  /** Grid cells along slope and spread. Default 41 and 25. */
  readonly cells?: readonly [slopes: number, spreads: number];
}

/**
 * Growth and its dependence on the stand-off, from a layer log, with the gauge's noise taken out.
 *
 *     s[n+1] = s[n] + dz[n] - h0 - kappa (s[n] - s_ref) + layer scatter, y[n] = s[n] + gauge noise
 *
 * State-space fit by restricted likelihood with known gauge sd; regressing growth on measured stand-off
 * instead puts the noise on both sides and finds every rig too stable. A log in which the stand-off hardly
 * moves tells little about the slope: start it off its target, or step the rise, to learn more.
 *
 * @throws {BeadbenchError} `not-enough-data` below six measured layers above the first ones
 * @source Harville, JASA 72 (1977) 320 (restricted likelihood); Cheang and Reinsel, JASA 95 (2000) 1173
 */
export function fitDrift(readings: readonly LayerReading[], options: DriftOptions): DriftFit {
  const { gaugeSd, level = 0.95, prior = WEAK_SLOPE_PRIOR, cells = [41, 25] } = options;
  requireNumber("gauge sd (from repeated readings of one stand-off)", gaugeSd, {
    above: 0,
    max: 5,
    unit: "mm",
  });
  requireNumber("level", level, { above: 0, below: 1 });
  requireNumber("prior sd of the slope", prior.sd === Infinity ? 1 : prior.sd, { above: 0 });
  const series = stationSeries(readings, options.skipLayers);
  const reference = mean(series.flatMap(({ standoff }) => standoff.filter((s) => !Number.isNaN(s))));
  const posterior = slopePosterior(series, gaugeSd, reference, prior, cells);
  const { slopes, layerSds, weights } = posterior;
  const slopeWeights = slopes.map((_, i) =>
    sum(weights.slice(i * layerSds.length, (i + 1) * layerSds.length)),
  );
  const spreadWeights = layerSds.map((_, j) => sum(slopes.map((_s, i) => weights[i * layerSds.length + j]!)));
  const slope = { estimate: posterior.slope, ...limits(slopes, slopeWeights, level) };
  const verdict = verdictOf(slope);
  const plain = plainSlopes(series);
  const growth = series.map((one) => growthOf(one, posterior, gaugeSd, reference, level));
  requireGrowth(growth);
  return {
    slope,
    chanceRegulating: 1 - chanceBelow(slopes, slopeWeights, 0),
    verdict,
    layerSd: { estimate: posterior.layerSd, ...limits(layerSds, spreadWeights, level) },
    growth,
    reference,
    level,
    gaugeSd,
    plain,
    posterior,
    series,
    findings: findingsOf(slope, verdict, plain, series),
  };
}

/** mm; common practice, no source. */
const LARGEST_LAYER = 12;

function verdictOf({ lower, upper }: Estimate): RegulationVerdict {
  if (lower > 0 && upper < 2) return "self-regulating";
  return upper < 0 || lower > 2 ? "runs-away" : "cannot-tell";
}

function sum(values: readonly number[]): number {
  return values.reduce((a, b) => a + b, 0);
}

/** Chance below a value under equal cells with these weights. */
function chanceBelow(centres: readonly number[], weights: readonly number[], value: number): number {
  const cell = centres[1]! - centres[0]!;
  return sum(
    centres.map((centre, i) => weights[i]! * Math.min(1, Math.max(0, (value - centre) / cell + 0.5))),
  );
}

/** Equal-tailed limits of a belief on equal cells. */
function limits(
  centres: readonly number[],
  weights: readonly number[],
  level: number,
): { readonly lower: number; readonly upper: number } {
  const cell = centres[1]! - centres[0]!;
  const at = (chance: number): number => {
    let below = 0;
    for (let i = 0; i < centres.length; i++) {
      if (below + weights[i]! >= chance) return centres[i]! + cell * ((chance - below) / weights[i]! - 0.5);
      below += weights[i]!;
    }
    return centres.at(-1)! + cell / 2;
  };
  return { lower: at((1 - level) / 2), upper: at((1 + level) / 2) };
}

/** Mean and normal-theory interval of the growth at the reference, over slope and spread. */
function growthOf(
  one: StationSeries,
  posterior: SlopePosterior,
  gaugeSd: number,
  reference: number,
  level: number,
): Estimate & { readonly station: string } {
  const { slopes, layerSds, weights } = posterior;
  const parts = weights.map((weight, cell) => {
    const spread = layerSds[cell % layerSds.length]!;
    const slope = slopes[Math.floor(cell / layerSds.length)]!;
    const { growth, growthVariance } = filterSeries(one, slope, spread ** 2, gaugeSd ** 2, reference);
    return { weight, growth, growthVariance };
  });
  const estimate = sum(parts.map(({ weight, growth }) => weight * growth));
  const variance = sum(
    parts.map(({ weight, growth, growthVariance }) => weight * (growthVariance + (growth - estimate) ** 2)),
  );
  const half = normalQuantile((1 + level) / 2) * Math.sqrt(variance);
  return { station: one.station, estimate, lower: estimate - half, upper: estimate + half };
}

/** Layers no arc lays: a slip of unit or sign in the log. */
function requireGrowth(growth: readonly (Estimate & { readonly station: string })[]): void {
  for (const { station, estimate, upper } of growth) {
    const where = station === "" ? "" : ` at ${station}`;
    requireThat(
      upper > 0 && estimate < LARGEST_LAYER,
      `layers${where} come out ${estimate.toFixed(2)} mm high, where an arc lays 0.5 to 5 mm: check sign and unit of the columns rise and standoff (rise is how far the torch goes up after a layer)`,
    );
  }
}

function findingsOf(
  slope: Estimate,
  verdict: RegulationVerdict,
  plain: PlainSlopes | null,
  series: readonly StationSeries[],
): readonly Finding[] {
  const findings: Finding[] = [];
  const range = `${slope.lower.toFixed(2)} to ${slope.upper.toFixed(2)}`;
  if (verdict === "cannot-tell") {
    findings.push({
      code: "regulation-undecided",
      severity: "warning",
      message: `the growth slope lies between ${range} mm per mm: the log cannot tell a rig that settles from one that runs away`,
      advice:
        "log more layers, start off the target stand-off, or step the rise up and down; correct the stand-off meanwhile",
    });
  }
  if (verdict === "runs-away") {
    findings.push({
      code: "standoff-runs-away",
      severity: "warning",
      message: `the growth slope (${range} mm per mm) makes every stand-off error grow`,
      advice: "correct the stand-off every few layers, or control it by arc voltage",
    });
  }
  if (plain !== null && plain.naive > slope.upper) {
    findings.push({
      code: "gauge-flatters",
      severity: "info",
      message: `plain regression gives ${plain.naive.toFixed(2)} mm per mm, which is gauge noise seen twice; corrected ${slope.estimate.toFixed(2)}`,
    });
  }
  const measured = sum(series.map(({ standoff }) => standoff.filter((s) => !Number.isNaN(s)).length));
  if (measured < 15) {
    findings.push({
      code: "few-layers",
      severity: "info",
      message: `${measured} measured layers: the intervals are wide and lean on the prior`,
    });
  }
  return findings;
}
