import { KEPT_EVENTS, type TraceEvent } from "./events.js";
import { type SideChannel, Stretch } from "./stretch.js";

/** A stretch of the clock that belongs to a coupon. */
export interface TimeMark {
  readonly coupon: string;
  /** s, on the clock of the trace. */
  readonly from: number;
  readonly to: number;
}

/** Runs of arc kept one by one at most: a trace of more is taken for one whose thresholds are wrong. */
export const KEPT_RUNS = 2000;

/**
 * Which stretch the rows and events of now belong to: that of the time mark, where marks were given, else the run of arc
 * that goes on until it stays out.
 */
export class StretchBook {
  /** Finished and open stretches, each with its mark where it has one, in the order of time. */
  readonly stretches: { readonly stretch: Stretch; readonly mark?: TimeMark }[] = [];
  readonly events: TraceEvent[] = [];
  /** s: when the next mark begins or ends. */
  nextMark: number;
  /** Events beyond those kept. */
  unkept = 0;
  /** Runs beyond those kept, summed nowhere. */
  lostRuns = 0;
  /** What the current meter shows of no current. */
  readonly idleCurrent = { sum: 0, count: 0 };
  #open: Stretch | undefined;
  /** Starts that failed before the run they belong to began. */
  readonly #early: TraceEvent[] = [];
  readonly #marks: readonly TimeMark[] | undefined;
  #at = 0;

  constructor(marks: readonly TimeMark[] | undefined) {
    this.#marks = marks;
    this.nextMark = marks === undefined || marks.length === 0 ? Number.POSITIVE_INFINITY : marks[0]!.from;
  }

  /** The largest power so far of the open stretch, W. */
  get peak(): number {
    return this.#open?.peakPower ?? Number.POSITIVE_INFINITY;
  }

  set peak(power: number) {
    if (this.#open !== undefined) this.#open.peakPower = power;
  }

  /** Sums of rows, which are emptied. */
  take(sums: Float64Array): void {
    if (this.#open === undefined) sums.fill(0);
    else this.#open.take(sums);
  }

  /** Current has come to stay; whether the arc was lit before in the same stretch. */
  light(time: number): boolean {
    if (this.#open === undefined && this.#marks === undefined) this.#begin(undefined);
    const stretch = this.#open;
    if (stretch === undefined) return false;
    const relit = stretch.to !== undefined;
    stretch.from ??= time;
    return relit;
  }

  /** The arc burns already where the stretch begins. */
  enter(time: number): void {
    if (this.#open !== undefined) this.#open.from ??= time;
  }

  /** Current has flowed until now. */
  reach(time: number): void {
    if (this.#open !== undefined) this.#open.to = time;
  }

  /** The arc stays out: the run is over, where no marks say otherwise. */
  closeRun(): void {
    if (this.#marks === undefined) this.#open = undefined;
  }

  close(): void {
    this.#open = undefined;
  }

  /** A mark begins or ends. */
  pass(time: number): void {
    const marks = this.#marks!;
    while (time >= this.nextMark) {
      const mark = marks[this.#at]!;
      if (this.nextMark === mark.from && this.#open === undefined && time <= mark.to) {
        this.#begin(mark);
        this.nextMark = mark.to;
        // A mark of one moment ends with it.
        if (mark.to > mark.from) continue;
      }
      this.#open = undefined;
      this.#at += 1;
      this.nextMark = marks[this.#at]?.from ?? Number.POSITIVE_INFINITY;
    }
  }

  /** A row without current. */
  idle(current: number): void {
    this.idleCurrent.sum += current;
    this.idleCurrent.count += 1;
  }

  tell(event: TraceEvent): void {
    if (this.#open !== undefined) this.#open.addEvent(event);
    else if (this.#marks === undefined && event.kind === "misfire") this.#early.push(event);
    // Of shorts, which may come a hundred a second, no more than half the room is filled.
    const room = event.kind === "short" ? KEPT_EVENTS / 2 : KEPT_EVENTS;
    if (this.events.length < room) this.events.push(event);
    else this.unkept += 1;
  }

  /** Another signal, over a step while the arc burned. */
  side(channel: SideChannel, integral: number, time: number): void {
    this.#open?.addSide(channel, integral, time);
  }

  #begin(mark: TimeMark | undefined): void {
    if (this.stretches.length >= KEPT_RUNS) {
      this.lostRuns += 1;
      return;
    }
    const stretch = new Stretch();
    this.#open = stretch;
    for (const event of this.#early.splice(0)) stretch.addEvent(event);
    this.stretches.push({ stretch, ...(mark === undefined ? {} : { mark }) });
  }
}
