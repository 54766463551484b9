import { normalCdf, normalPdf, normalQuantile } from "../../numeric/index.js";

/** One of several normal distributions, and its chance. */
export interface NormalPart {
  /** The weights of a mixture sum to 1. */
  readonly weight: number;
  readonly mean: number;
  readonly variance: number;
}

/** A quantity by layer, mm: expected, and the band of one layer at a time. */
export interface LayerBand {
  readonly expected: number;
  readonly low: number;
  readonly high: number;
}

/** Least variance of a part, so that a part without scatter still has a place. */
const LEAST = 1e-12;
const sdOf = ({ variance }: NormalPart): number => Math.sqrt(Math.max(LEAST, variance));

/** Chance that a mixture lies at or below x. */
export function mixtureChance(parts: readonly NormalPart[], x: number): number {
  return parts.reduce((sum, part) => sum + part.weight * normalCdf((x - part.mean) / sdOf(part)), 0);
}

/** Mean and equal-tailed limits of a mixture of normal distributions. */
export function mixtureBand(parts: readonly NormalPart[], level: number): LayerBand {
  return {
    expected: parts.reduce((sum, { weight, mean }) => sum + weight * mean, 0),
    low: mixtureQuantile(parts, (1 - level) / 2),
    high: mixtureQuantile(parts, (1 + level) / 2),
  };
}

/** Newton steps end below this share of the first bracket; the next one would be as its square. */
const CLOSE = 1e-9;
const MOST_STEPS = 100;

/** Quantile of a mixture: Newton steps, kept between the least and the greatest quantile of its parts. */
function mixtureQuantile(parts: readonly NormalPart[], chance: number): number {
  const z = normalQuantile(chance);
  const quantiles = parts.map((part) => part.mean + z * sdOf(part));
  let low = quantiles.reduce((least, x) => Math.min(least, x));
  let high = quantiles.reduce((most, x) => Math.max(most, x));
  const close = CLOSE * (high - low);
  let x = parts.reduce((sum, { weight }, i) => sum + weight * quantiles[i]!, 0);
  for (let i = 0; i < MOST_STEPS && high - low > close; i++) {
    let [off, slope] = [-chance, 0];
    for (const part of parts) {
      const sd = sdOf(part);
      const at = (x - part.mean) / sd;
      off += part.weight * normalCdf(at);
      slope += (part.weight * normalPdf(at)) / sd;
    }
    if (off > 0) high = x;
    else low = x;
    const next = x - off / slope;
    const step = next > low && next < high ? next : (low + high) / 2;
    if (Math.abs(step - x) <= close) return step;
    x = step;
  }
  return x;
}
