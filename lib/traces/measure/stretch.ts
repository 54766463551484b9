import { onlyDefined } from "../../errors/index.js";
import { EventCounter, type EventTallies, type TraceEvent, type TraceEventKind } from "./events.js";
import { LongSums, RunningSpread, sumAt } from "./sums.js";

/** Seconds over which means are taken to see how steady an arc is without its pulses and ripple. */
export const STEADY_WINDOW = 0.1;

/** A and V about which signals are summed, among usual ones, so that their squares lose nothing. */
export const SHIFT = { current: 100, voltage: 16 } as const;

/** Channels that are averaged beside current and voltage. */
export const sideChannels = [
  "feed",
  "gas",
  "oxygen",
  "temperature",
] as const satisfies readonly SideChannel[];
/** A channel that is averaged beside current and voltage. */
export type SideChannel = "feed" | "gas" | "oxygen" | "temperature";

/** A signal while the arc burned. */
export interface SignalFigures {
  readonly mean: number;
  /** Root mean square. */
  readonly rms: number;
  /** Standard deviation over time, with pulses and ripple. */
  readonly spread: number;
  /** Standard deviation of means over 0.1 s: how steady it was but for pulses; none for less than two. */
  readonly slowSpread?: number;
}

/** What a stretch of a trace tells: a coupon, a stretch between time marks, or one run of arc. */
export interface TraceFigures {
  /** s, on the clock of the trace: first and last moment of current; absent where none flowed. */
  readonly from?: number;
  readonly to?: number;
  /** s with current flowing. */
  readonly arcTime: number;
  /** A, of the size of the current, whichever way it flows. */
  readonly current: SignalFigures;
  /** V, likewise. */
  readonly voltage: SignalFigures;
  /** W: mean of voltage times current of each instant. */
  readonly power: number;
  /** W: the largest of an instant. */
  readonly peakPower: number;
  /** W, for comparison: mean voltage times mean current, as two meters show it. Wrong for pulsed arcs. */
  readonly productOfMeans: number;
  /** W, for comparison: of root mean squares. Wrong likewise. */
  readonly productOfRms: number;
  /** J. */
  readonly energy: number;
  /** Whether the current flows both ways. */
  readonly alternating: boolean;
  /** Whether voltage and current have opposite signs on the whole: one probe is the wrong way round. */
  readonly opposed: boolean;
  readonly events: EventTallies;
  /** Share of the arc time that was bridged. */
  readonly bridgedShare: number;
  /** Means while the arc burned of what else was recorded, in the units of `traceUnits`. */
  readonly side: Readonly<Partial<Record<SideChannel, number>>>;
}

const bridges: ReadonlySet<TraceEventKind> = new Set(["short", "touch", "stuck"]);

/** A stretch of a trace while it is read. */
export class Stretch {
  from: number | undefined;
  to: number | undefined;
  peakPower = 0;
  readonly #sums = new LongSums();
  readonly #events = new EventCounter();
  readonly #slow = { current: new RunningSpread(), voltage: new RunningSpread() };
  #window = { time: 0, current: 0, voltage: 0 };
  #bridged = 0;
  readonly #side = new Map<SideChannel, { sum: number; time: number }>();

  /** s with current flowing so far. */
  get arcTime(): number {
    return this.#sums.at(sumAt.time);
  }

  /** Adds a few thousand rows at most, and empties their sums. */
  take(part: Float64Array): void {
    this.#sums.take(part);
    const [time, current, voltage] = [sumAt.time, sumAt.current, sumAt.voltage].map((at) =>
      this.#sums.at(at),
    ) as [number, number, number];
    const width = time - this.#window.time;
    if (width < STEADY_WINDOW) return;
    this.#slow.current.add((current - this.#window.current) / width);
    this.#slow.voltage.add((voltage - this.#window.voltage) / width);
    this.#window = { time, current, voltage };
  }

  addEvent(event: TraceEvent): void {
    this.#events.add(event);
    if (bridges.has(event.kind)) this.#bridged += event.duration;
  }

  /** Adds a stretch of another signal. */
  addSide(channel: SideChannel, integral: number, time: number): void {
    const before = this.#side.get(channel) ?? { sum: 0, time: 0 };
    this.#side.set(channel, { sum: before.sum + integral, time: before.time + time });
  }

  get figures(): TraceFigures {
    const time = this.arcTime;
    const mean = (place: number): number => (time === 0 ? 0 : this.#sums.at(place) / time);
    const signal = (name: "current" | "voltage", square: number): SignalFigures => {
      const shifted = mean(sumAt[name]);
      // Below that it is what rounding left of the squares, not scatter.
      const raw = mean(square) - shifted ** 2;
      const variance = raw > 1e-13 * mean(square) ? raw : 0;
      const average = time === 0 ? 0 : SHIFT[name] + shifted;
      return {
        mean: average,
        rms: Math.sqrt(average ** 2 + variance),
        spread: Math.sqrt(variance),
        ...onlyDefined({ slowSpread: this.#slow[name].standardDeviation }),
      };
    };
    const current = signal("current", sumAt.currentSquare);
    const voltage = signal("voltage", sumAt.voltageSquare);
    const power = mean(sumAt.power);
    return {
      ...onlyDefined({ from: this.from, to: this.to }),
      arcTime: time,
      current,
      voltage,
      power: Math.abs(power),
      peakPower: this.peakPower,
      productOfMeans: current.mean * voltage.mean,
      productOfRms: current.rms * voltage.rms,
      energy: Math.abs(this.#sums.at(sumAt.power)),
      alternating: Math.abs(mean(sumAt.signed)) < current.mean / 2,
      opposed: power < 0,
      events: this.#events.tallies,
      bridgedShare: time === 0 ? 0 : Math.min(1, this.#bridged / time),
      side: Object.fromEntries(
        [...this.#side].map(([channel, { sum, time: over }]) => [channel, sum / over]),
      ),
    };
  }
}
