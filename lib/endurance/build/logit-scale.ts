/** Chances on an even grid of their logits, fine enough to add up any belief that lets some go to 0 or 1. */
const REACH = 14;
const STEP = 0.5;

export const gridChances: Float64Array = Float64Array.from({ length: (2 * REACH) / STEP + 1 }, (_, i) =>
  chanceOf(i * STEP - REACH),
);

function chanceOf(logit: number): number {
  return 1 / (1 + Math.exp(-logit));
}

/** Density of a Beta law over the grid, up to a factor. */
export function betaOnGrid([a, b]: readonly [number, number]): Float64Array {
  const density = gridChances.map((p) => p ** a * (1 - p) ** b);
  const whole = density.reduce((sum, value) => sum + value, 0);
  return density.map((value) => value / whole);
}

const BINS_PER_UNIT = 4;

/** Weighted chances, binned by their logits, to read quantiles from. */
export class ChanceHistogram {
  readonly #bins = new Float64Array(2 * REACH * BINS_PER_UNIT + 1);

  /** Shares a weight between the two bins around a chance. */
  add(chance: number, weight: number): void {
    const logit = Math.log(chance / (1 - chance));
    const at = (Math.max(-REACH, Math.min(REACH, logit)) + REACH) * BINS_PER_UNIT;
    const bin = Math.min(this.#bins.length - 2, Math.floor(at));
    this.#bins[bin]! += weight * (1 - (at - bin));
    this.#bins[bin + 1]! += weight * (at - bin);
  }

  quantile(share: number): number {
    const wanted = share * this.#bins.reduce((sum, weight) => sum + weight, 0);
    let before = 0;
    for (let bin = 0; bin < this.#bins.length; bin++) {
      const weight = this.#bins[bin]!;
      if (before + weight >= wanted)
        return chanceOf((bin - 0.5 + (wanted - before) / weight) / BINS_PER_UNIT - REACH);
      before += weight;
    }
    return 1;
  }
}
