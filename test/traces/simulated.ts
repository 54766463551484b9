import { randomStream } from "../../lib/numeric/index.js";
import type { TraceBatch, TraceEventKind, TraceFile } from "../../lib/traces/index.js";

/** Something laid into a simulated trace. */
export interface LaidEvent {
  readonly kind: TraceEventKind;
  readonly start: number;
  readonly duration: number;
}

/** A simulated trace and what was laid into it. */
export interface Simulated {
  readonly trace: TraceFile;
  readonly laid: readonly LaidEvent[];
  /** Minutes of arc. */
  readonly minutes: number;
}

export const simulatedKinds = [
  "steady TIG",
  "pulsed TIG",
  "alternating TIG",
  "dip-transfer MIG",
  "pulsed MIG",
] as const;
export type SimulatedKind = (typeof simulatedKinds)[number];

/**
 * A trace by laws the detector does not hold: correlated noise, mains ripple, drift of arc length, offsets of both
 * meters, a first-order lag of the current clamp, pulses, alternating current, cable drop, wire that rings after each
 * short. Nothing of it is a threshold.
 */
export function simulate(kind: SimulatedKind, seed: number, { seconds = 24, rate = 10_000 } = {}): Simulated {
  const random = randomStream(seed);
  const uniform = (low: number, high: number): number => low + (high - low) * random.uniform();
  const mig = kind.endsWith("MIG");
  const laid = layEvents({ kind, seconds, uniform });
  const rows = seconds * rate;
  const [time, current, voltage] = [0, 1, 2].map(() => new Float64Array(rows)) as [
    Float64Array,
    Float64Array,
    Float64Array,
  ];
  const base = mig ? uniform(120, 220) : uniform(70, 180);
  const arcVolts = mig ? uniform(18, 26) : uniform(10.5, 14);
  const noise = { current: uniform(0.005, 0.02) * base, voltage: uniform(0.02, 0.05) * arcVolts };
  const ripple = { current: uniform(0, 0.04) * base, voltage: uniform(0, 0.6), phase: uniform(0, 6) };
  const offset = { current: uniform(-1, 1), voltage: uniform(-0.3, 0.3) };
  const drift = { size: uniform(0, 0.08), period: uniform(8, 40) };
  const pulse = {
    frequency: mig ? uniform(60, 160) : uniform(1, 8),
    share: uniform(0.3, 0.6),
    low: uniform(0.3, 0.55),
  };
  const alternating = { frequency: uniform(50, 120), rise: uniform(1e-4, 3e-4) };
  const dip = { frequency: uniform(30, 90), next: 1, until: 0 };
  const cable = uniform(0.004, 0.012);
  const lag = 1 - Math.exp(-1 / (rate * uniform(5e-5, 2e-4)));
  let correlated = 0;
  let clamp = 0;
  let at = 0;
  let relit = 0;
  for (let k = 0; k < rows; k += 1) {
    const t = k / rate;
    while (at < laid.length && t >= laid[at]!.start + laid[at]!.duration) at += 1;
    const now = laid[at] !== undefined && t >= laid[at]!.start ? laid[at] : undefined;
    const burning = t >= 1 && t < seconds - 1 && now?.kind !== "lost";
    correlated = 0.98 * correlated + 0.2 * random.normal();
    let size = base * (1 + drift.size * Math.sin((6.28 * t) / drift.period));
    let volts =
      arcVolts * (1 + drift.size * Math.sin((6.28 * t) / drift.period + 1)) +
      0.5 * correlated * noise.voltage;
    let sign = 1;
    if (kind.startsWith("pulsed")) {
      const high = (t * pulse.frequency) % 1 < pulse.share;
      if (!high) {
        size *= pulse.low;
        volts *= mig ? 0.85 : 0.9;
      }
    }
    if (kind.startsWith("alternating")) {
      const phase = ((t * alternating.frequency) % 0.5) / alternating.frequency;
      sign = (t * alternating.frequency) % 1 < 0.5 ? 1 : -1;
      const ramp = Math.min(1, phase / alternating.rise);
      size *= ramp;
      // The arc lights anew in each half wave, with more voltage than it burns by.
      volts =
        volts * Math.min(1, 0.3 + ramp) + (ramp < 1 ? 0 : 6 * Math.exp(-(phase - alternating.rise) / 2e-4));
    }
    if (kind === "dip-transfer MIG" && burning && t >= dip.next && now === undefined) {
      dip.until = t + uniform(1.5e-3, 5e-3);
      laid.splice(at, 0, { kind: "short", start: t, duration: dip.until - t });
      dip.next = dip.until + uniform(0.5, 1.5) / dip.frequency;
    }
    const bridged =
      burning && (now?.kind === "touch" || now?.kind === "short" || now?.kind === "stuck" || t < dip.until);
    if (bridged) {
      size *= mig ? 1.6 : 1.08;
      volts = (mig ? 1.5 : 0.8) + size * cable;
    }
    if (!burning) {
      size = 0;
      volts = mig && t > 1 && t < seconds - 1 ? 45 : 0;
      relit = t;
    } else if (mig && t - relit < 3e-3 && t > 1.1) volts += 3;
    clamp += lag * (sign * size - clamp);
    time[k] = t;
    current[k] =
      clamp +
      offset.current +
      noise.current * random.normal() * (burning ? 1 : 0.2) +
      (burning ? ripple.current * Math.sin(628.3 * t + ripple.phase) : 0);
    voltage[k] =
      sign * volts +
      offset.voltage +
      noise.voltage * random.normal() * (burning ? 1 : 0.2) +
      ripple.voltage * Math.sin(628.3 * t + ripple.phase);
  }
  return {
    trace: held(time, current, voltage),
    laid: [...laid].sort((a, b) => a.start - b.start),
    minutes: (seconds - 2) / 60,
  };
}

/** One event every second or so, of every kind that the process knows. */
function layEvents({
  kind,
  seconds,
  uniform,
}: {
  readonly kind: SimulatedKind;
  readonly seconds: number;
  readonly uniform: (low: number, high: number) => number;
}): LaidEvent[] {
  const mig = kind.endsWith("MIG");
  const laid: LaidEvent[] = [];
  for (let t = 1.8; t < seconds - 2; ) {
    const draw = uniform(0, 1);
    const event: LaidEvent =
      draw < 0.5
        ? {
            kind: mig ? "short" : "touch",
            start: t,
            duration: mig ? uniform(1e-3, 0.02) : uniform(5e-3, 0.1),
          }
        : draw < 0.75
          ? { kind: "stuck", start: t, duration: mig ? uniform(0.08, 0.4) : uniform(0.3, 0.8) }
          : { kind: "lost", start: t, duration: uniform(0.012, 0.8) };
    laid.push(event);
    t += event.duration + uniform(0.3, 1.2);
  }
  return laid;
}

/** Columns in memory as a trace that is read in batches. */
function held(time: Float64Array, current: Float64Array, voltage: Float64Array): TraceFile {
  return {
    file: "simulated",
    format: "parquet",
    columns: [],
    *batches() {
      for (let at = 0; at < time.length; at += 5000) {
        const part = (column: Float64Array): Float64Array => column.subarray(at, at + 5000);
        const batch: TraceBatch = {
          first: at + 1,
          length: part(time).length,
          columns: { time: part(time), current: part(current), voltage: part(voltage) },
        };
        yield batch;
      }
      return { rows: time.length, partial: false, findings: [] };
    },
  };
}

/** How many of the laid events of each kind were found, and what was found that was not laid. */
export function score(
  { laid }: Simulated,
  found: readonly LaidEvent[],
): {
  readonly laid: number;
  readonly found: number;
  readonly false: readonly LaidEvent[];
  readonly missed: readonly LaidEvent[];
} {
  const left = found.filter(({ kind }) => kind !== "ignition");
  const missed: LaidEvent[] = [];
  for (const event of laid) {
    const at = left.findIndex(
      ({ kind, start, duration }) =>
        kind === event.kind &&
        start < event.start + event.duration + 2e-3 &&
        start + duration > event.start - 2e-3,
    );
    if (at < 0) missed.push(event);
    else left.splice(at, 1);
  }
  return { laid: laid.length, found: laid.length - missed.length, false: left, missed };
}
