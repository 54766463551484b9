/**
 * What happens to an arc, as a trace shows it:
 *
 * - `ignition`: current comes on and stays; a failed start is a `misfire`, current that went out again at once.
 * - `short`: the wire that carries the arc bridges it: voltage falls while current flows. Usual in short-circuit transfer.
 * - `touch`: the tungsten touches pool, wire or work: the same sign where the tungsten holds the arc. It is spoilt by it.
 * - `stuck`: a bridge that lasts: wire or tungsten froze in.
 * - `stopped`: wire that stood still while the arc burned, where its feed was recorded.
 * - `lost`: the arc went out and was lit again before the coupon's end: a drop-out.
 */
export const traceEventKinds = ["ignition", "misfire", "short", "touch", "stuck", "stopped", "lost"] as const;

/** See {@link traceEventKinds}. */
export type TraceEventKind = (typeof traceEventKinds)[number];

/** Something that happened to an arc. */
export interface TraceEvent {
  readonly kind: TraceEventKind;
  /** s, on the clock of the trace. */
  readonly start: number;
  /** s; 0 of an ignition. */
  readonly duration: number;
}

/** Events of one kind: how many, how long in all, and the longest. */
export interface EventTally {
  readonly count: number;
  /** s. */
  readonly time: number;
  /** s. */
  readonly longest: number;
}

/** Tallies by kind. */
export type EventTallies = Readonly<Record<TraceEventKind, EventTally>>;

/** Events kept one by one; of more the tallies alone are kept, so that memory does not grow. */
export const KEPT_EVENTS = 5000;

/** Counts events by kind. */
export class EventCounter {
  readonly #tallies = new Map<TraceEventKind, { count: number; time: number; longest: number }>();

  add({ kind, duration }: TraceEvent): void {
    const tally = this.#tallies.get(kind) ?? { count: 0, time: 0, longest: 0 };
    tally.count += 1;
    tally.time += duration;
    tally.longest = Math.max(tally.longest, duration);
    this.#tallies.set(kind, tally);
  }

  get tallies(): EventTallies {
    const none = { count: 0, time: 0, longest: 0 };
    const of = (kind: TraceEventKind): EventTally => ({ ...none, ...this.#tallies.get(kind) });
    return {
      ignition: of("ignition"),
      misfire: of("misfire"),
      short: of("short"),
      touch: of("touch"),
      stuck: of("stuck"),
      stopped: of("stopped"),
      lost: of("lost"),
    };
  }
}
