import { type Finding, requireNumber } from "../../errors/index.js";
import { fixed, significant } from "../../numeric/index.js";
import { AIR_OXYGEN, largestLeak } from "../../process/index.js";
import { fitDecay } from "./fit-decay.js";
import { type LevelTime, timeToLevel } from "./time-to-level.js";
import type { DecayKind, DecayRange, FittedDecay, UnfittedDecay } from "./types.js";

/** One reading of an oxygen meter on an enclosure being purged. */
export interface OxygenReading {
  /** min since the flow was turned on. */
  readonly time: number;
  /** ppm, above 0. */
  readonly oxygen: number;
}

/** The enclosure and its purge, as set. */
export interface PurgedEnclosure {
  /** Q, L/min. */
  readonly flow: number;
  /** V, free volume, L. */
  readonly volume: number;
  /** C_s, oxygen in the supply, ppm. Default 5 (welding argon, trade text). */
  readonly supplyOxygen?: number;
}

/** A purge that the readings determine. */
export interface FittedPurge {
  readonly status: "converged";
  readonly enclosure: Required<PurgedEnclosure>;
  /** m, volumes exchanged per volume fed: 1 well mixed, above 1 displacing, below 1 short-circuited. */
  readonly mixing: DecayRange;
  /** Air leaking in that would hold up the floor, L/min. */
  readonly leak: DecayRange;
  readonly decay: FittedDecay;
  readonly findings: readonly Finding[];
}

const oxygen: DecayKind = {
  scatter: "proportional",
  quantity: "oxygen",
  unit: "ppm",
  timeUnit: "min",
  floorName: "the oxygen floor",
  lowestFloor: 0,
};

/** Mixing factors an enclosure shows; from memory. */
const usualMixing = { lower: 0.7, upper: 2 } as const;

/**
 * Mixing factor, oxygen floor and the air leak behind it, from readings of an oxygen meter during a purge.
 *
 *     C = C_ss + (C0 - C_ss) exp(-m (Q + q_l) t/V),   q_l = Q (C_ss - C_s)/(209500 - C_ss)
 *
 * Fitted in logarithms: a meter errs in proportion over the decades a purge runs through. Readings under the smallest
 * step of the meter, or on its stop, must be left out. The leak is that of air: a poorer supply or a film of air in the
 * hose looks the same; confirm with the flow off.
 *
 * @throws {BeadbenchError} `bad-argument` for a reading, flow or volume out of range, `not-enough-data` with too few readings
 * @source dilution of a mixed volume; limits by profile likelihood, Bates and Watts (1988) chapter 6
 */
export function fitPurge(
  readings: readonly OxygenReading[],
  enclosure: PurgedEnclosure,
  level = 0.95,
): FittedPurge | UnfittedDecay {
  const flow = requireNumber("purge flow", enclosure.flow, { above: 0, max: 1000, unit: "L/min" });
  const volume = requireNumber("enclosure volume", enclosure.volume, { above: 0, max: 1e6, unit: "L" });
  const supplyOxygen = requireNumber("oxygen in the supply", enclosure.supplyOxygen ?? 5, {
    min: 0,
    max: 10000,
    unit: "ppm",
  });
  const decay = fitDecay(
    readings.map(({ time, oxygen: value }) => ({ time, value: requireOxygen(value) })),
    oxygen,
    { level },
  );
  if (decay.status !== "converged") return decay;
  // A floor as high as air is no purge at all: the leak stays a number.
  const leakOf = (floor: number): number =>
    floor <= supplyOxygen ? 0 : largestLeak(flow, Math.min(floor, 0.99 * AIR_OXYGEN), supplyOxygen);
  const leak = mapRange(decay.floor, leakOf);
  const exchange = volume / (flow + leak.estimate);
  const { lower, upper, estimate } = decay.timeConstant;
  const mixing: DecayRange = {
    estimate: exchange / estimate,
    lower: upper === null ? 0 : exchange / upper,
    upper: lower === null ? null : exchange / lower,
  };
  return {
    status: "converged",
    enclosure: { flow, volume, supplyOxygen },
    mixing,
    leak,
    decay,
    findings: [...decay.findings, ...purgeFindings(mixing, leak)],
  };
}

/**
 * Returns an oxygen reading that a fit can take.
 *
 * @param value - ppm
 * @throws {BeadbenchError} `bad-argument` for 0 and for more than a meter shows in air
 */
export function requireOxygen(value: number): number {
  const bounds = { above: 0, max: 1.2 * AIR_OXYGEN, unit: "ppm" };
  return requireNumber("oxygen read (leave out what the meter cannot resolve)", value, bounds);
}

function mapRange({ estimate, lower, upper }: DecayRange, map: (value: number) => number): DecayRange {
  return {
    estimate: map(estimate),
    lower: lower === null ? null : map(lower),
    upper: upper === null ? null : map(upper),
  };
}

function purgeFindings(mixing: DecayRange, leak: DecayRange): readonly Finding[] {
  const findings: Finding[] = [];
  const slow = mixing.upper !== null && mixing.upper < usualMixing.lower;
  if (slow || (mixing.lower !== null && mixing.lower > usualMixing.upper)) {
    findings.push({
      code: "mixing-odd",
      severity: "warning",
      message: `a mixing factor of ${fixed(mixing.estimate, 2)} is outside the usual ${usualMixing.lower} to ${usualMixing.upper} (from memory)`,
      advice: slow
        ? "gas may run straight from inlet to vent, or flow or volume are wrong: feed low through a diffuser, vent high at the far end"
        : "check flow meter and free volume: gas cannot sweep out that much more than its own volume",
    });
  }
  if (leak.lower !== null && leak.lower > 0) {
    findings.push({
      code: "leak-shown",
      severity: "info",
      message: `the floor stands for ${fixed(1000 * leak.estimate, 1)} mL/min of air leaking in, if the supply is as clean as stated`,
      advice: "check seals, gloves and hose; time the oxygen rise with the flow off",
    });
  }
  return findings;
}

/** Purge time to a level, and what stands against it. */
export interface PurgeWait extends LevelTime {
  readonly findings: readonly Finding[];
}

/**
 * Purge time to an oxygen level at the flow that was logged.
 *
 * @param target - ppm
 * @returns min since the flow was turned on
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 */
export function purgeWait({ decay, enclosure, leak }: FittedPurge, target: number): PurgeWait {
  requireNumber("oxygen wanted", target, { above: 0, max: AIR_OXYGEN, unit: "ppm" });
  const time = timeToLevel(decay, target);
  if (time.reach === "reached") return { ...time, findings: [] };
  const never = time.reach === "never";
  const { flow, supplyOxygen } = enclosure;
  const floor = significant(decay.floor.estimate);
  const wanted = significant(target);
  const rate = significant(flow);
  return {
    ...time,
    findings: [
      {
        code: never ? "oxygen-unreachable" : "oxygen-unsure",
        severity: never ? "error" : "warning",
        message: never
          ? `the oxygen settles at ${floor} ppm: ${wanted} ppm is never reached at ${rate} L/min`
          : `the floor, near ${floor} ppm, is known too roughly to say that ${wanted} ppm is reached at ${rate} L/min`,
        advice:
          target > supplyOxygen
            ? `bring the leak from ${fixed(1000 * leak.estimate, 1)} under ${fixed(1000 * largestLeak(flow, target, supplyOxygen), 1)} mL/min, or purge with more flow${never ? "" : "; log the purge for longer to know the floor"}`
            : `the supply itself holds ${significant(supplyOxygen)} ppm: take a purer gas`,
      },
    ],
  };
}
