/** A signal thinned for drawing: what it ran between in each stretch of time. */
export interface EnvelopeBand {
  /** s: middle of the stretch. */
  readonly time: number;
  readonly current: readonly [lower: number, mean: number, upper: number];
  readonly voltage: readonly [lower: number, mean: number, upper: number];
}

/** Stretches kept; twice as many while rows come in. */
const MOST = 800;

interface Bucket {
  count: number;
  currentSum: number;
  currentLow: number;
  currentHigh: number;
  voltageSum: number;
  voltageLow: number;
  voltageHigh: number;
}

/** Thins a trace of unknown length: when there are too many stretches, neighbours are joined and the width doubles. */
export class Envelope {
  #buckets: (Bucket | undefined)[] = [];
  #width: number | undefined;
  #origin = 0;

  /** Adds a batch of rows; signals count by their size. */
  add(
    {
      time,
      current,
      voltage,
    }: { readonly time: Float64Array; readonly current?: Float64Array; readonly voltage?: Float64Array },
    length: number,
    step: number,
  ): void {
    if (length === 0) return;
    if (this.#width === undefined) {
      this.#width = step;
      this.#origin = time[0]!;
    }
    let at = 0;
    while (at < length) {
      const place = Math.floor((time[at]! - this.#origin) / this.#width);
      if (place >= 2 * MOST) {
        this.#halve();
        continue;
      }
      const until = this.#origin + (place + 1) * this.#width;
      const bucket = this.#buckets[place] ?? empty();
      this.#buckets[place] = bucket;
      // At least one row: where rounding puts it beyond its own stretch, it still counts there.
      do {
        add(bucket, Math.abs(current![at]!), Math.abs(voltage![at]!));
        at += 1;
      } while (at < length && time[at]! < until);
    }
  }

  get bands(): readonly EnvelopeBand[] {
    const width = this.#width ?? 0;
    return this.#buckets.flatMap((bucket, place): readonly EnvelopeBand[] =>
      bucket === undefined
        ? []
        : [
            {
              time: this.#origin + (place + 0.5) * width,
              current: [bucket.currentLow, bucket.currentSum / bucket.count, bucket.currentHigh],
              voltage: [bucket.voltageLow, bucket.voltageSum / bucket.count, bucket.voltageHigh],
            },
          ],
    );
  }

  #halve(): void {
    this.#width! *= 2;
    const joined: (Bucket | undefined)[] = [];
    for (let i = 0; i < this.#buckets.length; i += 2) {
      const pair = [this.#buckets[i], this.#buckets[i + 1]].filter((bucket) => bucket !== undefined);
      joined.push(pair.length === 2 ? join(pair[0]!, pair[1]!) : pair[0]);
    }
    this.#buckets = joined;
  }
}

const empty = (): Bucket => ({
  count: 0,
  currentSum: 0,
  currentLow: Number.POSITIVE_INFINITY,
  currentHigh: 0,
  voltageSum: 0,
  voltageLow: Number.POSITIVE_INFINITY,
  voltageHigh: 0,
});

function add(bucket: Bucket, current: number, voltage: number): void {
  bucket.count += 1;
  bucket.currentSum += current;
  if (current < bucket.currentLow) bucket.currentLow = current;
  if (current > bucket.currentHigh) bucket.currentHigh = current;
  bucket.voltageSum += voltage;
  if (voltage < bucket.voltageLow) bucket.voltageLow = voltage;
  if (voltage > bucket.voltageHigh) bucket.voltageHigh = voltage;
}

const join = (a: Bucket, b: Bucket): Bucket => ({
  count: a.count + b.count,
  currentSum: a.currentSum + b.currentSum,
  currentLow: Math.min(a.currentLow, b.currentLow),
  currentHigh: Math.max(a.currentHigh, b.currentHigh),
  voltageSum: a.voltageSum + b.voltageSum,
  voltageLow: Math.min(a.voltageLow, b.voltageLow),
  voltageHigh: Math.max(a.voltageHigh, b.voltageHigh),
});
