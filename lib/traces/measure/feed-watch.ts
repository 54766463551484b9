import type { TraceEvent } from "./events.js";
import type { TraceThresholds } from "./thresholds.js";

/** s: over which the running speed of the wire is remembered. */
const MEMORY = 2;

/** Tells wire that stops while the arc burns, where the feed was recorded. Before it first ran it has not stopped. */
export class FeedWatch {
  readonly #share: number;
  readonly #least: number;
  #running = 0;
  #ran = 0;
  #since = Number.NaN;
  #last = Number.NaN;

  constructor({ feedStopped, feedStoppedAfter }: TraceThresholds) {
    this.#share = feedStopped;
    this.#least = feedStoppedAfter;
  }

  /**
   * Looks at a row.
   *
   * @returns a stop that ended with it
   */
  row({
    feed,
    time,
    step,
    burning,
  }: {
    readonly feed: number;
    readonly time: number;
    readonly step: number;
    readonly burning: boolean;
  }): TraceEvent | undefined {
    if (!burning || Number.isNaN(feed)) return burning ? undefined : this.#forget();
    this.#last = time;
    if (feed < this.#share * this.#running && this.#ran >= MEMORY / 4) {
      if (Number.isNaN(this.#since)) this.#since = time;
      return undefined;
    }
    if (feed > 0 && step > 0) {
      this.#running += (feed - this.#running) * (1 - Math.exp(-step / MEMORY));
      if (this.#ran === 0) this.#running = feed;
      this.#ran += step;
    }
    return this.#end(time);
  }

  /** The arc is over: wire that stops with it is meant to. */
  #forget(): undefined {
    this.#since = Number.NaN;
    this.#ran = 0;
    return undefined;
  }

  #end(time: number): TraceEvent | undefined {
    const start = this.#since;
    this.#since = Number.NaN;
    return time - start >= this.#least ? { kind: "stopped", start, duration: time - start } : undefined;
  }

  /** The trace ends; a stop still open is told if it lasted. */
  finish(): TraceEvent | undefined {
    return this.#end(this.#last);
  }
}
