/** Places of the sums over time that a stretch of arc is made of: time, power, and both signals from their shifts. */
export const sumAt = {
  time: 0,
  power: 1,
  current: 2,
  currentSquare: 3,
  voltage: 4,
  voltageSquare: 5,
  signed: 6,
} as const;
const SUMS = 7;

/** Plain sums over some thousand rows at most. */
export const openSums = (): Float64Array => new Float64Array(SUMS);

/**
 * Sums of many million rows. Rows are added up plainly some thousand at a time, these with the rounding errors carried
 * along, so that the error does not grow with the length of the trace.
 *
 * @source Neumaier, ZAMM 54 (1974) 39-51
 */
export class LongSums {
  readonly #sum = new Float64Array(SUMS);
  readonly #lost = new Float64Array(SUMS);

  /** Adds sums and empties them. */
  take(part: Float64Array): void {
    for (let i = 0; i < SUMS; i += 1) {
      const before = this.#sum[i]!;
      const added = part[i]!;
      const after = before + added;
      this.#lost[i] =
        this.#lost[i]! +
        (Math.abs(before) >= Math.abs(added) ? before - after + added : added - after + before);
      this.#sum[i] = after;
    }
    part.fill(0);
  }

  /** A sum by its place. */
  at(place: number): number {
    return this.#sum[place]! + this.#lost[place]!;
  }
}

/**
 * Mean and scatter of numbers that come one by one, without their squares.
 *
 * @source Welford, Technometrics 4 (1962) 419-420
 */
export class RunningSpread {
  count = 0;
  mean = 0;
  #squares = 0;

  add(value: number): void {
    this.count += 1;
    const step = value - this.mean;
    this.mean += step / this.count;
    this.#squares += step * (value - this.mean);
  }

  /** Sample standard deviation; undefined for fewer than two. */
  get standardDeviation(): number | undefined {
    return this.count < 2 ? undefined : Math.sqrt(this.#squares / (this.count - 1));
  }
}
