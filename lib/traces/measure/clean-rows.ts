import type { Finding } from "../../errors/index.js";
import { counted, significant } from "../../numeric/index.js";
import { BATCH_ROWS, batchColumns, type TraceBatch, type TraceChannel } from "../read/index.js";

/** Steps looked at to tell the usual one. */
const STEPS = 1000;

/** Where something was met first, and how often. */
class Count {
  count = 0;
  row = 0;
  text = "";

  add(row: number, text: () => string): void {
    if (this.count === 0) {
      this.row = row;
      this.text = text();
    }
    this.count += 1;
  }
}

/**
 * Leaves out rows that cannot be summed: current or voltage not measured, or a time that does not rise; and notes holes
 * in the record.
 */
export class CleanRows {
  /** s between rows, the usual one; undefined before two rows. */
  step: number | undefined;
  used = 0;
  first: number | undefined;
  last = Number.NEGATIVE_INFINITY;
  readonly #file: string;
  readonly #gapSteps: number;
  readonly #missing = new Count();
  readonly #back = new Count();
  readonly #repeated = new Count();
  readonly #gaps = new Count();
  #gapTime = 0;
  #scratch: TraceBatch["columns"] | undefined;

  constructor(file: string, gapSteps: number) {
    this.#file = file;
    this.#gapSteps = gapSteps;
  }

  /** s: a longer step is a hole in the record. */
  get longest(): number {
    return this.step === undefined ? Number.POSITIVE_INFINITY : this.step * this.#gapSteps;
  }

  /** The rows of a batch that can be summed: the batch itself where all can. */
  clean(batch: TraceBatch): TraceBatch {
    const { columns, length, first } = batch;
    const { time, current, voltage } = columns;
    this.step ??= usualStep(time, length);
    const { longest } = this;
    let kept = 0;
    let last = this.last;
    let to: TraceBatch["columns"] | undefined;
    for (let k = 0; k < length; k += 1) {
      const now = time[k]!;
      const power = current![k]! * voltage![k]!;
      if (now > last && power - power === 0) {
        if (now - last > longest && this.first !== undefined) this.#gap(first + k, last, now);
        last = now;
        this.first ??= now;
        if (to !== undefined) copyRow(columns, k, { to, at: kept });
        kept += 1;
        continue;
      }
      this.#fault({ row: first + k, now, last, measured: power - power === 0 });
      to ??= this.#copied(columns, k);
    }
    this.last = last;
    this.used += kept;
    return to === undefined ? batch : { first, length: kept, columns: to };
  }

  /** What was left out, and where the record has holes. */
  get findings(): readonly Finding[] {
    const about = (code: string, { row, count, text }: Count, advice: string): readonly Finding[] =>
      count === 0
        ? []
        : [
            {
              code,
              severity: "warning",
              message: `${this.#file} (row ${row}): ${text}; ${counted(count, "row")} of that kind left out`,
              advice,
            },
          ];
    return [
      ...about(
        "trace-not-measured",
        this.#missing,
        "the rows around them are joined where the hole is short",
      ),
      ...about(
        "trace-time-back",
        this.#back,
        "the clock was set or two records were joined: part the file there",
      ),
      ...about(
        "trace-time-repeated",
        this.#repeated,
        "the clock is coarser than the sampling: give --rate with the true samples a second, and the column of time is not used",
      ),
      ...this.#gapFindings,
    ];
  }

  get #gapFindings(): readonly Finding[] {
    const { count, row, text } = this.#gaps;
    if (count === 0) return [];
    return [
      {
        code: "trace-gap",
        severity: "warning",
        message: `${this.#file} (row ${row}): ${text}; ${counted(count, "hole")} in the record, ${significant(this.#gapTime)} s in all, over which nothing is summed`,
        advice:
          "the logger dropped samples; energy and arc time of such a stretch are too low by what the holes hide",
      },
    ];
  }

  #gap(row: number, last: number, now: number): void {
    this.#gaps.add(
      row,
      () =>
        `the clock jumps from ${significant(last, 6)} to ${significant(now, 6)} s where steps are ${significant(this.step!)} s`,
    );
    this.#gapTime += now - last;
  }

  #fault({ row, now, last, measured }: { row: number; now: number; last: number; measured: boolean }): void {
    if (!measured || Number.isNaN(now)) this.#missing.add(row, () => "time, current or voltage not measured");
    else if (now === last) this.#repeated.add(row, () => `the time ${significant(now, 6)} s stands twice`);
    else
      this.#back.add(
        row,
        () => `the time runs back from ${significant(last, 6)} to ${significant(now, 6)} s`,
      );
  }

  #copied(columns: TraceBatch["columns"], rows: number): TraceBatch["columns"] {
    this.#scratch ??= batchColumns(Object.keys(columns) as TraceChannel[]);
    for (const [channel, values] of Object.entries(columns) as [TraceChannel, Float64Array][])
      this.#scratch[channel]!.set(values.subarray(0, Math.min(rows, BATCH_ROWS)));
    return this.#scratch;
  }
}

function copyRow(
  from: TraceBatch["columns"],
  k: number,
  { to, at }: { to: TraceBatch["columns"]; at: number },
): void {
  for (const channel of Object.keys(from) as TraceChannel[]) to[channel]![at] = from[channel]![k]!;
}

/** The median of the first steps forward. */
function usualStep(time: Float64Array, length: number): number | undefined {
  const steps: number[] = [];
  for (let k = 1; k < length && steps.length < STEPS; k += 1)
    if (time[k]! > time[k - 1]!) steps.push(time[k]! - time[k - 1]!);
  return steps.sort((a, b) => a - b)[Math.floor(steps.length / 2)];
}
