import type { TraceBatch } from "../read/index.js";
import type { TraceEvent, TraceEventKind } from "./events.js";
import type { FeedWatch } from "./feed-watch.js";
import { SHIFT, type SideChannel, STEADY_WINDOW, sideChannels } from "./stretch.js";
import type { StretchBook } from "./stretch-book.js";
import { openSums } from "./sums.js";
import type { ArcHolder, TraceThresholds } from "./thresholds.js";

/** Arc out; current on but not yet long; arc burning; current gone but not yet long. */
type State = "out" | "rising" | "burning" | "falling";

/** s: what is shorter is a spike of the starter, or the lag of a clamp. Common practice, no source. */
const SPIKE = 1e-3;

/**
 * Follows an arc row by row: what burns is summed, what happens is told. A change is believed once it has lasted; until
 * then its rows wait, and are summed or dropped as it turns out. Loops over plain arrays: a call per row would take
 * longer than all the arithmetic.
 */
export class ArcMachine {
  readonly #thresholds: TraceThresholds;
  readonly #bridge: TraceEventKind;
  readonly #book: StretchBook;
  readonly #feed: FeedWatch | undefined;
  readonly #sums = openSums();
  readonly #waiting = openSums();
  #state: State = "out";
  /** s: since when the state has been as it is. */
  #since = Number.NaN;
  /** s: since when the arc was out before current came back. */
  #lostSince = Number.NaN;
  /** s: since when current has been gone again while it came on. */
  #dip = Number.NaN;
  /** s: since when the arc has been bridged; NaN while it is not. */
  #bridged = Number.NaN;
  /** Whether the arc has been bridged since it was lit, as by a lift start. */
  #starting = false;
  #time = Number.NaN;
  #current = 0;
  #voltage = 0;
  #power = 0;

  constructor({
    thresholds,
    holder,
    book,
    feed,
  }: {
    readonly thresholds: TraceThresholds;
    readonly holder: ArcHolder;
    readonly book: StretchBook;
    readonly feed: FeedWatch | undefined;
  }) {
    this.#thresholds = thresholds;
    this.#bridge = holder === "wire" ? "short" : "touch";
    this.#book = book;
    this.#feed = feed;
  }

  /**
   * Follows a batch of rows whose times rise and whose values are numbers.
   *
   * @param longest - s: over a longer step nothing is integrated
   */
  follow({ columns, length }: TraceBatch, longest: number): void {
    const { time: times, current: currents, voltage: voltages } = columns;
    const { arcOff, bridgedBelow } = this.#thresholds;
    const sides = sideChannels.filter((channel) => columns[channel] !== undefined);
    const sums = this.#sums;
    for (let k = 0; k < length; k += 1) {
      const time = times[k]!;
      const signed = currents![k]!;
      const current = Math.abs(signed);
      const voltage = Math.abs(voltages![k]!);
      const power = signed * voltages![k]!;
      const step = time - this.#time;
      if (time >= this.#book.nextMark) this.#mark(time);
      const before = this.#state;
      const quiet =
        before === "burning" &&
        current >= arcOff &&
        voltage >= bridgedBelow &&
        !this.#starting &&
        Number.isNaN(this.#bridged);
      if (!quiet) this.#turn({ time, current, voltage, signed, step }, longest);
      const after = this.#state;
      // What lies between two rows with current is summed: from the first with current to the last.
      if (before !== "out" && after !== "out" && step <= longest) {
        const into = after === "burning" ? sums : this.#waiting;
        const half = step / 2;
        const from = this.#current - SHIFT.current;
        const to = current - SHIFT.current;
        const below = this.#voltage - SHIFT.voltage;
        const above = voltage - SHIFT.voltage;
        into[0] = into[0]! + step;
        into[1] = into[1]! + half * (this.#power + power);
        into[2] = into[2]! + half * (from + to);
        into[3] = into[3]! + half * (from * from + to * to);
        into[4] = into[4]! + half * (below + above);
        into[5] = into[5]! + half * (below * below + above * above);
        into[6] = into[6]! + step * (signed < 0 ? -current : current);
        if (after === "burning" && (power > 0 ? power : -power) > this.#book.peak)
          this.#book.peak = Math.abs(power);
        if (sums[0]! >= STEADY_WINDOW) this.#book.take(sums);
      }
      if (this.#feed !== undefined)
        this.#tellStop(this.#feed.row({ feed: columns.feed![k]!, time, step, burning: after === "burning" }));
      if (after === "burning" && step <= longest)
        for (const channel of sides) this.#side(channel, columns[channel]![k]!, step);
      this.#time = time;
      this.#current = current;
      this.#voltage = voltage;
      this.#power = power;
    }
    this.#book.take(sums);
  }

  /** Ends what is open at the end of the trace. */
  finish(): void {
    if (this.#state === "burning" || this.#state === "falling")
      this.#endBridge(this.#state === "falling" ? this.#since : this.#time);
    if (this.#state === "burning") this.#book.reach(this.#time);
    this.#tellStop(this.#feed?.finish());
    this.#book.take(this.#sums);
    this.#book.close();
  }

  #turn(
    row: {
      readonly time: number;
      readonly current: number;
      readonly voltage: number;
      readonly signed: number;
      readonly step: number;
    },
    longest: number,
  ): void {
    const { time, current, voltage, step } = row;
    const { arcOn, arcOff, litAfter, lostAfter, couponGap } = this.#thresholds;
    if (step > longest && this.#state !== "out") this.#interrupt(time, current >= arcOff);
    switch (this.#state) {
      case "out":
        if (current < arcOn) this.#book.idle(row.signed);
        if (time - this.#since > couponGap) this.#book.closeRun();
        if (current >= arcOn) {
          this.#lostSince = this.#since;
          this.#enter("rising", time);
          this.#dip = Number.NaN;
          this.#waiting.fill(0);
          this.#bridged = Number.NaN;
          this.#starting = true;
        }
        break;
      case "rising":
        if (current >= arcOff) {
          this.#dip = Number.NaN;
          if (time - this.#since >= litAfter) this.#light();
        } else if (Number.isNaN(this.#dip)) this.#dip = time;
        else if (time - this.#dip >= lostAfter) {
          if (this.#dip - this.#since >= SPIKE) this.#tell("misfire", this.#since, this.#dip);
          this.#enter("out", this.#lostSince);
          this.#waiting.fill(0);
        }
        break;
      case "burning":
        if (current < arcOff) {
          this.#book.reach(this.#time);
          this.#enter("falling", time);
        }
        break;
      case "falling":
        if (current >= arcOn) {
          this.#enter("burning", this.#since);
          this.#sumWaiting();
        } else if (time - this.#since >= lostAfter) {
          this.#endBridge(this.#since, SPIKE);
          this.#waiting.fill(0);
          this.#book.take(this.#sums);
          this.#state = "out";
        }
        break;
    }
    if (this.#state !== "out") this.#watchBridge(time, voltage);
  }

  #enter(state: State, since: number): void {
    this.#state = state;
    this.#since = since;
  }

  #light(): void {
    const start = this.#since;
    const relit = this.#book.light(start);
    if (relit && start - this.#lostSince <= this.#thresholds.couponGap)
      this.#tell("lost", this.#lostSince, start);
    this.#tell("ignition", start, start);
    this.#enter("burning", start);
    this.#sumWaiting();
  }

  #sumWaiting(): void {
    for (let i = 0; i < this.#sums.length; i += 1) this.#sums[i] = this.#sums[i]! + this.#waiting[i]!;
    this.#waiting.fill(0);
  }

  #watchBridge(time: number, voltage: number): void {
    const { bridgedBelow, bridgedOver } = this.#thresholds;
    if (Number.isNaN(this.#bridged)) {
      if (voltage < bridgedBelow) this.#bridged = time;
      else if (this.#state === "burning") this.#starting = false;
    } else if (voltage > bridgedOver) {
      this.#endBridge(time);
      this.#starting = false;
    }
  }

  /** A bridge ends; one that began no longer before the arc went out than meters lag behind is its going out. */
  #endBridge(time: number, lag = 0): void {
    const start = this.#bridged;
    this.#bridged = Number.NaN;
    const { bridgedLeast, stuckAfter, startBridge } = this.#thresholds;
    const duration = time - start;
    // A logger slower than the least duration shows a short in one row, or not at all.
    if (!(duration >= Math.max(bridgedLeast, lag)) || (this.#starting && duration < startBridge)) return;
    this.#tell(duration >= stuckAfter ? "stuck" : this.#bridge, start, time);
  }

  /** A hole in the record: what was open is over; whether the arc went on is told by the row after it. */
  #interrupt(time: number, flows: boolean): void {
    this.#endBridge(this.#state === "falling" ? this.#since : this.#time);
    this.#waiting.fill(0);
    if (this.#state === "burning") this.#book.reach(this.#time);
    if (!flows) {
      this.#enter("out", this.#state === "falling" ? this.#since : this.#time);
    } else if (this.#state === "falling") this.#enter("burning", time);
    else if (this.#state === "rising") this.#since = time;
  }

  #mark(time: number): void {
    this.#book.take(this.#sums);
    if (this.#state === "burning") this.#book.reach(this.#time);
    this.#book.pass(time);
    if (this.#state === "burning") this.#book.enter(time);
  }

  #tellStop(stop: TraceEvent | undefined): void {
    if (stop !== undefined) this.#book.tell(stop);
  }

  /** Another signal is averaged over the rows that have it. */
  #side(channel: SideChannel, value: number, step: number): void {
    if (!Number.isNaN(value)) this.#book.side(channel, value * step, step);
  }

  #tell(kind: TraceEventKind, start: number, end: number): void {
    const event: TraceEvent = { kind, start, duration: end - start };
    this.#book.tell(event);
  }
}
