import { BeadbenchError, requireNumber, requireThat } from "../../errors/index.js";
import { processFacts, processOf } from "../../process/index.js";

/**
 * By what a trace is told apart. Two values a step (on and off, below and over) keep noise from counting twice.
 * All defaults are common practice, no source: what a rig shows with the arc off, and in a short made on purpose, goes
 * before them.
 */
export interface TraceThresholds {
  /** A: from here on current flows. */
  readonly arcOn: number;
  /** A: below it flows no more. */
  readonly arcOff: number;
  /** V: below it wire or tungsten bridges the arc. */
  readonly bridgedBelow: number;
  /** V: over it the arc burns again. */
  readonly bridgedOver: number;
  /** s: a bridge that lasts so long counts, shorter ones are noise or the zero crossing of an alternating arc. */
  readonly bridgedLeast: number;
  /** s: a bridge that lasts so long is sticking: wire or tungsten froze in. */
  readonly stuckAfter: number;
  /** s: the bridge of a lift or scratch start may last so long without being sticking. */
  readonly startBridge: number;
  /** s: an arc without current for so long was lost. */
  readonly lostAfter: number;
  /** s: an arc that does not burn so long was not lit: a failed start. */
  readonly litAfter: number;
  /** s: an arc that stays out longer is at its end, not lost; the next one is another coupon. */
  readonly couponGap: number;
  /** s: shorter arcs are no coupons, such as a tack or a trial start. */
  readonly couponLeast: number;
  /** 1: wire that runs slower than this share of its speed has stopped, where the feed was recorded. */
  readonly feedStopped: number;
  /** s: for so long. */
  readonly feedStoppedAfter: number;
  /** 1: a step longer than so many usual ones is a gap, over which nothing is integrated. */
  readonly gapSteps: number;
}

/** The tungsten holds the arc and the wire is fed cold: TIG, plasma. Common practice, no source. */
const tungsten: TraceThresholds = {
  arcOn: 8,
  arcOff: 5,
  bridgedBelow: 5,
  bridgedOver: 6.5,
  bridgedLeast: 2e-3,
  stuckAfter: 0.2,
  startBridge: 1,
  lostAfter: 5e-3,
  litAfter: 0.02,
  couponGap: 3,
  couponLeast: 1,
  feedStopped: 0.2,
  feedStoppedAfter: 0.3,
  gapSteps: 5,
};

/** The wire carries the arc: MIG/MAG and its like, where shorts are how the metal goes over. Common practice, no source. */
const wire: TraceThresholds = {
  ...tungsten,
  arcOn: 15,
  arcOff: 8,
  bridgedBelow: 9,
  bridgedOver: 11,
  bridgedLeast: 3e-4,
  stuckAfter: 0.05,
};

/** What bridges the arc of a process: the wire that carries it, or the tungsten. */
export type ArcHolder = "wire" | "tungsten";

/**
 * Who holds the arc of a process.
 *
 * @param process - ISO 4063 number, such as 141 or 135
 * @throws {BeadbenchError} `bad-argument` for a process without an arc
 */
export function arcHolder(process: string): ArcHolder {
  const { heat, wire: carried, example } = processFacts(processOf(process));
  if (heat.source !== "arc")
    throw new BeadbenchError(
      "bad-argument",
      `${example} has no arc: a trace of current and voltage tells nothing of it`,
    );
  return carried === "electrode" ? "wire" : "tungsten";
}

/**
 * The thresholds of a process, with changes of one's own.
 *
 * @param process - ISO 4063 number, such as 141 or 135
 * @throws {BeadbenchError} `bad-argument` for a process without an arc, a value below 0, or an on below its off
 */
export function traceThresholds(process: string, changes: Partial<TraceThresholds> = {}): TraceThresholds {
  const thresholds = { ...(arcHolder(process) === "wire" ? wire : tungsten), ...changes };
  for (const [name, value] of Object.entries(thresholds)) requireNumber(name, value, { min: 0 });
  requireThat(
    thresholds.arcOn >= thresholds.arcOff,
    `arcOn (${thresholds.arcOn} A) must be at least arcOff (${thresholds.arcOff} A)`,
  );
  requireThat(
    thresholds.bridgedOver >= thresholds.bridgedBelow,
    `bridgedOver (${thresholds.bridgedOver} V) must be at least bridgedBelow (${thresholds.bridgedBelow} V)`,
  );
  return thresholds;
}

/** Units of the thresholds, by name. */
export const thresholdUnits: { readonly [K in keyof TraceThresholds]: string } = {
  arcOn: "A",
  arcOff: "A",
  bridgedBelow: "V",
  bridgedOver: "V",
  bridgedLeast: "s",
  stuckAfter: "s",
  startBridge: "s",
  lostAfter: "s",
  litAfter: "s",
  couponGap: "s",
  couponLeast: "s",
  feedStopped: "1",
  feedStoppedAfter: "s",
  gapSteps: "1",
};
